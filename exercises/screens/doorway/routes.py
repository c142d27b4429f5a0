"""The door's routes, and the gate that sends whoever is not signed in to it."""

from collections.abc import Awaitable, Callable
from functools import partial
from urllib.parse import parse_qsl, urlsplit

from anyio import CapacityLimiter, to_thread
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from exercises.identity.door import Door
from exercises.identity.people import SIGN_IN_MS, Person
from exercises.records import StoreError
from exercises.screens.doorway import answers, forms
from exercises.screens.doorway.answers import Answer, Fields
from exercises.screens.house import house, now_ms
from exercises.screens.visitor import COOKIE

DOOR = "door"
_LARGEST = 8_000
_FORM = "application/x-www-form-urlencoded"
_HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": forms.POLICY,
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}
# comparing secrets takes long: it must not use up the threads that serve files
_FEW = CapacityLimiter(8)

Show = Callable[[Door, Person | None], Answer]
Take = Callable[[Door, Fields, int], Answer]


def routes(base: str) -> list[Route]:
    """Return the door's routes below the path that the lab is served at."""
    pages: tuple[tuple[str, Show, Take | None], ...] = (
        (DOOR, answers.show_joining, answers.join),
        (f"{DOOR}/instructor", answers.show_signing_in, answers.sign_in),
        (f"{DOOR}/first", answers.show_first, answers.make_first),
        (f"{DOOR}/out", answers.show_out, None),
    )
    return [
        Route(f"{_prefix(base)}/{path}", _endpoint(show, take), methods=["GET", "POST"])
        for path, show, take in pages
    ]


def _prefix(base: str) -> str:
    return f"/{base.strip('/')}" if base.strip("/") else ""


def _endpoint(show: Show, take: Take | None) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        token = request.cookies.get(COOKIE)
        if request.method == "POST":
            if not _is_our_own(request):
                return _said(403, "This form came from another site. Please use the lab's own.")
            fields = await _fields(request)
            if fields is None:
                return _said(413, f"The form is not one of ours, or above {_LARGEST} bytes.")
            work = partial(_taken, take, fields, token)
        else:
            work = partial(_shown, show, token)
        return _response(await to_thread.run_sync(work, limiter=_FEW), request)

    return endpoint


def _shown(show: Show, token: str | None) -> Answer:
    return _answered(lambda door, at: show(door, door.who_is(token, at=at)))


def _taken(take: Take | None, fields: Fields, token: str | None) -> Answer:
    if take is None:
        return _answered(lambda door, _: answers.sign_out(door, token))
    return _answered(lambda door, at: take(door, fields, at))


def _answered(ask: Callable[[Door, int], Answer]) -> Answer:
    try:
        door = house().door
        if door is None:
            return Answer(404, forms.told("No such page", "There are no classes here."))
        return ask(door, now_ms())
    except StoreError as error:
        return Answer(503, forms.told("Not just now", str(error)))


def _is_our_own(request: Request) -> bool:
    """Whether a form was sent from a page of this server; a browser always says from where."""
    origin = request.headers.get("origin")
    return origin is None or urlsplit(origin).netloc == request.headers.get("host", "")


async def _fields(request: Request) -> Fields | None:
    """Return a form's fields; None where it is not one, or too large."""
    if request.headers.get("content-type", "").partition(";")[0].strip() != _FORM:
        return None
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > _LARGEST:
            return None
    try:
        return dict(parse_qsl(body.decode("ascii"), keep_blank_values=True, max_num_fields=20))
    except ValueError:
        return None


def _said(status: int, sentence: str) -> Response:
    return HTMLResponse(forms.told("Not taken", sentence), status, headers=_HEADERS)


def _response(answer: Answer, request: Request) -> Response:
    if not answer.goes_to:
        return HTMLResponse(answer.page, answer.status, headers=_HEADERS)
    response = RedirectResponse(answer.goes_to, answer.status, headers=_HEADERS)
    if answer.token is not None:
        response.set_cookie(
            COOKIE,
            answer.token,
            max_age=SIGN_IN_MS // 1000 if answer.token else 0,
            httponly=True,
            samesite="lax",
            secure=_is_https(request),
        )
    return response


def _is_https(request: Request) -> bool:
    """Whether the browser speaks https, to this server or to a proxy before it."""
    return "https" in {
        request.url.scheme,
        request.headers.get("x-forwarded-proto", "").strip().lower(),
        urlsplit(request.headers.get("origin", "")).scheme,
    }


class Gate:
    """Sends whoever opens a page without being signed in to the door.

    A page asks for itself too (``visitor``); this spares people the loading of one that says no.
    """

    def __init__(self, app: ASGIApp, *, base: str) -> None:
        self._app, self._prefix = app, _prefix(base)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it with the way to the door."""
        if scope["type"] == "http" and self._is_page(request := Request(scope)):
            token = request.cookies.get(COOKIE)
            if not await to_thread.run_sync(_is_known, token, limiter=_FEW):
                await RedirectResponse(f"{self._prefix}/{DOOR}", 303)(scope, receive, send)
                return
        await self._app(scope, receive, send)

    def _is_page(self, request: Request) -> bool:
        first = request.url.path.removeprefix(self._prefix).strip("/").partition("/")[0]
        wants_page = "text/html" in request.headers.get("accept", "")
        return request.method == "GET" and wants_page and first not in {DOOR, "_stcore"}


def _is_known(token: str | None) -> bool:
    try:
        door = house().door
        return door is not None and door.who_is(token, at=now_ms()) is not None
    except StoreError:
        return True  # the page says what is wrong

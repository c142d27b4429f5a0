"""The door's forms: who gets in, the cookie, forms of other sites, what is never repeated."""

from collections.abc import Iterator
from functools import partial
from html.parser import HTMLParser
from pathlib import Path

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from exercises.identity.names import shown_code
from exercises.identity.office import Office
from exercises.identity.seals import Seals
from exercises.screens import house
from exercises.screens.doorway.opening import beside
from exercises.screens.doorway.routes import Gate, routes
from tests.laid_out import laid_out
from tests.screens.asking import HOST, Browser

PASSWORD = "slow brown fox"
PIN = "270619"


@pytest.fixture
def app(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Starlette]:
    monkeypatch.setenv("LAB_DATABASE_URL", laid_out(tmp_path / "lab.db"))
    monkeypatch.setattr(house, "Seals", partial(Seals, kibibytes=8))  # else each costs 60 ms
    monkeypatch.setenv("LAB_CLASS", "1")
    monkeypatch.setenv("LAB_SECRET", "the tests' own secret")
    house.shut()

    async def page(_: Request) -> PlainTextResponse:
        return PlainTextResponse("the lab")

    paths = [*routes(""), Route("/", page), Route("/bench", page), Route("/_stcore/health", page)]
    yield Starlette(routes=paths, middleware=[Middleware(Gate, base="")])
    house.shut()


@pytest.fixture
def browser(app: Starlette) -> Browser:
    return Browser(app)


def _made_instructor(browser: Browser) -> None:
    door = house.house().door
    assert door is not None
    code = door.setup_code()
    assert code is not None
    fields = {"code": shown_code(code), "login": "darrow", "password": PASSWORD}
    assert browser.post("/door/first", fields).goes_to == "/"


def _class_code(browser: Browser) -> str:
    """Return the code of a new class, made by the instructor who is signed in."""
    parts = house.house()
    assert parts.door is not None
    assert parts.seals is not None
    person = parts.door.who_is(browser.cookie, at=house.now_ms())
    assert person is not None
    return Office(parts.people, parts.seals, person).make_class("Tuesday", at=1).join_code


def _joining(code: str, **changed: str) -> dict[str, str]:
    return {"code": code, "nickname": "Ada", "pin": PIN, "been": "first", **changed}


def test_from_an_empty_server_to_a_learner_in_class(app: Starlette, browser: Browser) -> None:
    assert browser.get("/").goes_to == "/door"
    assert "make the first" in browser.get("/door/instructor").text
    _made_instructor(browser)
    assert browser.get("/").text == "the lab"
    learner = Browser(app)

    said = learner.post("/door", _joining(shown_code(_class_code(browser)).lower()))

    assert (said.status, said.goes_to) == (303, "/")
    assert learner.get("/bench").text == "the lab"
    assert "You are here as <strong>Ada</strong>" in learner.get("/door").text
    assert browser.get("/door/first").status == 404
    assert "make the first" not in browser.get("/door/instructor").text


def test_cookie_is_kept_from_scripts_and_other_sites(browser: Browser) -> None:
    _made_instructor(browser)
    fields = {"login": "darrow", "password": PASSWORD}
    plain = browser.post("/door/instructor", fields).cookie.split("; ")
    behind_proxy = browser.post("/door/instructor", fields, x_forwarded_proto="https").cookie
    by_origin = browser.post("/door/instructor", fields, origin=f"https://{HOST}").cookie

    assert {"HttpOnly", "SameSite=lax", "Path=/", "Max-Age=43200"} <= set(plain)
    assert "Secure" not in plain
    assert "Secure" in behind_proxy.split("; ")
    assert "Secure" in by_origin.split("; ")


@pytest.mark.parametrize("path", ["/door", "/door/instructor", "/door/first", "/door/out"])
@pytest.mark.parametrize(
    "origin", ["http://outside.invalid", "null", f"http://{HOST}.evil.invalid"]
)
def test_form_of_another_site_is_refused(browser: Browser, path: str, origin: str) -> None:
    _made_instructor(browser)
    before = browser.cookie

    said = browser.post(path, {"login": "darrow", "password": PASSWORD}, origin=origin)

    assert (said.status, said.cookie) == (403, "")
    assert "came from another site" in said.text
    browser.cookie = before
    assert browser.get("/").text == "the lab"


def test_signing_out_takes_a_press_and_ends_the_token_everywhere(
    app: Starlette, browser: Browser
) -> None:
    _made_instructor(browser)
    other_tab = Browser(app, browser.cookie)
    assert browser.get("/door/out").goes_to == "/door"
    assert browser.get("/").text == "the lab"

    said = browser.post("/door/out", {})

    assert (said.status, said.goes_to, browser.cookie) == (303, "/door", "")
    assert "Max-Age=0" in said.cookie
    assert other_tab.get("/").goes_to == "/door"


def test_what_was_wrong_is_said_and_what_is_secret_is_not_repeated(browser: Browser) -> None:
    _made_instructor(browser)
    code = _class_code(browser)
    browser.cookie = ""
    for fields, sentence in (
        (_joining("AAAA-AAAA"), "There is no class of that code."),
        (_joining(code, pin="12345"), "PIN: found 5 characters; accepted: 6 to 12 digits."),
        (_joining(code, been="back"), "Nickname and PIN do not go together"),
        (_joining(code, nickname='"><script>1</script>'), "Nickname: found"),
        ({}, "There is no class of that code."),
    ):
        said = browser.post("/door", fields)
        assert said.status == 403
        assert f'role="alert">{sentence}' in said.text
        assert "<script" not in said.text
        assert not browser.cookie
        if "pin" in fields:
            assert f'value="{fields["pin"]}"' not in said.text
    assert (
        'value="&quot;&gt;&lt;script&gt;'
        in browser.post("/door", _joining(code, nickname='"><script>1</script>')).text
    )


def test_forged_cookie_lets_nobody_in(browser: Browser) -> None:
    for forged in ("x", "x" * 5_000, "'; DROP TABLE sign_in;--"):
        browser.cookie = forged
        assert browser.get("/bench").goes_to == "/door"
    assert browser.get("/_stcore/health").text == "the lab"


def test_what_is_no_form_or_too_large_is_refused(browser: Browser) -> None:
    assert browser.post("/door", {"nickname": "x" * 9_000}).status == 413
    assert browser.post("/door", {}, content_type="application/json").status == 413
    assert browser.post("/door", {str(n): "" for n in range(30)}).status == 413


class _Form(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.labelled: set[str] = set()
        self.inputs: list[dict[str, str | None]] = []
        self.scripts = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        if tag == "label" and told.get("for"):
            self.labelled.add(str(told["for"]))
        if tag == "input" and told.get("type") != "radio":
            self.inputs.append(told)
        self.scripts += tag == "script"


def test_every_line_has_its_label_and_nothing_needs_a_script(browser: Browser) -> None:
    for path, lines in (("/door", 3), ("/door/instructor", 2), ("/door/first", 3)):
        said = browser.get(path)
        form = _Form()
        form.feed(said.text)
        assert len(form.inputs) == lines
        assert {told["id"] for told in form.inputs} == form.labelled
        assert form.scripts == 0
        assert "default-src 'none'" in said.headers["content-security-policy"]
        assert said.headers["cache-control"] == "no-store"


def test_setup_code_is_printed_until_there_is_an_instructor(
    browser: Browser, capsys: pytest.CaptureFixture[str]
) -> None:
    door = house.house().door
    assert door is not None
    code = door.setup_code()
    assert code is not None
    assert len(beside("lab")[0]) == 4
    assert f"Set-up code: {shown_code(code)}" in capsys.readouterr().out
    _made_instructor(browser)
    beside("")
    assert capsys.readouterr().out == ""


@pytest.mark.usefixtures("folder")
def test_local_use_has_no_door() -> None:
    assert beside("") == ([], [])
    browser = Browser(Starlette(routes=list(routes(""))))
    assert browser.get("/door").status == 404


@pytest.mark.usefixtures("folder")
def test_server_without_a_secret_ends_with_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LAB_CLASS", "1")
    monkeypatch.setenv("LAB_SECRET", "short")
    with pytest.raises(SystemExit, match=r"^The lab cannot be opened for classes\. LAB_SECRET: "):
        beside("")

"""Requests to an ASGI application, without a server."""

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode, urljoin, urlsplit

from starlette.types import ASGIApp, Message

HOST = "lab.invalid"


@dataclass(frozen=True, slots=True)
class Said:
    """What was answered."""

    status: int
    headers: Mapping[str, str]
    cookie: str
    text: str
    goes_to: str


@dataclass
class Browser:
    """Asks, and keeps the cookie it is given as a browser does."""

    app: ASGIApp
    cookie: str = ""

    def get(self, path: str, **headers: str) -> Said:
        return self._ask("GET", path, b"", {"accept": "text/html", **headers})

    def post(self, path: str, fields: Mapping[str, str], **headers: str) -> Said:
        form = {"content-type": "application/x-www-form-urlencoded", "origin": f"http://{HOST}"}
        return self._ask("POST", path, urlencode(fields).encode(), {**form, **headers})

    def _ask(self, method: str, path: str, body: bytes, headers: Mapping[str, str]) -> Said:
        sent = {"host": HOST, **{name.replace("_", "-"): value for name, value in headers.items()}}
        if self.cookie:
            sent["cookie"] = f"lab_sign_in={self.cookie}"
        scope: dict[str, Any] = {
            "type": "http",
            "method": method,
            "path": path,
            "raw_path": path.encode(),
            "root_path": "",
            "scheme": "http",
            "query_string": b"",
            "headers": [(name.encode(), value.encode()) for name, value in sent.items()],
        }
        said = _run(self.app, scope, body, f"http://{HOST}{path}")
        kept = SimpleCookie(said.cookie)
        if "lab_sign_in" in kept:
            self.cookie = kept["lab_sign_in"].value
        return said


def _run(app: ASGIApp, scope: dict[str, Any], body: bytes, address: str) -> Said:
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Message) -> None:
        sent.append(message)

    asyncio.run(app(scope, receive, send))  # type: ignore[arg-type]
    headers = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
    text = b"".join(message.get("body", b"") for message in sent[1:]).decode()
    location = headers.get("location", "")
    goes_to = urlsplit(urljoin(address, location)).path if location else ""
    return Said(sent[0]["status"], headers, headers.get("set-cookie", ""), text, goes_to)

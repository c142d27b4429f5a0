"""A lab server of its own for a test, and a browser that says what went wrong in it."""

import os
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request, WebSocket

ROOT = Path(__file__).absolute().parents[2]
CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
DESK = {"viewport": {"width": 1440, "height": 900}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


@dataclass
class Server:
    """A server that can be killed and started again on the same port and database."""

    script: str
    folder: Path
    port: int = 0
    process: subprocess.Popen[str] | None = None
    said: list[str] = field(default_factory=list)
    variables: Mapping[str, str] = field(default_factory=dict)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        self.port = self.port or _free_port()
        arguments = ["--server.port", str(self.port), "--server.headless", "true"]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "streamlit", "run", self.script, *arguments],
            cwd=ROOT,
            env=os.environ
            | {
                "LAB_SEED": "0",
                "LAB_AHEAD": "off",
                "LAB_DATABASE_URL": f"sqlite:///{self.folder / 'lab.db'}",
                "STREAMLIT_SERVER_FILE_WATCHER_TYPE": "none",
                "PYTHONPATH": str(ROOT),
            }
            | self.variables,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        started = threading.Event()
        threading.Thread(target=self._listen, args=(self.process, started), daemon=True).start()
        assert started.wait(60), "the server did not start:\n" + "".join(self.said)

    def _listen(self, process: subprocess.Popen[str], started: threading.Event) -> None:
        assert process.stdout is not None
        with process.stdout:
            for line in process.stdout:
                self.said.append(line)
                if "URL:" in line:
                    started.set()

    def kill(self) -> None:
        """End the server as a power cut would: no handler of its own runs."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None


def _free_port() -> int:
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return int(sock.getsockname()[1])


@contextmanager
def serving(script: str, folder: Path, **variables: str) -> Iterator[Server]:
    server = Server(script, folder, variables=variables)
    server.start()
    try:
        yield server
    finally:
        server.kill()
        print("".join(server.said))  # pytest shows it of a test that failed


@dataclass
class Watched:
    """A page, with what it complained of and whom it asked."""

    page: Page
    context: BrowserContext
    complaints: list[str] = field(default_factory=list)
    asked: set[str] = field(default_factory=set)
    received: list[str | bytes] = field(default_factory=list)

    def check(self) -> None:
        assert not self.complaints, self.complaints
        assert self.asked <= {"127.0.0.1"}, self.asked


@contextmanager
def watching(browser: Browser, **options: object) -> Iterator[Watched]:
    context = browser.new_context(**options)  # type: ignore[arg-type]
    context.set_default_timeout(15_000)
    page = context.new_page()
    watched = Watched(page, context)
    page.on("console", lambda message: _complaint(watched, message))
    page.on("pageerror", lambda error: watched.complaints.append(str(error)))
    page.on("request", lambda request: watched.asked.add(_host(request)))
    page.on("websocket", lambda socket: _listen(watched, socket))
    try:
        yield watched
    finally:
        context.close()


def _listen(watched: Watched, socket: WebSocket) -> None:
    def keep(frame: str | bytes) -> None:
        watched.received.append(frame)

    socket.on("framereceived", keep)


def _complaint(watched: Watched, message: ConsoleMessage) -> None:
    # On the address of a page the client first looks for the server below it, and is told no.
    if message.type == "error" and "/_stcore/" not in message.location.get("url", ""):
        watched.complaints.append(f"{message.text} {message.location.get('url', '')}")


def _host(request: Request) -> str:
    parts = urlsplit(request.url)
    return "127.0.0.1" if parts.scheme in {"data", "blob"} else str(parts.hostname)

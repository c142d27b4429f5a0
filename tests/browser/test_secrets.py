"""What the browser is told does not tell the hidden fault, until a reading does."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.serving import DESK, Server, serving, watching
from tests.screens.jobs import LEFT_FEED_OPEN, LEFT_MOTOR_WIRE_OPEN, begun

pytestmark = pytest.mark.browser

_UUID = re.compile(rb"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_HASH = re.compile(rb"[0-9a-f]{24,}")
_LEFT_STEP_STANDS = "Left step motor: does not move"
"""Both faults show this; only points of the left feed and the left motor tell them apart."""

ALIKE = ("C1.3", "BODY", "F2.out", "C1.5")
DIFFERENT = "C1.2"
STORED = "() => JSON.stringify([{...localStorage}, {...sessionStorage}])"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("secrets")


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    with serving("lab_app.py", folder) as server:
        yield server


def _masked(frames: list[str | bytes], attempt: str) -> list[bytes]:
    told = []
    for frame in frames:
        raw = frame.encode("utf-8") if isinstance(frame, str) else frame
        raw = raw.replace(attempt.encode(), b"<attempt>")
        told.append(_HASH.sub(b"<hash>", _UUID.sub(b"<uuid>", raw)))
    return told


def _touch(page: Page, point: str) -> None:
    before = page.locator("[data-at=where]").inner_text()
    node = page.locator(f'[data-tp="{point}"]').first
    node.scroll_into_view_if_needed()
    node.locator(".hit").click()
    expect(page.locator(".window")).not_to_have_class(re.compile("busy"))
    expect(page.locator(f'[data-tp="{point}"]').first).to_have_attribute(
        "aria-label", re.compile("lead here")
    )
    if before:
        expect(page.locator("[data-at=where]")).to_contain_text(point)


def _told(
    browser: Browser, server: Server, folder: Path, fault: str, points: tuple[str, ...]
) -> tuple[list[bytes], str]:
    """Return everything that a browser was sent and what it kept, hashes masked."""
    attempt = begun(folder, fault, shows_expected=False)
    with watching(browser, **DESK) as watched:
        page = watched.page
        page.goto(f"{server.url}/bench?attempt={attempt}")
        expect(page.locator(".window")).to_contain_text("Place both leads")
        page.locator("button:has-text('Deploy')").first.click()
        expect(page.get_by_text(_LEFT_STEP_STANDS)).to_be_visible()
        for point in points:
            _touch(page, point)
        stored = page.evaluate(STORED).replace(attempt, "<attempt>")
        watched.check()
        return _masked(watched.received, attempt), stored


def test_faults_that_read_alike_are_told_alike(
    browser: Browser, server: Server, folder: Path
) -> None:
    one, kept_of_one = _told(browser, server, folder, LEFT_FEED_OPEN, ALIKE)
    other, kept_of_other = _told(browser, server, folder, LEFT_MOTOR_WIRE_OPEN, ALIKE)
    assert one == other
    assert kept_of_one == kept_of_other


def test_control_a_reading_that_differs_makes_messages_differ(
    browser: Browser, server: Server, folder: Path
) -> None:
    points = (*ALIKE, DIFFERENT)
    one, _ = _told(browser, server, folder, LEFT_FEED_OPEN, points)
    other, _ = _told(browser, server, folder, LEFT_MOTOR_WIRE_OPEN, points)
    different = [a for a, b in zip(one, other, strict=True) if a != b]
    assert len(different) == 2, "the meter and the readings, and nothing else"

"""A real vehicle on a phone: the plan, the meter, readings by touch, and nothing lost."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, TimeoutError, expect

from circuits.files import library_circuit
from exercises.planning.keep import ready
from tests.browser.serving import DESK, PHONE, Server, serving, watching

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    folder: Path = tmp_path_factory.mktemp("lab")
    ready(folder / "tables", library_circuit("call_bell"))
    before = {name: os.environ.get(name) for name in ("LAB_TABLES", "LAB_AHEAD")}
    os.environ |= {"LAB_TABLES": str(folder / "tables"), "LAB_AHEAD": "off"}
    try:
        with serving("lab_app.py", folder) as server:
            yield server
    finally:
        for name, value in before.items():
            os.environ.pop(name, None)
            if value is not None:
                os.environ[name] = value


def _choose(page: Page, label: str, words: str) -> None:
    """Choose from a list; one that is drawn anew meanwhile, for another circuit, is asked again."""
    option = page.get_by_role("option", name=words).first
    for _ in range(6):
        page.get_by_label(label).first.click()
        page.get_by_label(label).first.fill(words)
        try:
            option.click(timeout=10_000)
        except TimeoutError:
            continue
        return
    option.click()


def _tap(page: Page, words: str) -> None:
    page.get_by_role("button", name=words).first.tap()


def _begun(page: Page, server: Server) -> None:
    page.set_default_timeout(60_000)  # the first visitor waits for the circuits to be read
    page.goto(f"{server.url}/vehicle")
    _choose(page, "Circuit", "Call bell")
    _choose(page, "What does it do wrong?", "Bell: silent")
    page.keyboard.press("Escape")
    expect(page.get_by_text("Restraint (airbag) circuits").first).to_be_visible()


def test_a_plan_is_downloaded_on_a_phone(browser: Browser, server: Server) -> None:
    with watching(browser, **PHONE) as watched:
        page = watched.page
        _begun(page, server)
        page.get_by_text("Make the plan").first.tap()
        with page.expect_download() as download:
            _tap(page, "Download the plan")
        made = Path(download.value.path()).read_bytes()
        assert made.startswith(b"%PDF-")
        watched.check()


def test_readings_by_touch_outlive_a_refresh_and_a_stopped_server(
    browser: Browser, server: Server
) -> None:
    with watching(browser, **PHONE) as watched:
        page = watched.page
        _begun(page, server)
        _tap(page, "Begin with the readings")
        page.get_by_label("Ohms of the leads").fill("0,3")
        page.get_by_label("Volts of the battery").fill("12.5 V")
        _tap(page, "Go on")
        expect(page.get_by_text("Next: test 1")).to_be_visible(timeout=60_000)
        _answer(page, 1)
        expect(page.get_by_text("Next: test 2")).to_be_visible(timeout=60_000)
        address = page.url
        assert "case=" in address
        server.kill()
        server.start()
        page.goto(address)
        expect(page.get_by_text("Next: test 2")).to_be_visible(timeout=60_000)
        expect(page.get_by_text("Battery at rest 12.5 V, leads 0.3 Ω")).to_be_visible()
    with watching(browser, **DESK) as watched:
        watched.page.goto(address)
        expect(watched.page.get_by_text("Answers so far")).to_be_visible(timeout=60_000)
        watched.page.get_by_text("Show the verdict so far").first.click()
        expect(watched.page.get_by_text("What remains unproved")).to_be_visible(timeout=60_000)
        watched.check()


def _answer(page: Page, no: int) -> None:
    """Answer a test as a vehicle with an open wire to its bell does."""
    if page.get_by_text("Work it, look and listen").count():
        _choose(page, "Bell relay", "Bell relay: pulled in")
        _tap(page, "Keep it")
        return
    page.get_by_label("Found, with its unit").fill("12.3 mV")
    _tap(page, "Keep it")
    expect(page.get_by_text("Did you mean 12.3 V?")).to_be_visible()
    page.get_by_label("Found, with its unit").fill("12.3 V")
    _tap(page, "Keep it")
    expect(page.get_by_text(f"Next: test {no + 1}")).to_be_visible(timeout=60_000)

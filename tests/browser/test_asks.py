"""What a bench asks before readings, and its hints, as a person meets them in a browser."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from exercises.planning.keep import ready
from tests.browser.serving import DESK, PHONE, Server, serving, watching
from tests.exercises.planning.tables import CALL_BELL
from tests.screens.jobs import LEFT_FEED_OPEN, begun

pytestmark = pytest.mark.browser

QUESTION = "What should a sound vehicle show here?"
FOCUSED = """() => {
    let node = document.activeElement;
    while (node?.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
    return node?.dataset.tp ?? node?.dataset.expect ?? node?.dataset.at ?? node?.textContent ?? '';
}"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("lab")


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    ready(folder / "tables", CALL_BELL)
    os.environ["LAB_TABLES"] = str(folder / "tables")
    try:
        with serving("lab_app.py", folder) as server:
            yield server
    finally:
        del os.environ["LAB_TABLES"]


def _open(page: Page, server: Server, attempt: str) -> None:
    page.goto(f"{server.url}/bench?attempt={attempt}", timeout=60_000)
    expect(page.locator('[data-tp="BODY"]').first).to_be_visible()
    expect(page.locator(".window")).to_contain_text(re.compile("Place both|First list"))


def _touch(page: Page, point: str) -> None:
    node = page.locator(f'[data-tp="{point}"]').first
    node.scroll_into_view_if_needed()
    node.locator(".hit").click()
    expect(node).to_have_attribute("aria-label", re.compile("lead here"))
    expect(page.locator(".window")).not_to_have_class(re.compile("busy"))


def test_the_suspects_are_listed_before_a_lead_is_placed(
    browser: Browser, server: Server, folder: Path
) -> None:
    with watching(browser, **PHONE) as watched:
        page = watched.page
        _open(page, server, begun(folder, LEFT_FEED_OPEN, asks_suspects=True))
        page.locator('[data-tp="BODY"] .hit').first.tap()
        expect(page.locator("[data-at=note]")).to_have_text(
            "List what could be wrong before you take the first reading."
        )
        box = page.get_by_label("Suspects")
        for words in ("Fuse F1: blown", "Wire W4 (BU), F1 to C1.2: open"):
            box.click()
            box.fill(words)
            page.get_by_role("option", name=words).first.click()
            expect(page.locator("[data-testid=stMultiSelect]")).to_contain_text(words)
        page.get_by_text("First: what could be wrong?").tap()
        page.get_by_role("button", name="That is my list").tap()
        expect(page.get_by_text("Your suspects: 2")).to_be_visible()
        expect(page.locator(".window")).to_contain_text("Place both leads")
        _touch(page, "BODY")
        watched.check()


def test_nothing_is_offered_that_lists_all_suspects_at_once(
    browser: Browser, server: Server, folder: Path
) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, server, begun(folder, LEFT_FEED_OPEN, asks_suspects=True))
        page.get_by_label("Suspects").click()
        expect(page.get_by_role("option").first).to_be_visible()
        expect(page.get_by_role("option", name="Select all")).to_have_count(0)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_an_expectation_is_one_touch_and_stands_beside_what_was_found(
    browser: Browser, server: Server, folder: Path, size: dict[str, object]
) -> None:
    with watching(browser, **size) as watched:
        page = watched.page
        _open(page, server, begun(folder, LEFT_FEED_OPEN, asks_expected=True))
        _touch(page, "BODY")
        _touch(page, "C1.3")
        expect(page.locator(".window")).to_contain_text(QUESTION)
        expect(page.locator("[data-at=unit]")).to_have_text("")
        _in_sight(page, "C1.3")
        page.locator("[data-expect='Battery voltage']").click()
        expect(page.locator("[data-at=display]")).to_have_text(re.compile(r"12\.[56]\d"))
        expect(page.locator("[data-at=expected]")).to_have_text("Battery voltage")
        cells = page.locator(".st-key-bench_log td")
        expect(cells.nth(2)).to_have_text("Battery voltage")
        expect(cells.nth(3)).to_have_text(re.compile(r"12\.[56]\d V"))
        expect(page.locator(".ask")).to_be_hidden()
        _touch(page, "C1.2")
        expect(page.locator(".window")).to_contain_text(QUESTION)
        page.reload()
        expect(page.locator(".window")).to_contain_text(QUESTION)
        watched.check()


def _in_sight(page: Page, point: str) -> None:
    """Check that the touched point is above the docked meter, and all of the question in view."""
    asked = page.locator(".ask").bounding_box()
    node = page.locator(f'[data-tp="{point}"] .hit').first.bounding_box()
    meter = page.locator(".meter").bounding_box()
    view = page.viewport_size
    assert None not in (asked, node, meter, view)
    assert asked["x"] >= 0
    assert asked["x"] + asked["width"] <= view["width"]
    assert asked["y"] + asked["height"] <= view["height"]
    assert node["y"] + node["height"] / 2 < meter["y"]


def test_by_keyboard_the_question_takes_the_focus_and_gives_it_back(
    browser: Browser, server: Server, folder: Path
) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, server, begun(folder, LEFT_FEED_OPEN, asks_expected=True))
        _touch(page, "BODY")
        page.locator('[data-tp="C1.3"]').first.focus()
        page.keyboard.press("Enter")
        page.wait_for_function(f"() => ({FOCUSED})() === 'Battery voltage'")
        page.keyboard.press("Escape")
        page.wait_for_function(f"() => ({FOCUSED})() === 'C1.3'")
        page.locator("[data-at=figure]").focus()
        page.keyboard.type("many")
        page.keyboard.press("Enter")
        expect(page.locator("[data-at=note]")).to_contain_text("Expectation: found 'many'")
        page.locator("[data-at=figure]").fill("12.4")
        page.keyboard.press("Enter")
        expect(page.locator("[data-at=expected]")).to_have_text("12.4 V")
        page.locator('[data-tp="C1.4"]').first.focus()
        page.keyboard.press("Enter")
        page.wait_for_function(f"() => ({FOCUSED})() === 'Battery voltage'")
        for _ in range(2):
            page.keyboard.press("Tab")
        page.keyboard.press("Space")
        expect(page.locator("[data-at=expected]")).to_have_text("About 0 V")
        page.wait_for_function(f"() => ({FOCUSED})() === 'C1.4'")
        watched.check()


def test_hints_go_deeper_press_by_press_and_are_read_out(
    browser: Browser, server: Server, folder: Path
) -> None:
    path = [{"because": "Look.", "set": {"push": "pressed"}}]
    with watching(browser, **PHONE) as watched:
        page = watched.page
        attempt = begun(folder, "W4:open", circuit="call_bell", path=path)
        page.goto(f"{server.url}/bench?attempt={attempt}", timeout=60_000)
        lines = page.locator(".st-key-hints_box [role=status] p")
        for count, label in enumerate(("Give me a hint", "A clearer hint", "Tell me the test"), 1):
            page.get_by_role("button", name=label).tap()
            expect(lines).to_have_count(count + (count == 3), timeout=60_000)
        expect(lines.nth(0)).to_contain_text("75 faults still fit.")
        expect(lines.nth(2)).to_contain_text("A sound vehicle: Bell relay: pulled in")
        page.reload()
        expect(lines).to_have_count(4)
        watched.check()

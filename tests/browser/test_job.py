"""A whole job in a browser: by mouse, by touch, by keyboard; and nothing lost on the way."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.serving import DESK, PHONE, Server, serving, watching
from tests.screens.jobs import LEFT_FEED_OPEN, begun

pytestmark = pytest.mark.browser

BATTERY_VOLTS = re.compile(r"12\.[56]\d")
Press = Callable[[str], None]
DEEP_FOCUS = """() => {
    let node = document.activeElement;
    while (node?.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
    if (!node) return '';
    const label = node.labels?.[0]?.textContent ?? '';
    const text = ['BUTTON', 'A'].includes(node.tagName) ? node.textContent : '';
    return [node.dataset.tp, node.dataset.dial, node.getAttribute('aria-label'), label,
        text].filter(Boolean).join(' | ').slice(0, 200);
}"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("lab")


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    with serving("lab_app.py", folder) as server:
        yield server


@pytest.fixture
def job(server: Server, folder: Path) -> str:
    return f"{server.url}/bench?attempt={begun(folder, LEFT_FEED_OPEN)}"


def _open(page: Page, address: str) -> None:
    page.goto(address)
    expect(page.locator('[data-tp="C1.2"]').first).to_be_visible()
    expect(page.locator(".window")).to_contain_text("Place both leads")


def _reads(page: Page, where: str, display: str | re.Pattern[str]) -> None:
    expect(page.locator("[data-at=where]")).to_have_text(where)
    expect(page.locator("[data-at=display]")).to_have_text(display)


def _point(page: Page, name: str) -> str:
    page.locator(f'[data-tp="{name}"]').first.scroll_into_view_if_needed()
    return f'[data-tp="{name}"] .hit'


def _choose(page: Page, label: str, words: str) -> None:
    page.get_by_label(label).click()
    page.get_by_label(label).fill(words)
    page.get_by_role("option", name=words).first.click()


def _whole_job(page: Page, press: Press) -> None:
    """Find the open feed to the left step, repair it, prove it, close the job."""
    press(_point(page, "C1.3"))
    press(_point(page, "BODY"))
    _reads(page, "C1.3 to BODY", BATTERY_VOLTS)
    press("button:has-text('Deploy')")
    expect(page.get_by_text("Left step motor: does not move")).to_be_visible()
    press(_point(page, "C1.2"))
    expect(page.locator("[data-at=where]")).to_have_text("C1.2 to BODY")
    press(_point(page, "F1.out"))
    _reads(page, "F1.out to BODY", BATTERY_VOLTS)
    press("button:has-text('Name the fault')")
    _choose(page, "Where is it?", "Wire W4 (BU)")
    _choose(page, "What is wrong with it?", "open circuit")
    press("button:has-text('Hand in')")
    press("[role=dialog] label:has-text('Repair or renew the wire')")
    press("button:has-text('Do the repair')")
    expect(page.get_by_text("Left step motor: moves out")).to_be_visible()
    press(_point(page, "C1.2"))
    _reads(page, "C1.2 to BODY", BATTERY_VOLTS)
    press("button:has-text('Close the job')")
    press("button:has-text('See the debrief')")
    expect(page.get_by_text("It was: Wire W4").first).to_be_visible(timeout=60_000)
    expect(page.get_by_text("100 of 100").first).to_be_visible()


def test_a_whole_job_by_mouse(browser: Browser, job: str) -> None:
    with watching(browser, **DESK) as watched:
        _open(watched.page, job)
        _whole_job(watched.page, lambda at: watched.page.locator(at).first.click())
        watched.check()


def test_a_whole_job_by_touch(browser: Browser, job: str) -> None:
    with watching(browser, **PHONE) as watched:
        _open(watched.page, job)
        _whole_job(watched.page, lambda at: watched.page.locator(at).first.tap())
        watched.check()


def _tab_to(page: Page, words: str, *, back: bool = False) -> None:
    for _ in range(120):
        if words in page.evaluate(DEEP_FOCUS):
            return
        page.keyboard.press("Shift+Tab" if back else "Tab")
    raise AssertionError(f"no tab stop says {words!r}")


def _walk_to(page: Page, point: str, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)
    assert page.evaluate(DEEP_FOCUS).startswith(point), page.evaluate(DEEP_FOCUS)


def test_a_whole_job_by_keyboard_alone(browser: Browser, job: str) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, job)
        _measure_by_keyboard(page)
        _name_by_keyboard(page)
        _tab_to(page, "Repair or renew the wire")
        page.keyboard.press("Space")
        _enter(page, "Do the repair")
        _enter(page, "Close the job")
        expect(page.get_by_role("button", name="See the debrief")).to_be_visible()
        watched.check()


def _measure_by_keyboard(page: Page) -> None:
    _tab_to(page, "Larger")
    page.keyboard.press("Tab")
    _walk_to(page, "BODY")
    page.keyboard.press("Shift+Enter")
    _walk_to(page, "F1.out", "ArrowUp", "ArrowUp", "ArrowRight", "ArrowUp", "ArrowRight")
    page.keyboard.press("Enter")
    _reads(page, "F1.out to BODY", BATTERY_VOLTS)
    _walk_to(page, "C1.2", "ArrowRight")
    page.keyboard.press("Enter")
    expect(page.locator("[data-at=where]")).to_have_text("C1.2 to BODY")


def _name_by_keyboard(page: Page) -> None:
    _enter(page, "Name the fault")
    page.wait_for_function("() => document.activeElement?.closest('[role=dialog]')")
    for label, words in (
        ("Where is it?", "Wire W4 (BU)"),
        ("What is wrong with it?", "open circuit"),
    ):
        expect(page.get_by_label(label)).to_be_enabled()
        _tab_to(page, label)
        page.keyboard.type(words)
        expect(page.get_by_role("option").first).to_contain_text(words)
        page.keyboard.press("Enter")
    _enter(page, "Hand in")
    expect(page.get_by_text("You named: Wire W4")).to_be_visible()


def _enter(page: Page, button: str) -> None:
    expect(page.get_by_role("button", name=button).first).to_be_enabled()
    _tab_to(page, button)
    page.keyboard.press("Enter")


def test_the_clamp_reads_amps_round_a_wire_of_the_diagram(browser: Browser, job: str) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, job)
        page.locator("[data-dial=clamp]").click()
        box = page.locator('.wire-hit[data-wire="W5"]').bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        expect(page.locator("[data-at=where]")).to_have_text("round W5")
        expect(page.locator("[data-at=unit]")).to_have_text("A")
        watched.check()


def test_the_meter_tells_of_itself_and_reads_again(browser: Browser, job: str) -> None:
    with watching(browser, **PHONE) as watched:
        page = watched.page
        _open(page, job)
        expect(page.locator("[data-at=again]")).to_be_disabled()
        page.tap("[data-at=ownKey]")
        for check, found in (("fuse", "0.1 Ω"), ("leads", "0.2 Ω")):
            expect(page.locator(f"[data-at={check}State]")).to_have_text("not tested")
            page.tap(f"[data-does=check][data-part={check}]")
            expect(page.locator(f"[data-at={check}State]")).to_have_text(found)
        page.tap("[data-at=ownKey]")
        expect(page.locator("[data-at=own]")).to_be_hidden()
        for name in ("C1.3", "BODY"):
            page.locator(_point(page, name)).first.tap()
        _reads(page, "C1.3 to BODY", BATTERY_VOLTS)
        page.tap("[data-at=again]")
        expect(page.locator(".st-key-bench_log td", has_text="C1.3 to BODY")).to_have_count(2)
        watched.check()


def test_the_first_page_leads_to_a_bench(browser: Browser, server: Server) -> None:
    with watching(browser, **DESK) as watched:
        watched.page.goto(server.url)
        watched.page.get_by_role("button", name="Take this slip").first.click()
        expect(watched.page.locator("[data-tp]").first).to_be_visible()
        assert "attempt=" in watched.page.url
        watched.check()


def test_another_page_and_back_keeps_the_attempt(browser: Browser, job: str) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, job)
        page.locator(_point(page, "C1.3")).first.click()
        page.locator(_point(page, "BODY")).first.click()
        _reads(page, "C1.3 to BODY", BATTERY_VOLTS)
        page.get_by_role("link", name="Circuits", exact=True).click()
        expect(page.get_by_text("How current flows")).to_be_visible()
        page.get_by_role("link", name="Bench").click()
        _reads(page, "C1.3 to BODY", BATTERY_VOLTS)
        assert page.url == job
        watched.check()


def test_a_refresh_loses_nothing(browser: Browser, job: str) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, job)
        page.locator("button:has-text('Lamps')").first.click()
        expect(page.get_by_text("Left step lamp: bright")).to_be_visible()
        page.locator(_point(page, "C1.4")).first.click()
        page.locator(_point(page, "BODY")).first.click()
        where, display = page.locator("[data-at=where]"), page.locator("[data-at=display]")
        expect(where).to_have_text("C1.4 to BODY")
        before = display.inner_text()
        page.reload()
        _reads(page, "C1.4 to BODY", before)
        expect(page.get_by_text("Left step lamp: bright")).to_be_visible()
        expect(page.locator("[data-at=setting]")).to_contain_text("rocker Lamps")
        expect(page.locator('[data-tp="C1.4"]').first).to_have_attribute(
            "aria-label", "C1 cavity 4, lamp feed, red lead here"
        )


def test_a_server_that_dies_loses_nothing_not_even_a_press_on_its_way(
    browser: Browser, folder: Path
) -> None:
    with serving("lab_app.py", folder) as server, watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, f"{server.url}/bench?attempt={begun(folder, LEFT_FEED_OPEN)}")
        page.locator(_point(page, "C1.3")).first.click()
        page.locator(_point(page, "BODY")).first.click()
        _reads(page, "C1.3 to BODY", BATTERY_VOLTS)
        expect(page.locator(".st-key-bench_log td", has_text="C1.3 to BODY")).to_be_visible()
        server.kill()
        page.locator(_point(page, "F2.out")).first.click()
        server.start()
        expect(page.locator("[data-at=where]")).to_have_text("F2.out to BODY", timeout=60_000)
        expect(page.locator(".st-key-bench_log td", has_text="C1.3 to BODY")).to_be_visible()

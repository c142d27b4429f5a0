"""The debrief in a browser: first what it was, then each step as it is weighed, one job next."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from circuits.settings import setting_from
from exercises.actions import ChangeSetting, ChooseRepair, CloseJob, NameFault, PlaceLead
from exercises.desk import Desk
from exercises.store import open_store
from tests.browser.serving import DESK, PHONE, Server, serving, watching
from tests.screens.jobs import begun, url

pytestmark = pytest.mark.browser

SCREENS = [
    pytest.param(device | {"color_scheme": scheme}, id=f"{name}, {scheme}")
    for name, device in (("desk", DESK), ("phone", PHONE))
    for scheme in ("light", "dark")
]
LEAST_CONTRAST = 4.5
"""For text (W3C, WCAG 2.2, success criterion 1.4.3, from memory)."""

INKS = """() => {
    const deep = (node) => node.querySelector('svg[aria-label*="were possible at first"]')
        ?? [...node.querySelectorAll('*')].map((one) => one.shadowRoot && deep(one.shadowRoot))
            .find(Boolean);
    const svg = deep(document);
    const sheet = getComputedStyle(svg.closest('.sheet')).backgroundColor;
    const numbers = (colour) => colour.match(/[\\d.]+/g).slice(0, 3).map(Number);
    const box = svg.getBoundingClientRect();
    return [...svg.querySelectorAll('text')].map((text) => {
        const own = text.getBoundingClientRect();
        const inside = own.left >= box.left && own.right <= box.right + 1;
        return {words: text.textContent, ink: numbers(getComputedStyle(text).fill),
            sheet: numbers(sheet), height: own.height, inside};
    });
}"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("lab")


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    with serving("lab_app.py", folder) as server:
        yield server


@pytest.fixture(scope="module")
def closed(folder: Path) -> str:
    """Return a job in which something sound was replaced first."""
    attempt = begun(folder, "W8:high_resistance:7", circuit="call_bell")
    store = open_store(url(folder))
    desk = Desk(store, attempt)
    acts = (
        ChangeSetting(setting_from(desk.attempt.circuit, positions={"push": "pressed"})),
        PlaceLead("black", "BODY"),
        PlaceLead("red", "C1.2"),
        NameFault("bell", "high_resistance"),
        ChooseRepair("bell", "replace_part"),
        NameFault("W8", "high_resistance"),
        ChooseRepair("W8", "renew_wire"),
        CloseJob(),
    )
    for number, act in enumerate(acts):
        desk.press(act, key=f"press {number}", at=1_800_000_000)
    store.close()
    return attempt


def _open(page: Page, server: Server, closed: str) -> None:
    page.goto(f"{server.url}/debrief?attempt={closed}")
    expect(page.get_by_text("It was: Wire W8").first).to_be_visible(timeout=60_000)
    expect(page.get_by_text("Do this next").first).to_be_visible(timeout=120_000)


@pytest.mark.parametrize("size", SCREENS)
def test_every_label_of_the_time_line_is_read_light_and_dark(
    browser: Browser, server: Server, closed: str, size: dict[str, object]
) -> None:
    with watching(browser, **size) as watched:
        _open(watched.page, server, closed)
        expect(watched.page.get_by_text("Faults still possible")).to_be_visible()
        labels = watched.page.evaluate(INKS)
        assert {"minutes", "yours", "a good one", "named here"} <= {one["words"] for one in labels}
        for one in labels:
            assert _contrast(one["ink"], one["sheet"]) >= LEAST_CONTRAST, one
            assert one["height"] >= 11, one
            assert one["inside"], one
        width = watched.page.evaluate("() => document.documentElement.scrollWidth")
        assert width <= size["viewport"]["width"]  # type: ignore[index]
        watched.check()


def _contrast(one: list[float], other: list[float]) -> float:
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: list[float]) -> float:
    """Return the relative luminance of a colour (WCAG 2.2, from memory)."""
    parts = [c / 255 for c in colour]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_next_job_is_taken_at_once(browser: Browser, server: Server, closed: str) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _open(page, server, closed)
        offered = page.locator(".st-key-next_job").inner_text()
        slip = re.search(r"Slip (\d+)", offered)
        assert slip is not None
        page.get_by_role("button", name="Take this slip").click()
        expect(page.get_by_text(f"Minibus 7 · slip {slip[1]}")).to_be_visible(timeout=60_000)
        expect(page).to_have_url(re.compile("/bench"))
        watched.check()

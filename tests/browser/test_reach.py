"""Every screen against the Web Content Accessibility Guidelines, by a general-purpose checker.

The rules are those of axe-core tagged WCAG 2.0 to 2.2, A and AA (W3C, *Web Content Accessibility
Guidelines (WCAG) 2.2*, 2023), run in the page as a person has it before them.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from exercises.actions import Action, ChooseRepair, CloseJob, NameFault, PlaceLead
from exercises.asking import Expect
from exercises.desk import Desk
from exercises.store import open_store
from tests.browser.serving import DESK, PHONE, Server, serving, watching
from tests.screens.jobs import LEFT_FEED_OPEN, begun, url

pytestmark = pytest.mark.browser

RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
}
SIZES = [
    pytest.param(DESK | {"color_scheme": "light"}, id="desk, light"),
    pytest.param(DESK | {"color_scheme": "dark"}, id="desk, dark"),
    pytest.param(PHONE | {"color_scheme": "light"}, id="phone, light"),
    pytest.param(PHONE | {"color_scheme": "dark"}, id="phone, dark"),
]
PLACES = {
    "slips": ("", "Show more slips"),
    "bench": ("bench", "Name the fault"),
    "suspects": ("bench", "First: what could be wrong?"),
    "asking": ("bench", "What should a sound vehicle show here?"),
    "debrief": ("debrief", "Confirmation"),
    "primers": ("primers", "primer"),
    "circuits": ("circuits", "A healthy vehicle"),
    "own": ("own", "A circuit file"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("lab")


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    with serving("lab_app.py", folder) as server:
        yield server


@pytest.fixture(scope="module")
def jobs(folder: Path) -> dict[str, str]:
    """Return jobs that are open, for the bench, and one that is closed, for the debrief."""
    return {
        "bench": begun(folder, LEFT_FEED_OPEN),
        "suspects": begun(folder, LEFT_FEED_OPEN, asks_suspects=True),
        "asking": _after(
            folder,
            begun(folder, LEFT_FEED_OPEN, asks_expected=True),
            *(PlaceLead("black", "BODY"), PlaceLead("red", "C1.3"), Expect("12.4")),
            PlaceLead("red", "C1.2"),
        ),
        "debrief": _after(
            folder,
            begun(folder, LEFT_FEED_OPEN),
            *(NameFault("W4", "open"), ChooseRepair("W4", "renew_wire"), CloseJob()),
        ),
    }


def _after(folder: Path, attempt: str, *acts: Action) -> str:
    """Do acts on an attempt and return its id."""
    store = open_store(url(folder))
    desk = Desk(store, attempt)
    for number, act in enumerate(acts):
        desk.press(act, key=f"press {number}", at=1_800_000_000)
    store.close()
    return attempt


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("place", PLACES)
def test_no_screen_breaks_a_rule(
    browser: Browser, server: Server, jobs: dict[str, str], place: str, size: dict[str, Any]
) -> None:
    path, words = PLACES[place]
    with watching(browser, **size) as watched:
        page = watched.page
        page.goto(f"{server.url}/{path}?attempt={jobs.get(place, '')}")
        _settled(page, words)
        found = Axe().run(page, options=RULES).response["violations"]
        assert not found, "\n".join(_told(each) for each in found)


def _settled(page: Page, words: str) -> None:
    page.get_by_text(words).first.wait_for(timeout=60_000)
    page.wait_for_function("() => !document.querySelector('[data-testid=stSkeleton]')")


def _told(violation: dict[str, Any]) -> str:
    where = "; ".join(str(node["html"])[:160] for node in violation["nodes"][:4])
    return f"{violation['id']} ({len(violation['nodes'])} times): {violation['help']}: {where}"

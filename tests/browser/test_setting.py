"""An instructor sets an exercise: from the start page to a class in at most fifteen actions."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from circuits.files import library_circuit
from exercises.identity.door import Door
from exercises.identity.seals import Seals
from exercises.planning.keep import ready
from exercises.register.people import people_in
from exercises.screens.house import now_ms
from exercises.store import open_store
from tests.browser.serving import DESK, PHONE, Server, serving, watching
from tests.screens.jobs import url

pytestmark = pytest.mark.browser

SECRET = "the tests' own secret"
PASSWORD = "slow brown fox"
MOST_ACTIONS = 15


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = tmp_path_factory.mktemp("setting")
    ready(found / "tables", library_circuit("call_bell"))
    store = open_store(url(found))
    try:
        seals = Seals(SECRET)
        door = Door(people_in(store.database), seals)
        door.first_instructor(seals.setup_code(), "darrow", PASSWORD, at=now_ms())
    finally:
        store.close()
    return found


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    variables = {"LAB_CLASS": "1", "LAB_SECRET": SECRET, "LAB_TABLES": str(folder / "tables")}
    with serving("lab_app.py", folder, **variables) as server:
        yield server


class Hand:
    """Does what a person does, and counts it."""

    def __init__(self, page: Page) -> None:
        self.page, self.actions = page, 0

    def click(self, what: Locator) -> None:
        what.click()
        self.actions += 1

    def fill(self, what: Locator, text: str) -> None:
        what.fill(text)
        self.actions += 1

    def choose(self, label: str, words: str) -> None:
        """Open a list and take one of its words: two actions."""
        self.click(self.page.get_by_role("combobox", name=label))
        self.click(self.page.get_by_role("option", name=words, exact=True))


def _signed_in(page: Page, server: Server) -> None:
    page.goto(f"{server.url}/door/instructor", timeout=60_000)
    page.get_by_label("Login").fill("darrow")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_text("The board")).to_be_visible(timeout=60_000)


def _to(page: Page, title: str) -> Callable[[], Locator]:
    return lambda: page.get_by_role("link", name=title, exact=True).first


def test_an_exercise_is_made_and_given_in_at_most_fifteen_actions(
    browser: Browser, server: Server
) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _signed_in(page, server)
        hand = Hand(page)
        hand.click(_to(page, "Teach")())
        expect(page.get_by_text("Choose a circuit and a fault")).to_be_visible()
        hand.choose("What is wrong", "Open circuit")
        hand.click(page.get_by_role("button", name="Check it"))
        expect(page.get_by_text("It can be solved by its own rules.")).to_be_visible(timeout=60_000)
        hand.fill(page.get_by_label("Name of the class"), "Tuesday evening")
        hand.click(page.get_by_role("button", name="Make the class"))
        hand.click(page.get_by_role("button", name="Give it to the class"))
        expect(page.get_by_text("It is set.")).to_be_visible()
        assert hand.actions <= MOST_ACTIONS
        _to(page, "Classes")().click()
        expect(page.get_by_text("Code to join:")).to_be_visible()
        page.get_by_role("radio", name="What is set").or_(
            page.get_by_role("button", name="What is set")
        ).first.click()
        expect(page.get_by_text("Bell push Pressed")).to_be_visible()
        watched.check()


def test_on_a_phone_the_page_is_there_and_nothing_is_cut_off(
    browser: Browser, server: Server
) -> None:
    with watching(browser, **PHONE) as watched:
        page = watched.page
        _signed_in(page, server)
        page.goto(f"{server.url}/teach")
        expect(page.get_by_role("button", name="Check it")).to_be_visible(timeout=60_000)
        wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert wide <= 0

"""A class in a browser: from the set-up code to a learner at the bench, and who sees what."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from exercises.desk import begin
from exercises.identity.door import Door
from exercises.identity.office import Office
from exercises.identity.seals import Seals
from exercises.owned import OwnStore, Reach
from exercises.register.people import people_in
from exercises.screens.house import now_ms
from exercises.store import open_store
from tests.browser.serving import DESK, PHONE, Server, serving, watching
from tests.screens.jobs import LEFT_FEED_OPEN, entry, url

pytestmark = pytest.mark.browser

SECRET = "the tests' own secret"
PASSWORD = "slow brown fox"
PIN = "270619"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("classes")


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    with serving("lab_app.py", folder, LAB_CLASS="1", LAB_SECRET=SECRET) as server:
        yield server


@pytest.fixture(scope="module")
def class_code(server: Server, folder: Path, browser: Browser) -> str:
    """The code of a class whose instructor made the first account in a browser."""
    with watching(browser, **DESK, java_script_enabled=False) as watched:
        page = watched.page
        page.goto(server.url, timeout=60_000)
        said = "".join(server.said)  # by the time it answers
        code = re.search(r"Set-up code: (\S+)", said)
        assert code, said
        page.get_by_role("link", name="For instructors").click()
        page.get_by_role("link", name="make the first").click()
        page.get_by_label("Set-up code").fill(code[1])
        page.get_by_label("Login").fill("darrow")
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Make the account").click()
        page.goto(f"{server.url}/door")
        expect(page.get_by_text("You are here as darrow")).to_be_visible()
    store = open_store(url(folder))
    try:
        people, seals = people_in(store.database), Seals(SECRET)
        door = Door(people, seals)
        darrow = door.who_is(door.sign_in("darrow", PASSWORD, at=now_ms()), at=now_ms())
        assert darrow is not None
        return Office(people, seals, darrow).make_class("Tuesday", at=now_ms()).join_code
    finally:
        store.close()


def _come_in(page: Page, server: Server, code: str, nickname: str, *, again: bool = False) -> None:
    page.goto(server.url, timeout=60_000)
    expect(page).to_have_url(f"{server.url}/door")
    page.get_by_label("Class code").fill(code)
    page.get_by_label("Nickname").fill(nickname)
    page.get_by_label("PIN").fill(PIN)
    if again:
        page.get_by_label("I have been here before").check()
    page.get_by_role("button", name="Come in").click()
    expect(page.get_by_text(nickname, exact=True)).to_be_visible(timeout=60_000)


def _attempt_of(folder: Path, nickname: str) -> str:
    """Begin an attempt for a learner who has joined."""
    store = open_store(url(folder))
    try:
        with store.database.reading() as connection:
            named = f"SELECT id FROM learner WHERE nickname = '{nickname}'"
            learner = connection.exec_driver_sql(named).scalar_one()
        own = OwnStore(store, lambda: Reach(learner))
        return begin(own, entry(LEFT_FEED_OPEN), seed=0, key="first", at=now_ms())
    finally:
        store.close()


def _traffic(received: list[str | bytes]) -> str:
    frames = [each if isinstance(each, str) else each.decode("latin-1") for each in received]
    return "".join(frames)


def test_a_learner_joins_takes_a_slip_and_stays_signed_in(
    browser: Browser, server: Server, class_code: str
) -> None:
    with watching(browser, **PHONE) as watched:
        page = watched.page
        _come_in(page, server, class_code, "Ada")
        assert "lab_sign_in" not in page.evaluate("document.cookie")
        (cookie,) = (each for each in watched.context.cookies() if each["name"] == "lab_sign_in")
        assert cookie["httpOnly"]
        assert cookie["sameSite"] == "Lax"
        page.get_by_role("button", name="Take this slip").first.click()
        expect(page.locator("[data-tp]").first).to_be_visible()
        page.reload()
        expect(page.locator("[data-tp]").first).to_be_visible()
        expect(page.get_by_text("Ada", exact=True)).to_be_visible()
        watched.check()


def test_anothers_attempt_is_not_shown_nor_sent(
    browser: Browser, server: Server, folder: Path, class_code: str
) -> None:
    with watching(browser, **DESK) as watched:
        _come_in(watched.page, server, class_code, "Bea")
        mine = _attempt_of(folder, "Bea")
    with watching(browser, **DESK) as watched:
        page = watched.page
        _come_in(page, server, class_code, "Cem")
        watched.received.clear()
        for attempt in (mine, "Amadeup"):
            for path in ("bench", "debrief"):
                page.goto(f"{server.url}/{path}?attempt={attempt}")
                expect(page.get_by_text("there is none of that id here")).to_be_visible()
        sent = _traffic(watched.received)
        assert "Left step does not move" not in sent
        assert "Bea" not in sent
        watched.check()


def test_signing_out_shuts_the_other_tabs_at_their_next_press(
    browser: Browser, server: Server, folder: Path, class_code: str
) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _come_in(page, server, class_code, "Dan")
        attempt = _attempt_of(folder, "Dan")
        page.goto(f"{server.url}/bench?attempt={attempt}")
        expect(page.locator('[data-tp="C1.3"]').first).to_be_visible()
        other = watched.context.new_page()
        other.goto(f"{server.url}/door")
        other.get_by_role("button", name="Sign out").click()
        expect(other.get_by_role("button", name="Come in")).to_be_visible()

        page.locator("button:has-text('Deploy')").first.click()

        expect(page.get_by_text("You are signed out").first).to_be_visible()
        page.goto(f"{server.url}/bench?attempt={attempt}")
        expect(page).to_have_url(f"{server.url}/door")
    store = open_store(url(folder))
    assert len(store.events(attempt)) == 1
    store.close()


def test_a_second_device_goes_on_with_the_same_work(
    browser: Browser, server: Server, folder: Path, class_code: str
) -> None:
    with watching(browser, **DESK) as watched:
        _come_in(watched.page, server, class_code, "Eve")
        attempt = _attempt_of(folder, "Eve")
    with watching(browser, **PHONE) as watched:
        _come_in(watched.page, server, class_code, "Eve", again=True)
        watched.page.goto(f"{server.url}/bench?attempt={attempt}")
        expect(watched.page.locator("[data-tp]").first).to_be_visible()
        watched.check()


def test_a_stale_or_forged_cookie_gets_no_page_and_no_frame(
    browser: Browser, server: Server, folder: Path, class_code: str
) -> None:
    with watching(browser, **DESK) as watched:
        page = watched.page
        _come_in(page, server, class_code, "Fay")
        attempt = _attempt_of(folder, "Fay")
        forged = {"name": "lab_sign_in", "value": "forged", "url": server.url}
        watched.context.add_cookies([forged])  # type: ignore[list-item]
        page.goto(f"{server.url}/bench?attempt={attempt}")
        expect(page).to_have_url(f"{server.url}/door")
        # past the gate: a page that is loaded as a script would, with nobody's cookie
        watched.received.clear()
        page.route(
            f"{server.url}/slips",
            lambda route: route.continue_(headers={**route.request.headers, "accept": "*/*"}),
        )
        page.goto(f"{server.url}/slips")
        expect(page.get_by_text("You are signed out")).to_be_visible(timeout=60_000)
        assert "Take this slip" not in _traffic(watched.received)

"""The surface and the meter alone, over a handmade circuit."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.serving import DESK, PHONE, Server, Watched, serving, watching

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with serving("tests/browser/touch_page.py", tmp_path_factory.mktemp("touch")) as server:
        yield server


@pytest.fixture
def desk(browser: Browser, server: Server) -> Iterator[Watched]:
    with watching(browser, **DESK) as watched:
        _open(watched.page, server)
        yield watched
        watched.check()


@pytest.fixture
def phone(browser: Browser, server: Server) -> Iterator[Watched]:
    with watching(browser, **PHONE) as watched:
        _open(watched.page, server)
        yield watched
        watched.check()


def _open(page: Page, server: Server) -> None:
    page.goto(server.url)
    expect(page.locator("[data-tp]").first).to_be_visible()
    expect(page.locator(".window")).to_contain_text("Place both leads")


def _hit(page: Page, point: str) -> None:
    page.locator(f'[data-tp="{point}"] .hit').click()


def _where(page: Page, text: str) -> None:
    expect(page.locator("[data-at=where]")).to_have_text(text)


def test_two_clicks_place_both_leads_and_give_a_reading(desk: Watched) -> None:
    _hit(desk.page, "C1.2")
    _hit(desk.page, "BODY")
    _where(desk.page, "C1.2 to BODY")
    expect(desk.page.locator('[data-tp="C1.2"]')).to_have_attribute(
        "aria-label", "C1.2, red lead here"
    )
    expect(desk.page.locator('[data-tp="BODY"]')).to_have_attribute(
        "aria-label", "BODY, black lead here"
    )


def test_after_both_leads_the_next_touch_moves_the_red_one(desk: Watched) -> None:
    for point in ("C1.2", "BODY", "F1.out"):
        _hit(desk.page, point)
    _where(desk.page, "F1.out to BODY")


def test_presses_faster_than_the_server_are_all_kept_in_order(desk: Watched) -> None:
    desk.page.locator("[data-tp]").first.evaluate(
        """(first) => {
            const root = first.getRootNode();
            for (const name of ['BAT.pos', 'BODY', 'F1.in', 'F1.out', 'C1.2']) {
                const node = root.querySelector(`[data-tp="${name}"]`);
                const box = node.querySelector('.hit').getBoundingClientRect();
                node.dispatchEvent(new MouseEvent('click', {bubbles: true,
                    clientX: box.x + box.width / 2, clientY: box.y + box.height / 2}));
            }
        }"""
    )
    _where(desk.page, "C1.2 to BODY")


def test_the_drawing_is_not_drawn_again_by_a_reading(desk: Watched) -> None:
    svg = desk.page.locator(".sheet svg")
    svg.evaluate("(node) => { node.marked = true; }")
    _hit(desk.page, "C1.2")
    _hit(desk.page, "BODY")
    _where(desk.page, "C1.2 to BODY")
    assert svg.evaluate("(node) => node.marked") is True


def test_a_drawing_is_one_tab_stop_and_arrows_walk_to_the_nearest_point(desk: Watched) -> None:
    page = desk.page
    assert page.locator('.sheet [tabindex="0"]').count() == 1
    page.locator("[data-zoom=in]").focus()
    page.keyboard.press("Tab")
    expect(page.locator('[data-tp="BAT.pos"]')).to_be_focused()
    for key, point in (("ArrowRight", "F1.in"), ("ArrowRight", "F1.out"), ("ArrowLeft", "F1.in")):
        page.keyboard.press(key)
        expect(page.locator(f'[data-tp="{point}"]')).to_be_focused()
    assert page.locator('.sheet [tabindex="0"]').count() == 1


def test_enter_places_the_chosen_lead_shift_the_other_and_delete_lifts(desk: Watched) -> None:
    page = desk.page
    page.locator('[data-tp="BAT.pos"]').focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    _where(page, "BAT.pos to F1.in")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+Enter")
    _where(page, "BAT.pos to F1.out")
    page.keyboard.press("Delete")
    expect(page.locator("[data-lead=black] .on")).to_have_text("not placed")


def test_arrows_turn_the_dial(desk: Watched) -> None:
    desk.page.locator("[data-dial=volts]").focus()
    desk.page.keyboard.press("ArrowRight")
    expect(desk.page.locator("[data-dial=ohms]")).to_be_focused()
    expect(desk.page.locator("[data-dial=ohms]")).to_have_attribute("aria-checked", "true")
    expect(desk.page.get_by_role("alert").first).to_contain_text("Isolate the battery")


def test_the_clamp_goes_round_a_wire_and_points_stay_untouched(desk: Watched) -> None:
    page = desk.page
    page.locator("[data-dial=clamp]").click()
    box = page.locator('.wire-hit[data-wire="W2"]').bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator("[data-at=clampOn]")).to_have_text("W2")
    expect(page.locator('.wire-hit[data-wire="W2"]')).to_have_attribute(
        "aria-label", "wire W2, clamp here"
    )


def test_the_meter_says_its_reading_politely_and_as_a_whole(desk: Watched) -> None:
    window = desk.page.get_by_role("status").and_(desk.page.locator(".window"))
    expect(window).to_have_attribute("aria-live", "polite")
    expect(window).to_have_attribute("aria-atomic", "true")


def test_on_a_phone_the_meter_is_docked_and_targets_are_large_enough(phone: Watched) -> None:
    page = phone.page
    meter = page.locator(".meter").bounding_box()
    assert meter is not None
    assert meter["y"] + meter["height"] == pytest.approx(844, abs=1)
    boxes = [hit.bounding_box() for hit in page.locator("[data-tp] .hit").all()]
    assert boxes
    for box in boxes:
        assert box is not None
        assert min(box["width"], box["height"]) >= 24
    for button in page.locator(".meter button:visible").all():
        size = button.bounding_box()
        assert size is not None
        assert min(size["width"], size["height"]) >= 24


def test_on_a_phone_the_drawing_with_the_feed_at_the_top_is_shown(phone: Watched) -> None:
    view = phone.page.locator(".sheet svg").get_attribute("viewBox")
    assert view == "0 0 340 740"


def test_a_tap_places_a_lead(phone: Watched) -> None:
    phone.page.locator('[data-tp="F1.in"] .hit').tap()
    phone.page.locator('[data-tp="BODY"] .hit').tap()
    _where(phone.page, "F1.in to BODY")

"""A motor driven directly from the bench: jumper leads in either polarity, by pulses."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.screens.jobs import LEFT_FEED_OPEN, begun, screen, sent, texts

pytestmark = pytest.mark.usefixtures("folder")

FORWARD = (("BAT.pos", "C2.1@harness"), ("BODY", "C2.2@harness"))
BACKWARD = (("BAT.pos", "C2.2@harness"), ("BODY", "C2.1@harness"))


def _driven(attempt: str, leads: tuple[tuple[str, str], ...]) -> AppTest:
    """Unplug C2, pulse, fit jumper leads; the bench as it then is."""
    app = screen("bench", attempt=attempt).run()
    app.pills(key="set_unmated").set_value(["C2"]).run()
    app = screen("bench", attempt=attempt).run()
    app.segmented_control(key="set_moment").set_value("moving").run()
    for start, end in leads:
        app = screen("bench", attempt=attempt).run()
        _labelled(app, "Jumper lead from").set_value(start).run()
        _labelled(app, "to").set_value(end).run()
        next(b for b in app.button if b.label == "Fit jumper lead").click().run()
        assert not app.exception
        assert not app.error
    return screen("bench", attempt=attempt).run()


def _labelled(app: AppTest, label: str):
    return next(box for box in app.selectbox if box.label == label)


@pytest.mark.parametrize(
    ("leads", "way"), [(FORWARD, "moves out"), (BACKWARD, "moves in")], ids=["one way", "swapped"]
)
def test_jumper_leads_drive_a_motor_in_either_polarity(folder: Path, leads, way: str) -> None:
    app = _driven(begun(folder, LEFT_FEED_OPEN), leads)
    assert f"Left step motor: {way}" in texts(app)
    (start, end), (other, far) = leads
    told = f"each with a 10 A fuse: J1 from {start} to {end}, J2 from {other} to {far}."
    assert told in texts(app)
    assert "data-jumper" in sent(app)["diagram_face"]["across"]


def test_a_motor_held_at_its_stop_by_jumper_leads_is_warned_of(folder: Path) -> None:
    app = _driven(begun(folder, LEFT_FEED_OPEN), FORWARD)
    app.segmented_control(key="set_moment").set_value("at_rest").run()
    assert any("held at its stop" in told for told in app.session_state["warned"])


def test_plugging_the_connector_in_takes_the_jumper_leads_off_its_face(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    app = _driven(attempt, FORWARD)
    app.pills(key="set_unmated").set_value([]).run()
    again = screen("bench", attempt=attempt).run()
    assert not again.error
    assert "Jumper leads" not in texts(again)


def test_a_closed_place_is_dimmed_on_the_diagram_and_named_under_it(folder: Path) -> None:
    app = screen("bench", attempt=begun(folder, closed_places=["left_sill"])).run()
    assert "Dimmed, closed in this job: under the vehicle, left sill." in texts(app)
    assert 'class="part closed"' in sent(app)["diagram_face"]["across"]


def test_putting_the_battery_back_takes_a_jumper_lead_off_its_cable(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    screen("bench", attempt=attempt).run().toggle(key="set_isolated").set_value(True).run()
    app = screen("bench", attempt=attempt).run()
    _labelled(app, "Jumper lead from").set_value("BAT.neg@cable").run()
    _labelled(app, "to").set_value("BAT.neg").run()
    next(b for b in app.button if b.label == "Fit jumper lead").click().run()
    assert "Jumper leads" in texts(screen("bench", attempt=attempt).run())
    screen("bench", attempt=attempt).run().toggle(key="set_isolated").set_value(False).run()
    again = screen("bench", attempt=attempt).run()
    assert not again.error
    assert again.toggle(key="set_isolated").value is False
    assert "Jumper leads" not in texts(again)


def test_one_press_swaps_the_polarity_and_turns_the_motor_round(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    app = _driven(attempt, FORWARD)
    app.button(key="swap_jumpers").click().run()
    again = screen("bench", attempt=attempt).run()
    assert not again.error
    assert "Left step motor: moves in" in texts(again)
    assert "J1 from BAT.pos to C2.2@harness, J2 from BODY to C2.1@harness." in texts(again)

"""The bench's native widgets, and what its components are sent."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from circuits.instruments import INSTRUMENTS
from exercises.screens.components.meter import INSTRUMENTS as LABELS
from tests.screens.jobs import LEFT_FEED_OPEN, LEFT_MOTOR_WIRE_OPEN, begun, screen, sent, texts

pytestmark = pytest.mark.usefixtures("folder")


def _open(attempt: str) -> AppTest:
    return screen("bench", attempt=attempt).run()


def test_bench_shows_the_slip_the_diagram_and_an_empty_meter(folder: Path) -> None:
    app = _open(begun(folder, LEFT_FEED_OPEN))
    assert not app.exception
    assert "slip 901" in texts(app)
    found = sent(app)
    assert 'data-tp="C1.2"' in found["diagram_face"]["across"]
    assert found["meter_face"]["display"] == "Place both leads"
    assert found["meter_face"]["blank"] is True


def test_working_a_switch_shows_what_the_vehicle_does_and_is_kept(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    app = _open(attempt)
    app.segmented_control(key="set_rocker").set_value("deploy").run()
    assert not app.exception
    again = _open(attempt)
    assert again.segmented_control(key="set_rocker").value == "deploy"
    assert "Left step motor: does not move" in texts(again)


def test_isolating_the_battery_is_kept_over_a_refresh(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    _open(attempt).toggle(key="set_isolated").set_value(True).run()
    assert _open(attempt).toggle(key="set_isolated").value is True


def test_a_test_load_and_a_warm_vehicle_are_kept_over_a_refresh(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    app = _open(attempt)
    app.selectbox(key="set_load").set_value(21.0).run()
    app.toggle(key="set_warm").set_value(True).run()
    assert not app.exception
    again = _open(attempt)
    assert again.selectbox(key="set_load").value == 21.0
    assert again.toggle(key="set_warm").value is True


def test_an_unplugged_connector_shows_both_its_faces(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    _open(attempt).pills(key="set_unmated").set_value(["C1"]).run()
    faces = sent(_open(attempt))["connector_face"]["across"]
    assert 'data-tp="C1.2@harness"' in faces
    assert 'data-tp="C1.2@unit"' in faces


def test_an_unknown_attempt_is_told_in_a_sentence_without_a_traceback() -> None:
    app = _open("no-such-attempt")
    assert not app.exception
    assert len(app.error) == 1
    assert "Traceback" not in app.error[0].value


def test_without_an_attempt_the_bench_leads_to_the_slips() -> None:
    app = screen("bench").run()
    assert not app.exception
    assert app.button[0].label == "To the slips"


@pytest.mark.parametrize("component", ["diagram_face", "connector_face", "meter_face"])
def test_components_are_sent_the_same_whatever_the_fault(folder: Path, component: str) -> None:
    found = []
    for fault in (LEFT_FEED_OPEN, LEFT_MOTOR_WIRE_OPEN):
        data = sent(_open(begun(folder, fault)))[component]
        found.append(data | {"bench": "", "done": []})
    assert found[0] == found[1]


def test_the_fault_menus_are_the_same_whatever_the_fault(folder: Path) -> None:
    options = []
    for fault in (LEFT_FEED_OPEN, LEFT_MOTOR_WIRE_OPEN):
        app = _open(begun(folder, fault))
        app.button(key="name_the_fault").click().run()
        options.append(app.selectbox(key="named_place").options)
    assert options[0] == options[1]


def test_every_instrument_has_words_on_the_meter() -> None:
    assert set(INSTRUMENTS) <= set(LABELS)


@pytest.mark.parametrize(
    ("circuit", "offered"),
    [
        ("side_steps", ["just operated", "while moving", "at rest"]),
        ("screen_wiper", ["just operated", "while moving", "at rest"]),
        ("cranking", ["just operated", "while moving", "at rest"]),
        ("battery_drain", ["just operated", "at rest"]),
        ("call_bell", []),
    ],
)
def test_the_moment_of_a_reading_can_be_chosen_where_moments_differ(
    folder: Path, circuit: str, offered: list[str]
) -> None:
    app = _open(begun(folder, circuit=circuit, path=[{"because": "Look."}]))
    assert not app.exception
    found = [one.options for one in app.segmented_control if one.key == "set_moment"]
    assert found == ([offered] if offered else [])

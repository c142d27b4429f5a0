"""The primers' screen: its list, a primer's texts, task and questions, as far as widgets go."""

from dataclasses import replace

import pytest
from streamlit.testing.v1 import AppTest

from exercises.actions import ChangeSetting, PlaceLead, TurnDial
from exercises.primer_files import library_primer, primer_names
from exercises.primers import options, practise, right_answer
from tests.screens.jobs import screen

pytestmark = pytest.mark.usefixtures("folder")

NAMES = primer_names()


def _open(name: str = "") -> AppTest:
    app = screen("primer")
    if name:
        app.query_params["primer"] = name
    return app.run()


def _texts(app: AppTest) -> str:
    return "\n".join(text.value for text in app.text)


def _buttons(app: AppTest) -> list[str]:
    return [button.label for button in app.button]


def _work(app: AppTest, *, red: str) -> None:
    """Set the vehicle and place the leads, as touches would, on the bench of the session."""
    bench = app.session_state["primer_bench"]
    task, attempt = bench.primer.task, bench.attempt
    for action in (
        ChangeSetting(task.setting),
        TurnDial(task.what.instrument),
        PlaceLead("red", red),
        PlaceLead("black", task.what.black),
    ):
        attempt = practise(attempt, action)
    app.session_state["primer_bench"] = replace(bench, attempt=attempt)
    app.run()


def test_the_list_opens_every_primer_by_its_title() -> None:
    app = _open()
    assert not app.exception
    told = _texts(app)
    for name in NAMES:
        assert library_primer(name).title in told
    assert _buttons(app).count("Open") == len(NAMES)


def test_opening_a_primer_puts_its_name_into_the_address() -> None:
    app = _open()
    app.button(key="open_relays").click().run()
    assert not app.exception
    assert app.query_params["primer"] == "relays"
    assert app.title[0].value.endswith("Relays")


@pytest.mark.parametrize("name", NAMES)
def test_a_primer_shows_its_texts_its_task_and_its_questions(name: str) -> None:
    app = _open(name)
    assert not app.exception
    primer, told = library_primer(name), _texts(app)
    for text in (*primer.paragraphs, primer.task.ask, *(q.ask for q in primer.questions)):
        assert text in told
    assert "Now you" in told
    assert primer.task.told.partition("}")[2] not in told


@pytest.mark.parametrize("name", NAMES)
def test_no_answer_is_told_before_one_is_given(name: str) -> None:
    app = _open(name)
    assert "Read so:" not in _texts(app)
    assert all(button.disabled for button in app.button if button.label == "Check")


def test_an_unknown_name_in_the_address_shows_the_list() -> None:
    app = _open("../secrets")
    assert not app.exception
    assert "no such primer" in _texts(app)
    assert _buttons(app).count("Open") == len(NAMES)


def test_the_reading_that_is_asked_for_ticks_the_task_and_is_told() -> None:
    app = _open("supply_ground")
    _work(app, red="C1.5")
    assert not app.exception
    assert "✓ Done" in _texts(app)
    assert "1.292 V between the controller's ground and the body" in _texts(app)


def test_another_reading_does_not_tick_the_task_and_a_hint_is_given() -> None:
    app = _open("supply_ground")
    _work(app, red="C1.2")
    told = _texts(app)
    assert "✓ Done" not in told
    assert "Not yet. That is a reading, but the leads are on other points" in told


def test_working_a_switch_shows_what_the_vehicle_does() -> None:
    app = _open("supply_ground")
    app.segmented_control(key="primer_set_rocker").set_value("deploy").run()
    assert not app.exception
    app.run()
    assert "Left step motor: moves out" in _texts(app)
    assert app.segmented_control(key="primer_set_moment").value == "moving"


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        pytest.param("supply_ground", set(), id="switches only"),
        pytest.param("body_path", {"isolated", "unmated"}, id="battery and connectors"),
        pytest.param("drains", {"isolated", "pulled"}, id="battery and fuses"),
        pytest.param("intermittents", {"moved"}, id="wiggle"),
    ],
)
def test_only_the_controls_that_a_primer_needs_are_shown(name: str, shown: set[str]) -> None:
    app = _open(name)
    keys = {w.key for kind in (app.toggle, app.selectbox, app.button_group) for w in kind}
    extra = {"isolated", "unmated", "pulled", "moved"}
    assert {key for key in extra if f"primer_set_{key}" in keys} == shown


def test_a_right_choice_is_told_with_its_reading_and_how_it_is_read() -> None:
    app = _open("relays")
    primer = library_primer("relays")
    right = next(o.words for o in options(primer, primer.questions[0]) if o.right)
    app.radio(key="answer_relays_1").set_value(right).run()
    app.button(key="check_relays_1").click().run()
    told = _texts(app)
    assert "✓ Right." in told
    assert "Read so: volts, relay.86 to relay.85, push Pressed." in told


def test_a_wrong_choice_is_told_so_with_the_same_reading() -> None:
    app = _open("relays")
    primer = library_primer("relays")
    question = primer.questions[0]
    wrong = next(o.words for o in options(primer, question) if not o.right)
    app.radio(key="answer_relays_1").set_value(wrong).run()
    assert "✗" not in _texts(app)
    app.button(key="check_relays_1").click().run()
    told = _texts(app)
    assert "✗ Not so." in told
    assert right_answer(primer, question).display in told


@pytest.mark.parametrize(("given", "verdict"), [(84.0, "✓ Right."), (60.0, "✗ Not so.")])
def test_a_number_is_judged_against_the_reading(given: float, verdict: str) -> None:
    app = _open("relays")
    app.number_input(key="answer_relays_2").set_value(given).run()
    app.button(key="check_relays_2").click().run()
    assert verdict in _texts(app)


def test_a_primer_done_whole_is_ticked_in_the_list() -> None:
    app = _open("supply_ground")
    _work(app, red="C1.5")
    primer = library_primer("supply_ground")
    right = next(o.words for o in options(primer, primer.questions[0]) if o.right)
    app.radio(key="answer_supply_ground_1").set_value(right).run()
    app.button(key="check_supply_ground_1").click().run()
    app.number_input(key="answer_supply_ground_2").set_value(11.3).run()
    app.button(key="check_supply_ground_2").click().run()
    app.button(key="all_primers").click().run()
    assert not app.exception
    assert _texts(app).count("✓ done") == 1


def test_putting_the_vehicle_back_takes_the_leads_off_and_keeps_what_was_done() -> None:
    app = _open("supply_ground")
    _work(app, red="C1.5")
    app.button(key="primer_afresh").click().run()
    assert not app.exception
    assert app.session_state["primer_bench"].attempt.red == ""
    assert "Now you" in _texts(app)
    app.button(key="all_primers").click().run()
    assert "1 of 3 done" in _texts(app)


def test_the_meters_own_fuse_can_be_renewed_once_it_has_blown() -> None:
    app = _open("meter")
    bench = app.session_state["primer_bench"]
    attempt = bench.attempt
    for action in (TurnDial("amps"), PlaceLead("red", "BAT.pos"), PlaceLead("black", "BODY")):
        attempt = practise(attempt, action)
    app.session_state["primer_bench"] = replace(bench, attempt=attempt)
    app.run()
    assert "Fit a new fuse in the meter" in _buttons(app)
    bench = app.session_state["primer_bench"]
    lifted = practise(bench.attempt, PlaceLead("red", ""))
    app.session_state["primer_bench"] = replace(bench, attempt=lifted)
    app.run()
    app.button(key="primer_meter_fuse").click().run()
    app.run()
    assert not app.exception
    assert not app.session_state["primer_bench"].attempt.meter_blown


def test_the_next_primer_begins_with_a_vehicle_of_its_own() -> None:
    app = _open("supply_ground")
    _work(app, red="C1.5")
    app.button(key="next_primer").click().run()
    assert not app.exception
    bench = app.session_state["primer_bench"]
    assert bench.primer.name == "voltage_drop"
    assert not bench.attempt.entries

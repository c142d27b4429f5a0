"""The templates make circuits that solve, whatever is answered within what is accepted."""

from collections.abc import Mapping

import pytest

from circuits.behaviour import observe
from circuits.drawing import draw
from circuits.files import circuit_from
from circuits.instruments import Measurement, read
from circuits.model import AS_FOUND, Circuit, Vehicle
from circuits.settings import setting_from
from exercises.own.filling import Answers, Cavities, NotFilled, filled
from exercises.own.templates import Question, Template, template, template_names

ALL = template_names()


def made(name: str, typed: Mapping[str, str] | None = None, **cavities: Cavities) -> Circuit:
    return circuit_from(filled(template(name), Answers(typed or {}, cavities)), name="own")


def extreme(question: Question, end: int) -> str:
    ends = question.choices or (question.least, question.most)
    return f"{ends[end]:g}"


def test_there_is_a_template_for_each_kind_of_circuit_that_is_promised() -> None:
    assert set(ALL) == {
        "plain_load",
        "relay_load",
        "reversing_motor",
        "shared_ground_lamps",
        "coded_switch",
        "twin_motors",
    }


@pytest.mark.parametrize("name", ALL)
def test_a_template_with_nothing_known_is_a_circuit_that_draws(name: str) -> None:
    circuit = made(name)
    assert "<svg" in draw(circuit, AS_FOUND, theme="print")
    asked = {target.partition(".")[0] for q in template(name).questions for target in q.sets}
    assert {one.name for one in circuit.unsure} == asked


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("end", [0, -1], ids=["least", "most"])
def test_whatever_a_question_accepts_makes_a_circuit(name: str, end: int) -> None:
    typed = {question.name: extreme(question, end) for question in template(name).questions}
    typed |= {"second_ohm": "1000", "third_ohm": "2000"} if name == "coded_switch" else {}
    circuit = made(name, typed)
    assert not circuit.unsure
    volts = read(Vehicle(circuit), Measurement("volts", "BAT.pos", "BAT.neg")).value
    assert volts == pytest.approx(float(typed["battery"]), rel=0.02)


def test_an_answer_is_in_every_value_that_it_is_for() -> None:
    circuit = made("twin_motors", {"left_length": "4,5 m", "motor_ohm": "5.5 Ω"})
    assert circuit.wire_by_name["W13"].length_m == circuit.wire_by_name["W14"].length_m == 4.5
    motors = [circuit.part_by_name[f"{side}_motor"].spec for side in ("left", "right")]
    assert [motor.ohm for motor in motors] == [5.5, 5.5]  # type: ignore[attr-defined]
    assert not {"left_motor", "right_motor"} & set(circuit.unsure_share)


def test_a_wire_of_unknown_length_and_thickness_is_less_sure_than_one_of_known_length() -> None:
    unknown = made("plain_load").unsure_share["W2"]
    known = made("plain_load", {"feed_length": "2"}).unsure_share["W2"]
    assert unknown > known > 0


def test_every_wrong_answer_is_told_beside_its_question() -> None:
    typed = {"battery": "230 V", "fuse": "eleven", "feed_length": "-3", "area": "1.7"}
    with pytest.raises(NotFilled) as caught:
        filled(template("plain_load"), Answers(typed, {"CS": Cavities(2, (1, 1))}))
    assert caught.value.problems == {
        "battery": "found 230 V; accepted: 9 to 14 V, or nothing if you do not know.",
        "fuse": "found 'eleven'; accepted: 1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30 or 40 A, "
        "or nothing if you do not know.",
        "feed_length": "found -3 m; accepted: 0.05 to 30 m, or nothing if you do not know.",
        "area": "found 1.7 mm²; accepted: 0.35, 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16 or 25 mm², "
        "or nothing if you do not know.",
        "CS": "Switched feed: found cavity 1, which Switch feed has; accepted: each cavity once.",
    }


def test_two_buttons_of_one_resistance_are_refused() -> None:
    with pytest.raises(NotFilled) as caught:
        filled(template("coded_switch"), Answers({"second_ohm": "330", "first_ohm": "330"}))
    assert caught.value.problems == {
        "second_ohm": "found 330 Ω, as for the first button; accepted: another for each button."
    }


def test_cavities_are_where_they_are_on_the_vehicle() -> None:
    plain, own = made("twin_motors"), made("twin_motors", C1=Cavities(8, (5, 8, 1, 2, 6)))
    for circuit, request, feed in ((plain, "C1.1", "C1.2"), (own, "C1.5", "C1.8")):
        run = Vehicle(circuit).with_setting(setting_from(circuit, positions={"switch": "run"}))
        off = Vehicle(circuit)
        assert _volts(run, request) == pytest.approx(12.5, abs=0.15)
        assert _volts(off, request) == pytest.approx(0.0, abs=0.01)
        assert _volts(off, feed) == pytest.approx(12.6, abs=0.05)
    assert own.connector_by_name["C1"].labels[2] == "Spare 3"


def _volts(vehicle: Vehicle, point: str) -> float:
    value = read(vehicle, Measurement("volts", point, "BODY")).value
    assert value is not None
    return value


@pytest.mark.parametrize("ohms", [("330", "1000", "2700"), ("5600", "180", "820")])
def test_a_coded_switch_is_understood_whatever_its_resistors_are(ohms: tuple[str, ...]) -> None:
    buttons = ("first", "second", "third")
    typed = {f"{name}_ohm": ohm for name, ohm in zip(buttons, ohms, strict=True)}
    circuit = made("coded_switch", typed)
    for name in buttons:
        pressed = setting_from(circuit, positions={name: "pressed"})
        seen = observe(Vehicle(circuit).with_setting(pressed))
        assert f"Control unit: acts on the {name} button" in [one.words for one in seen]


@pytest.mark.parametrize("name", ALL)
def test_a_template_asks_in_the_words_of_a_question(name: str) -> None:
    shaped: Template = template(name)
    assert all("?" in question.ask for question in shaped.questions)
    assert all(question.sets for question in shaped.questions)

"""A plan for a real vehicle: its order, its bands, what it says of other answers."""

from random import Random

import pytest

from circuits.faults import all_faults
from circuits.files import library_circuit
from circuits.instruments import Measurement, read
from circuits.model import AS_FOUND, CircuitError, Setting, Vehicle
from circuits.settings import setting_from
from circuits.tolerance import drawn
from exercises.planning.allowed import AllowedTest
from exercises.planning.live import everything
from exercises.plans.expected import band_of, with_battery
from exercises.plans.order import healthy_walk, plan_of, sound_survivors
from exercises.plans.plan import PrintedPlan, complained, printed_plan, vehicle_circuit
from exercises.plans.symptoms import loose_wires, symptom_named
from tests.exercises.plans.circuits import LAMP, lamp_table

DARK = "L:dark@SW=on"


@pytest.fixture(scope="module")
def dark_lamp() -> PrintedPlan:
    return printed_plan(lamp_table(), [symptom_named(LAMP, DARK)])


def test_an_open_wire_is_among_the_faults_that_leave_a_lamp_dark_and_a_bright_lamp_is_not() -> None:
    left = {(f.place, f.kind) for f in complained(LAMP, [symptom_named(LAMP, DARK)]).left()}
    assert {("W2", "open"), ("F", "blown"), ("L", "open"), ("C1.2", "backed_out")} <= left
    assert ("", "no_fault") not in left
    assert ("SW.contact", "stuck_closed") not in left


def test_each_test_leaves_fewer_faults_and_none_comes_twice() -> None:
    plan = plan_of(lamp_table())
    live = everything(plan.table)
    walked = healthy_walk(plan, live)
    lefts = [len(live.spots), *(one.left for one in walked)]
    assert lefts == sorted(lefts, reverse=True)
    assert lefts[-1] < lefts[0] / 2
    assert len({one.test for one in walked}) == len(walked) > 3
    assert sound_survivors(plan, live, plan.number[walked[0].test]).sum() < len(live.cell)


def test_every_band_holds_sound_vehicles_off_nominal(dark_lamp) -> None:
    circuit, random = vehicle_circuit(LAMP, None), Random(3)
    for step in dark_lamp.steps:
        if step.test.what is None:
            continue
        band = band_of(circuit, step.test)
        for _ in range(8):
            shown = read(drawn(Vehicle(circuit, (), step.test.setting), random), step.test.what)
            value = float("inf") if shown.value is None else shown.value
            assert band.low <= value <= band.high, step


def test_what_a_step_says_of_lower_readings_reads_lower(dark_lamp) -> None:
    circuit = vehicle_circuit(LAMP, None)
    checked = 0
    blown = next(f for f in all_faults(LAMP) if (f.place, f.kind) == ("F", "blown"))
    for step in dark_lamp.steps:
        told = dict(step.means).get("lower", "")
        if step.test.what is None or "F blown" not in told:
            continue
        shown = read(Vehicle(circuit, (blown,), step.test.setting), step.test.what)
        assert shown.value is not None
        assert shown.value < band_of(circuit, step.test).low
        checked += 1
    assert checked


def test_the_battery_is_taken_off_before_the_first_ohms_and_said_once() -> None:
    steps = printed_plan(lamp_table()).steps
    ohms = [step for step in steps if step.dial == "Ω"]
    said = [step for step in steps if "isolate_first" in step.cautions]
    assert said == ohms[:1]
    assert all(step.test.setting.isolated for step in ohms)


def test_a_battery_measured_on_the_day_narrows_the_band_and_moves_it() -> None:
    test = AllowedTest(AS_FOUND, Measurement("volts", "BAT.pos", "BODY"))
    usual = band_of(loose_wires(LAMP), test)
    day = band_of(with_battery(loose_wires(LAMP), 12.1), test)
    assert day.low < 12.1 < day.high
    assert day.high - day.low < usual.high - usual.low
    assert day.high < 12.6


@pytest.mark.parametrize("volt", [0.0, -12.0, 7.0, 24.0, 230.0, float("nan")])
def test_a_battery_that_no_one_should_test_with_is_refused(volt) -> None:
    with pytest.raises(CircuitError, match="accepted: 9 to 14 V"):
        with_battery(LAMP, volt)


def test_a_complaint_that_the_circuit_cannot_have_is_refused_with_the_nearest() -> None:
    with pytest.raises(CircuitError, match="did you mean 'L:dark@SW=on'"):
        symptom_named(LAMP, "L:drak@SW=on")
    with pytest.raises(CircuitError, match="no single fault does all of it"):
        complained(LAMP, [symptom_named(LAMP, DARK), symptom_named(LAMP, "L:bright")])


SIDE_STEPS = library_circuit("side_steps")


def _apart(*unmated: str) -> Setting:
    return setting_from(SIDE_STEPS, unmated=unmated, isolated=True)


@pytest.mark.parametrize("cavities", ["12", "34"])
def test_a_winding_is_expected_as_the_trade_does(cavities) -> None:
    """5 to 7 ohms new, 1 to 2 tired, below 1 suspect (common practice, no source); a range
    under 1,000 ohms is enough."""
    red, black = (f"C2.{cavity}@harness" for cavity in cavities)
    band = band_of(loose_wires(SIDE_STEPS), AllowedTest(_apart("C2"), _ohms(red, black)))
    assert 2 < band.low <= 5
    assert 7 <= band.high < 9
    assert band.range_text == "600 Ω"


def test_a_wire_is_expected_to_read_next_to_nothing() -> None:
    """Near 0 ohms with the leads zeroed (common practice, no source)."""
    test = AllowedTest(_apart("C2", "ML"), _ohms("C2.1@harness", "ML.1@harness"))
    band = band_of(loose_wires(SIDE_STEPS), test)
    assert band.low == 0
    assert 0 < band.high < 0.5


def test_a_sound_winding_shows_ol_to_the_body() -> None:
    """Common practice, no source."""
    test = AllowedTest(_apart("C2"), _ohms("C2.1@harness", "BODY"))
    assert band_of(loose_wires(SIDE_STEPS), test).text == "OL"


def _ohms(red: str, black: str) -> Measurement:
    return Measurement("ohms", red, black, zeroed=True)


def test_a_complaint_says_what_a_driver_says() -> None:
    bell = library_circuit("call_bell")
    silent = symptom_named(bell, "bell:silent")
    assert silent.sentence(bell) == "Bell: silent (Bell push Pressed)"
    assert silent.sound == "Bell: rings"

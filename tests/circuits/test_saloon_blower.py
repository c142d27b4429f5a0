"""Saloon blower: a relay, four speeds by resistors, a thermal fuse that saves the duct."""

import pytest

from circuits.consequences import act_cautions, blown_fuses
from circuits.operate import solve
from circuits.parts.running import PackStep, ResistorPack, RunningMotor
from circuits.parts.switching import PULLED_IN
from circuits.spec import Circumstance
from tests.circuits.benches import shows
from tests.circuits.workouts import (
    codes,
    drops_too_great,
    solve_everything,
    state_of,
    vehicle,
    volts,
)

NAME = "saloon_blower"
SPEEDS = ("one", "two", "three", "four")
PACES = ("gentle", "middling", "brisk", "full")


def paces(*faults: str, **positions: str) -> list[str]:
    """Return what is heard of the fan at each speed."""
    return [
        codes(NAME, *faults, positions={**positions, "speed": speed})["blower"] for speed in SPEEDS
    ]


def test_each_speed_turns_the_fan_faster_than_the_one_before() -> None:
    assert paces() == list(PACES)
    assert codes(NAME)["blower"] == "still"
    assert paces(key="off") == ["still"] * 4


def test_the_pack_takes_what_the_motor_lacks() -> None:
    """Kirchhoff's voltage law round the load path."""
    for speed in SPEEDS:
        state = state_of(NAME, positions={"speed": speed})
        motor = volts(state, NAME, "CM.1", "CM.2")
        path = volts(state, NAME, "relay.30", "CM.1") + volts(state, NAME, "CM.2")
        assert motor + path == pytest.approx(volts(state, NAME, "relay.30"), abs=1e-9)
    low, high = (state_of(NAME, positions={"speed": s}) for s in ("one", "four"))
    assert volts(low, NAME, "CM.1", "CM.2") < volts(high, NAME, "CM.1", "CM.2") / 2
    assert high.ampere["pack.brisk"] == pytest.approx(0.0, abs=1e-9)


def test_battery_voltage_on_both_motor_wires_with_the_switch_off_proves_no_load() -> None:
    state = state_of(NAME)
    assert PULLED_IN in state.memory["relay"]
    for cavity in ("CM.1", "CM.2"):
        assert volts(state, NAME, cavity) == pytest.approx(12.65, abs=0.02)


def test_voltage_drops_of_the_healthy_circuit_are_small() -> None:
    for speed in SPEEDS:
        assert drops_too_great(NAME, positions={"speed": speed}) == []


@pytest.mark.parametrize("fault", ["pack.thermal:thermal_fuse_open", "W9:open", "CP.4:backed_out"])
def test_only_the_highest_speed_is_left_by_an_open_thermal_fuse(fault) -> None:
    """Common practice, no source."""
    assert paces(fault) == ["still", "still", "still", "full"]


@pytest.mark.parametrize(
    ("fault", "left"),
    [
        ("pack.low:open", "still middling brisk full"),
        ("pack.mid:open", "still still brisk full"),
        ("pack.brisk:open", "still still still full"),
        ("W13:open", "still middling brisk full"),
        ("speed.high:contact_open", "gentle middling brisk still"),
        ("W10:open", "gentle middling brisk still"),
        ("relay.coil:coil_open", "still still still still"),
        ("F2:blown", "still still still still"),
        ("F1:blown", "still still still still"),
        ("blower.winding:open", "still still still still"),
        ("G2:open", "still still still still"),
        ("speed.high:stuck_closed", "full full full full"),
        ("CM.1+CM.2:swapped", "backward backward backward backward"),
    ],
)
def test_each_break_takes_the_speeds_that_go_through_it(fault, left) -> None:
    assert paces(fault) == left.split()


def test_a_return_wire_chafed_to_the_body_blows_at_full_speed_with_the_switch_off() -> None:
    assert codes(NAME, "W8:chafed:0", positions={"key": "on"})["blower"] == "full"
    assert codes(NAME, "W8:chafed:0", positions={"key": "off"})["blower"] == "still"


@pytest.mark.parametrize("speed", ["one", "two", "three"])
def test_a_seized_fan_opens_the_thermal_fuse_once_it_should_have_run_up(speed) -> None:
    started = state_of(NAME, "blower:seized", positions={"speed": speed}, moment="just_operated")
    later = state_of(NAME, "blower:seized", positions={"speed": speed}, moment="at_rest")
    assert started.ampere["blower"] > 4
    assert "pack" not in started.memory
    assert later.memory["pack"] == {"blown"}
    assert later.ampere["blower"] == pytest.approx(0.0, abs=1e-6)


def test_a_seized_fan_at_full_speed_draws_its_stall_current_below_what_blows_the_fuse() -> None:
    car = vehicle(NAME, "blower:seized", positions={"speed": "four"})
    state = solve(car)
    path = 0.01 + 0.3 + 0.02
    assert state.ampere["blower"] == pytest.approx(12.65 / (path + 0.3) * 1.8, rel=0.15)
    assert blown_fuses(car, state) == frozenset()


def test_shorted_turns_draw_more_and_turn_slower() -> None:
    sound, tired = (
        state_of(NAME, *f, positions={"speed": "four"}) for f in ((), ("blower:shorted_turns:0.3",))
    )
    assert tired.ampere["blower"] > 1.2 * sound.ampere["blower"]
    speeds = [volts(state, NAME, "CM.1", "CM.2") for state in (sound, tired)]
    assert speeds[1] < speeds[0]


def test_a_burnt_relay_contact_shows_as_a_drop_only_under_load() -> None:
    """A fault to be found by drop is at least twice the limit of 0.3 V for a switch."""
    fault = "relay.contact:contact_burnt:0.3"
    off, on = (vehicle(NAME, fault, positions={"speed": s}) for s in ("off", "three"))
    assert shows(off, "volts", "relay.30", "relay.87").value == pytest.approx(0.0, abs=0.001)
    assert (shows(on, "volts", "relay.30", "relay.87").value or 0) > 0.6


def test_a_running_fan_is_not_called_a_motor_held_at_its_stop() -> None:
    car = vehicle(NAME, positions={"speed": "four"}, moment="at_rest")
    assert "held_at_stop" not in act_cautions(car, solve(car))


def test_the_pack_reads_its_resistors_in_a_row() -> None:
    car = vehicle(NAME, unmated=["CP"], isolated=True)
    for cavity, ohm in ((3, 0.4), (2, 0.9), (1, 2.05)):
        reading = shows(car, "ohms", "CP.4@unit", f"CP.{cavity}@unit", zeroed=True)
        assert reading.value == pytest.approx(ohm, abs=0.11)


def test_a_battery_too_weak_for_the_start_lets_the_relay_cut_in_and_out() -> None:
    state = state_of(NAME, "BAT:weak:3.0", positions={"speed": "four"}, moment="just_operated")
    assert state.chatter == ("relay",)


def test_every_fault_in_every_setting_comes_to_rest_or_chatters_at_the_relay() -> None:
    assert set(solve_everything(NAME)) == {"relay"}


def test_a_running_motor_stands_as_it_starts_and_runs_at_rest() -> None:
    motor = RunningMotor(ohm=0.3, k=0.04, load_nm=0.02, drag=0.002)
    stalled = {m: motor.armature(Circumstance(moment=m)).stalled for m in ("moving", "at_rest")}
    assert stalled == {"moving": False, "at_rest": False}
    assert motor.armature(Circumstance(moment="just_operated")).stalled


@pytest.mark.parametrize(
    ("steps", "told"), [((), "at least one"), ((PackStep("in", 1.0),), "accepted: others")]
)
def test_a_pack_that_cannot_be_is_refused(steps, told) -> None:
    with pytest.raises(ValueError, match=told):
        ResistorPack(steps=steps, opens_watt=40)

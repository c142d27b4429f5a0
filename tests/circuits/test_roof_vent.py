"""Roof vent: one motor reversed by a switch, stopped at each end, let back by a diode."""

from dataclasses import replace

import pytest

from circuits.consequences import act_cautions, blown_fuses, heated
from circuits.filecheck.checks import structure
from circuits.filecheck.draft import draft_of
from circuits.files import library_circuit
from circuits.operate import solve
from circuits.parts.travel import FORWARD, UNDER_WAY, LimitSwitch
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

NAME = "roof_vent"


def does(way: str, *faults: str, moment: str = "moving") -> str:
    """Return what is seen of the vent with its switch held one way."""
    return codes(NAME, *faults, positions={"vent_switch": way}, moment=moment)["motor"]


@pytest.mark.parametrize(
    ("way", "moves", "stands"),
    [
        ("off", "still", "backward_end"),
        ("open", "forward", "forward_end"),
        ("close", "backward", "backward_end"),
    ],
)
def test_the_vent_moves_as_the_switch_says_and_stops_at_its_end(way, moves, stands) -> None:
    assert does(way) == moves
    assert does(way, moment="at_rest") == stands


@pytest.mark.parametrize("way", ["open", "close"])
def test_the_limit_switch_takes_the_motor_off_the_feed_at_its_end(way) -> None:
    state = state_of(NAME, positions={"vent_switch": way}, moment="at_rest")
    assert abs(state.ampere["motor"]) < 1e-3
    feed = "CV.2" if way == "open" else "CV.3"
    assert volts(state, NAME, feed) == pytest.approx(12.65, abs=0.01)


@pytest.mark.parametrize(("way", "diode"), [("open", "closed_diode"), ("close", "open_diode")])
def test_the_start_from_an_end_goes_through_its_diode_and_then_through_its_switch(
    way, diode
) -> None:
    start, later = (
        state_of(NAME, positions={"vent_switch": way}, moment=moment)
        for moment in ("just_operated", "moving")
    )
    assert start.ampere[diode] == pytest.approx(abs(start.ampere["motor"]), abs=1e-3)
    # A silicon diode drops 0.7 V and more with amperes through it (common practice, no source).
    assert 0.7 < volts(start, NAME, f"{diode}.a", f"{diode}.k") < 1.6
    assert later.ampere[diode] == pytest.approx(0.0, abs=0.01)


def test_reversed_leads_reverse_the_motor_with_the_same_current() -> None:
    out, back = (
        state_of(NAME, positions={"vent_switch": w}, moment="moving") for w in ("open", "close")
    )
    assert out.ampere["motor"] == pytest.approx(-back.ampere["motor"], rel=1e-3)


def test_voltage_drops_of_the_healthy_circuit_are_small() -> None:
    for way in ("open", "close"):
        assert drops_too_great(NAME, positions={"vent_switch": way}, moment="moving") == []


@pytest.mark.parametrize(
    ("fault", "opens", "closes"),
    [
        ("open_diode:open", "forward", "still"),
        ("closed_diode:open", "still", "still"),
        ("open_limit:contact_open", "still", "still"),
        ("closed_limit:contact_open", "forward", "still"),
        ("vent_switch.feed_two:contact_open", "forward", "still"),
        ("vent_switch.ground_two:contact_open", "still", "still"),
        ("W5:open", "still", "still"),
        ("G1:open", "still", "still"),
        ("motor:seized", "still", "still"),
        ("motor.winding:open", "still", "still"),
        ("CV.2+CV.3:swapped", "still", "forward"),
    ],
)
def test_each_break_stops_the_ways_that_go_through_it(fault, opens, closes) -> None:
    """A vent that never opened has nowhere to close from."""
    assert (does("open", fault), does("close", fault)) == (opens, closes)


def test_a_switch_lamp_that_burns_clears_the_feed_as_far_as_the_key() -> None:
    at = {"positions": {"vent_switch": "open"}}
    assert codes(NAME, "W3:open", **at)["switch_lamp"] == "bright"
    for fault in ("F1:blown", "W2:open", "key.contact:contact_open"):
        assert codes(NAME, fault, **at)["switch_lamp"] == "dark"


@pytest.mark.parametrize("fault", ["open_limit:stuck_closed", "open_diode:shorted:0"])
def test_a_limit_that_does_not_open_holds_the_motor_at_its_stop_with_current_on(fault) -> None:
    car = vehicle(NAME, fault, positions={"vent_switch": "open"}, moment="at_rest")
    state = solve(car)
    assert state.ampere["motor"] == pytest.approx(12.65 / 2.6, rel=0.05)
    assert "held_at_stop" in act_cautions(car, state)
    assert dict(heated(car, state))["motor"] > 22
    assert does("close", fault) == "backward"


def test_a_reversing_contact_stuck_closed_shorts_the_feed_the_other_way() -> None:
    fault = "vent_switch.feed_one:stuck_closed"
    opened = vehicle(NAME, fault, positions={"vent_switch": "open"})
    closed = vehicle(NAME, fault, positions={"vent_switch": "close"})
    assert blown_fuses(opened, solve(opened)) == frozenset()
    assert blown_fuses(closed, solve(closed)) == {"F1"}


def test_the_winding_reads_through_the_closed_limit_switch_one_way_round_only() -> None:
    """With the vent closed its limit switch is open and leaves the diode alone in the way."""
    car = vehicle(NAME, unmated=["IV"], isolated=True)
    closed_end = shows(car, "ohms", "motor.b", "IV.2@roof")
    open_end = shows(car, "ohms", "IV.1@roof", "motor.a", zeroed=True)
    assert closed_end.value is None or closed_end.value > 100
    assert open_end.value == pytest.approx(0.0, abs=0.11)
    assert shows(car, "ohms", "motor.a", "motor.b").value == pytest.approx(2.6, abs=0.2)


def test_every_fault_in_every_setting_comes_to_rest() -> None:
    assert solve_everything(NAME) == {}


@pytest.mark.parametrize(
    ("linked", "forward_open", "backward_open"),
    [((), False, True), ((FORWARD,), True, False), ((FORWARD, UNDER_WAY), False, False)],
)
def test_a_limit_switch_is_open_at_its_own_end_only(linked, forward_open, backward_open) -> None:
    at = Circumstance(linked=frozenset(linked))
    assert LimitSwitch("motor", "forward").is_open(at) is forward_open
    assert LimitSwitch("motor", "backward").is_open(at) is backward_open


def test_a_limit_switch_that_follows_no_part_is_told_of() -> None:
    circuit = library_circuit(NAME)
    parts = tuple(part for part in circuit.parts if part.name != "motor")
    told = list(structure(draft_of(replace(circuit, parts=parts))))
    assert sum("> follows: found 'motor'" in sentence for sentence in told) == 2

"""Fuel gauge: current through a sender in the tank, and a ground that the pump shares."""

import pytest

from circuits.parts.gauge import Gauge, Sender, Stabiliser
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

NAME = "fuel_gauge"
LEVELS = ("empty", "half", "full")
EMPTY, QUARTER, HALF, MOST, FULL = (f"quarter_{n}" for n in range(5))


def at(level: str) -> dict[str, str]:
    """Return the positions with so much fuel in the tank."""
    return {"level": level}


def read_at_each_level(*faults: str, **setting: object) -> list[str]:
    """Return what the fuel gauge shows with the tank empty, half full and full."""
    return [codes(NAME, *faults, positions=at(level), **setting)["fuel"] for level in LEVELS]


def coolant(*faults: str) -> str:
    """Return what the other gauge on the stabiliser shows."""
    return codes(NAME, *faults)["coolant"]


def test_the_gauge_shows_the_level_and_falls_below_its_scale_with_the_key_off() -> None:
    assert read_at_each_level() == [EMPTY, HALF, FULL]
    off = codes(NAME, positions={"key": "off"})
    assert (off["fuel"], off["coolant"], off["pump"]) == ("below", "below", "still")


def test_gauge_and_sender_share_the_stabilised_volts_in_series() -> None:
    """Ohm's law for two resistors in series."""
    for level, ohm in zip(LEVELS, (250.0, 80.0, 12.0), strict=True):
        state = state_of(NAME, positions=at(level))
        across = volts(state, NAME, "fuel.a", "level.b")
        assert state.ampere["fuel"] == pytest.approx(across / (60 + ohm + 0.13), rel=0.002)


@pytest.mark.parametrize(("fault", "feed"), [("", 12.6), ("BAT:flat:11.0", 11.0)])
def test_the_stabiliser_holds_its_volts_whatever_the_battery_does(fault, feed) -> None:
    state = state_of(NAME, *([fault] if fault else []))
    assert volts(state, NAME, "CS.1") == pytest.approx(feed, abs=0.2)
    assert volts(state, NAME, "CS.2", "CS.3") == pytest.approx(8.0, abs=0.3)


def test_voltage_drops_of_the_healthy_circuit_are_small() -> None:
    for level in LEVELS:
        assert drops_too_great(NAME, positions=at(level), moment="at_rest") == []


@pytest.mark.parametrize("fault", ["G1:open", "W7:open", "stabiliser.ground:inner_ground_lost"])
def test_a_stabiliser_without_ground_makes_both_gauges_read_high(fault) -> None:
    """Common practice, no source."""
    assert read_at_each_level(fault) == [QUARTER, MOST, "above"]
    assert coolant(fault) == MOST


def test_a_dead_stabiliser_makes_both_gauges_fall() -> None:
    for fault in ("stabiliser.out:output_dead", "F1:blown", "W5:open"):
        assert read_at_each_level(fault) == ["below"] * 3
        assert coolant(fault) == "below"
        assert codes(NAME, fault)["pump"] == "full"


def test_a_poor_tank_ground_makes_only_the_fuel_gauge_read_low_while_the_pump_runs() -> None:
    fault = "G2:corroded:0.6"
    assert read_at_each_level(fault) == ["below", QUARTER, MOST]
    assert coolant(fault) == HALF
    assert read_at_each_level(fault, pulled=["F2"]) == [EMPTY, HALF, FULL]


def test_the_shared_ground_is_lifted_by_the_pump_and_not_by_the_sender() -> None:
    fault = "G2:corroded:0.6"
    running, stopped = (vehicle(NAME, fault, **more) for more in ({}, {"pulled": ["F2"]}))
    assert (shows(running, "volts", "S2.in", "BODY").value or 0) > 2 * 0.1
    assert shows(stopped, "volts", "S2.in", "BODY").value == pytest.approx(0.06 * 0.61, abs=0.01)


@pytest.mark.parametrize(
    ("fault", "found"),
    [
        ("level.track:open", ["below"] * 3),
        ("W10:open", ["below"] * 3),
        ("CT.1:backed_out", ["below"] * 3),
        ("W10:chafed:0", ["above"] * 3),
        ("level.track:shorted:0", ["above"] * 3),
        ("level.float:float_stuck:0", [EMPTY] * 3),
        ("level.float:float_stuck:1", [FULL] * 3),
        ("level.float:float_bent:-0.3", [EMPTY, EMPTY, MOST]),
        ("W14:high_resistance:30", [EMPTY, QUARTER, MOST]),
        ("fuel:open", ["below"] * 3),
    ],
)
def test_each_fault_of_the_sender_path_moves_the_needle_as_its_current_does(fault, found) -> None:
    assert read_at_each_level(fault) == found
    assert coolant(fault) == HALF


def test_a_lost_tank_ground_stops_the_pump_and_feeds_the_gauge_backwards_through_it() -> None:
    state = state_of(NAME, "G2:open")
    assert codes(NAME, "G2:open")["pump"] == "still"
    assert state.ampere["fuel"] < -0.02
    assert volts(state, NAME, "CT.3@body") > 12


def test_bridging_the_signal_at_the_tank_sends_the_needle_to_the_top() -> None:
    """Open to the bottom, grounded to the top (common practice, no source)."""
    bridged = vehicle(NAME, unmated=["CT"], jumpers=[("CT.1@body", "CT.3@body")])
    assert shows(bridged, "clamp", "W10").value == pytest.approx(8.1 / 60.1, abs=0.01)
    assert codes(NAME, unmated=["CT"])["fuel"] == "below"


def test_the_sender_reads_its_own_ohms_from_the_tank_side() -> None:
    for level, ohm in zip(LEVELS, (250.0, 80.0, 12.0), strict=True):
        car = vehicle(NAME, positions=at(level), unmated=["CT"], isolated=True)
        reading = shows(car, "ohms", "CT.1@tank", "CT.3@tank", zeroed=True)
        assert reading.value == pytest.approx(ohm, abs=0.3)


def test_every_fault_in_every_setting_comes_to_rest() -> None:
    assert solve_everything(NAME) == {}


def test_a_track_between_two_positions_is_in_proportion() -> None:
    sender = Sender(("empty", "half", "full"), "half", ohms=(250.0, 80.0, 12.0))
    shares = (0.0, 0.25, 0.5, 0.75, 1.0)
    assert [sender.track_ohm(share) for share in shares] == [250.0, 165.0, 80.0, 46.0, 12.0]
    bent = Circumstance(position="full", faults=(("float", "float_bent", 0.5),))
    assert sender.level(bent) == 1.0


def test_a_needle_stands_at_its_marks() -> None:
    gauge = Gauge(ohm=60, scale_a=(0.02, 0.06, 0.12))
    assert [gauge.needle(a) for a in (0.02, 0.04, 0.06, 0.09, 0.12)] == pytest.approx(
        [0.0, 0.25, 0.5, 0.75, 1.0]
    )


def test_gauges_and_senders_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="does not rise"):
        Gauge(ohm=60, scale_a=(0.1, 0.05))
    with pytest.raises(ValueError, match="one for each"):
        Sender(("empty", "full"), "empty", ohms=(250.0,))
    assert Stabiliser(out_volt=8, series_ohm=10).terminals() == ("feed", "out", "ground")

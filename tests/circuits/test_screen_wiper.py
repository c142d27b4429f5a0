"""Screen wiper: two speeds, and a park switch that feeds the motor until it may stop."""

import pytest

from circuits.consequences import act_cautions, blown_fuses
from circuits.operate import solve
from tests.circuits.benches import shows
from tests.circuits.workouts import (
    codes,
    drops_too_great,
    solve_everything,
    state_of,
    vehicle,
    volts,
)

NAME = "screen_wiper"
WAYS = ("slow", "fast", "off")


def does(way: str, *faults: str, moment: str = "moving") -> str:
    """Return what is seen of the blades with the stalk in a position."""
    return codes(NAME, *faults, positions={"stalk": way}, moment=moment)["wiper"]


def test_the_blades_wipe_at_two_speeds_and_park_when_switched_off() -> None:
    assert [does(way) for way in WAYS] == ["slow", "fast", "parks"]
    assert [does(way, moment="at_rest") for way in WAYS] == ["slow", "fast", "parked"]


def test_the_fast_brush_draws_more_and_turns_faster() -> None:
    """Fewer turns: less back EMF a revolution, so more of them at the same volts (UP 13.6)."""
    slow, fast = (state_of(NAME, positions={"stalk": w}) for w in ("slow", "fast"))
    assert fast.ampere["F1"] > 1.5 * slow.ampere["F1"]


def test_the_park_switch_is_live_on_the_way_home_and_grounded_there() -> None:
    homing, parked = (
        state_of(NAME, positions={"stalk": "off"}, moment=m) for m in ("moving", "at_rest")
    )
    assert volts(homing, NAME, "CM.4") > 12
    assert homing.ampere["W9"] == pytest.approx(-homing.ampere["W8"], abs=0.01)
    assert volts(parked, NAME, "CM.4") == pytest.approx(0.0, abs=0.01)
    assert volts(parked, NAME, "CM.3") == pytest.approx(12.65, abs=0.01)


def test_voltage_drops_of_the_healthy_circuit_are_small() -> None:
    for way in WAYS:
        both = {"stalk": way, "washer": "pressed"}
        assert drops_too_great(NAME, positions=both, moment="moving") == []


@pytest.mark.parametrize(
    "fault", ["wiper.park_run:contact_open", "W5:open", "W9:open", "stalk.park:contact_open"]
)
def test_blades_that_stop_where_they_are_switched_off_lack_the_park_feed(fault) -> None:
    """Common practice, no source."""
    assert [does(way, fault) for way in WAYS] == ["slow", "fast", "across"]
    assert does("off", fault, moment="at_rest") == "across"


def test_blades_that_never_stop_have_a_park_switch_stuck_on_its_feed() -> None:
    """Common practice, no source."""
    fault = "wiper.park_run:stuck_closed"
    assert [does("off", fault, moment=m) for m in ("moving", "at_rest")] == ["slow", "slow"]


def test_a_slow_contact_stuck_closed_meets_the_park_ground_and_blows_the_fuse() -> None:
    """The stalk joins the live slow brush to the park switch, which grounds it once a turn."""
    car = vehicle(NAME, "stalk.slow:stuck_closed", positions={"stalk": "off"}, moment="at_rest")
    assert blown_fuses(car, solve(car)) == {"F1"}


@pytest.mark.parametrize(
    ("fault", "slow", "fast"),
    [
        ("wiper.slow_brush:lifting_brush", "parked", "fast"),
        ("wiper.fast_brush:lifting_brush", "slow", "parked"),
        ("wiper.common_brush:lifting_brush", "parked", "parked"),
        ("stalk.slow:contact_open", "parked", "fast"),
        ("stalk.fast:contact_open", "slow", "parked"),
        ("CM.1+CM.2:swapped", "fast", "slow"),
        ("wiper.mechanism:seized", "parked", "parked"),
        ("wiper.mechanism:stiff:4.5", "sluggish", "sluggish"),
        ("wiper.winding:open", "parked", "parked"),
        ("G1:open", "parked", "parked"),
        ("F1:blown", "parked", "parked"),
    ],
)
def test_each_fault_takes_the_speeds_that_go_through_it(fault, slow, fast) -> None:
    assert (does("slow", fault), does("fast", fault)) == (slow, fast)


def test_a_stuck_wiper_draws_its_stall_current_and_the_washer_still_works() -> None:
    state = state_of(NAME, "wiper:seized", positions={"stalk": "slow"})
    assert state.ampere["F1"] == pytest.approx(12.65 / 0.98, rel=0.03)
    at = {"positions": {"washer": "pressed"}}
    assert codes(NAME, "wiper:seized", **at)["pump"] == "full"


def test_a_washer_that_works_clears_fuse_and_splice() -> None:
    at = {"positions": {"washer": "pressed"}}
    assert codes(NAME, "CW.1:backed_out", **at)["pump"] == "full"
    for fault in ("F1:blown", "S1:open", "W3:open"):
        assert codes(NAME, fault, **at)["pump"] == "still"


def test_shorted_turns_draw_more_and_wipe_slower() -> None:
    sound, tired = (
        state_of(NAME, *f, positions={"stalk": "slow"}) for f in ((), ("wiper:shorted_turns:0.3",))
    )
    assert tired.ampere["F1"] > 1.3 * sound.ampere["F1"]
    assert volts(tired, NAME, "CM.2", "CM.5") < volts(sound, NAME, "CM.2", "CM.5")


def test_a_lifting_brush_falls_back_when_the_motor_is_tapped() -> None:
    fault = "wiper.slow_brush:lifting_brush"
    at = {"unmated": ["CM"], "isolated": True}
    leads = ("CM.2@unit", "CM.5@unit")
    assert shows(vehicle(NAME, fault, **at), "ohms", *leads).display == "OL"
    tapped = shows(vehicle(NAME, fault, moved="wiper", **at), "ohms", *leads, zeroed=True)
    assert tapped.value == pytest.approx(0.9, abs=0.11)


def test_the_fast_brush_reads_fewer_ohms_than_the_slow_one() -> None:
    car = vehicle(NAME, unmated=["CM"], isolated=True)
    slow, fast = (
        shows(car, "ohms", f"CM.{n}@unit", "CM.5@unit", zeroed=True).exact or 0 for n in (2, 1)
    )
    assert fast == pytest.approx(0.65 * slow, rel=0.02)


def test_a_running_wiper_is_not_called_a_motor_held_at_its_stop() -> None:
    car = vehicle(NAME, positions={"stalk": "fast"}, moment="at_rest")
    assert "held_at_stop" not in act_cautions(car, solve(car))


def test_every_fault_in_every_setting_comes_to_rest() -> None:
    assert solve_everything(NAME) == {}

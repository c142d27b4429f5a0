"""Discrete states settle round the network, and what remembers is remembered."""

from dataclasses import replace

import pytest

from circuits.faults import all_faults
from circuits.model import Fault, Vehicle
from circuits.operate import phases, solve, solve_many
from circuits.parts.supply import Fuse
from circuits.parts.switching import PULLED_IN
from tests.circuits.benches import BELL, DEPLOY, PRESSED, STEPS, bell, steps, vehicle


def test_a_pressed_push_pulls_the_relay_in() -> None:
    state = solve(bell(**PRESSED))
    assert state.memory["relay"] == {PULLED_IN}
    assert abs(state.ampere["bell"]) > 0.9


def test_a_released_push_lets_the_relay_drop_out_again() -> None:
    state = solve(bell(positions={"push": "released"}))
    assert "relay" not in state.memory
    assert state.ampere.get("bell", 0.0) == pytest.approx(0.0, abs=1e-9)


def test_a_relay_pulled_in_is_held_by_a_leak_too_small_to_pull_it_in() -> None:
    # 170 ohms to the body leave about 4 V on the 85 ohm coil: below 8 V, above 1.5 V.
    held = bell("push.contact:leaking:170", positions={"push": "released"})
    assert PULLED_IN in solve(held).memory["relay"]


def test_a_leak_below_the_drop_out_current_lets_the_relay_go() -> None:
    dropped = bell("push.contact:leaking:3000", positions={"push": "released"})
    assert "relay" not in solve(dropped).memory


def test_a_starter_on_a_weak_battery_chatters() -> None:
    state = solve(CLATTERING)
    assert state.chatter == ("starter",)
    assert state.other is not None


CLATTERING = vehicle("cranking", "BAT:weak:0.09", positions={"key": "start"})


@pytest.mark.parametrize(
    ("share", "blown"),
    [
        pytest.param(1.1, False, id="a tenth under what it holds"),
        pytest.param(0.9, True, id="a tenth over it"),
    ],
)
def test_a_fuse_goes_by_the_mean_square_of_a_current_that_chatters(share, blown) -> None:
    """Joule heat goes with the square of the current; makers' sheets let 135 % of the rating
    open a blade fuse (``tests/outside/test_fuses.py``). As much time is spent in each of the
    two states (common practice, no source)."""
    now, then = (s.ampere["F1"] for s in (solve(CLATTERING), solve(CLATTERING).other))
    heating = ((now**2 + then**2) / 2) ** 0.5
    assert max(now, then) > 1.35 * heating  # the peak alone would open either
    rating = share * heating / 1.35
    parts = tuple(
        replace(part, spec=Fuse(rating)) if part.name == "F1" else part
        for part in CLATTERING.circuit.parts
    )
    other = replace(CLATTERING.circuit, parts=parts, digest=f"F1 of {rating} A")
    state = solve(replace(CLATTERING, circuit=other))
    assert (state.memory.get("F1") == {"blown"}) is blown
    assert (not state.chatter) is blown


def test_a_contact_that_shorts_itself_over_and_over_blows_its_fuse() -> None:
    """69 A half of the time is 49 A by its heat, ten times what the fuse is made for."""
    state = solve(bell("W5+W7:touching:0", **PRESSED))
    assert state.memory["F1"] == {"blown"}
    assert not state.chatter


def test_a_short_to_the_body_blows_the_fuse_that_feeds_it() -> None:
    state = solve(steps("W4:chafed:0"))
    assert state.memory["F1"] == {"blown"}
    assert "F2" not in state.memory
    assert "F3" not in state.memory


def test_a_short_that_only_the_lamps_position_feeds_blows_its_fuse_only_there() -> None:
    off = solve(steps("W8:chafed:0", positions={"key": "off"}))
    on = solve(steps("W8:chafed:0", positions={"rocker": "lamps"}))
    assert "F3" not in off.memory
    assert on.memory["F3"] == {"blown"}


def test_a_short_on_the_load_side_trips_the_controller_before_the_fuse() -> None:
    state = solve(steps("W14+W15:touching:0", **DEPLOY))
    assert "trip:left" in state.memory["unit"]
    assert "F1" not in state.memory
    assert abs(state.ampere["right_motor"]) > 0.3


def test_a_blown_fuse_stays_blown_in_another_setting() -> None:
    vehicle = steps().with_blown(["F1"])
    assert solve(vehicle).volt["C1.2@harness"] == pytest.approx(0.0, abs=0.05)


def test_a_controller_on_a_poor_ground_wakes_and_sleeps_by_turns() -> None:
    state = solve(steps("G1:corroded:10", **DEPLOY))
    assert state.chatter == ("unit",)


def test_a_controller_drives_both_motors_out_on_request_and_back_on_release() -> None:
    out = solve(steps(**DEPLOY))
    back = solve(steps(positions={"rocker": "off"}, moment="moving"))
    for motor in ("left_motor", "right_motor"):
        assert out.ampere[motor] > 0.3
        assert back.ampere[motor] < -0.3


def test_a_controller_without_the_lamp_feed_stays_where_it_is() -> None:
    state = solve(steps("W9:open", **DEPLOY))
    assert abs(state.ampere["left_motor"]) < 1e-3


def test_outputs_are_off_once_the_steps_have_come_to_rest() -> None:
    state = solve(steps(positions={"rocker": "deploy"}, moment="at_rest"))
    assert abs(state.ampere["left_motor"]) < 1e-6


def test_a_motor_draws_its_stall_current_as_it_starts() -> None:
    state = solve(steps(positions={"rocker": "deploy"}, moment="just_operated"))
    assert state.ampere["left_motor"] == pytest.approx(12.3 / 6.2, rel=0.05)


def test_a_setting_at_rest_comes_after_the_press_and_the_motion() -> None:
    moments = [
        setting.moment
        for setting in phases(steps(positions={"rocker": "deploy"}, moment="at_rest"))
    ]
    assert moments == ["moving", "moving", "at_rest"]


@pytest.mark.parametrize("circuit", [BELL, STEPS], ids=lambda c: c.name)
def test_solving_side_by_side_gives_what_solving_one_at_a_time_gives(circuit) -> None:
    faults = all_faults(circuit)[::9]
    vehicles = [Vehicle(circuit, (fault,)) for fault in faults]
    for one, together in zip(vehicles, solve_many(vehicles), strict=True):
        alone = solve(one)
        assert alone.memory == together.memory
        for node, volt in alone.volt.items():
            if alone.island[node] == alone.island["BODY"]:
                assert together.volt[node] == pytest.approx(volt, abs=1e-7)


def test_no_net_current_flows_out_of_an_isolated_battery() -> None:
    state = solve(steps(isolated=True))
    assert state.ampere["BAT"] == pytest.approx(0.0, abs=1e-9)
    assert state.between("BAT.pos", "BODY") == pytest.approx(0.0, abs=1e-9)
    assert state.between("BAT.pos", "BAT.neg") == pytest.approx(12.65, abs=0.01)


def test_swapped_wires_reverse_the_motor() -> None:
    state = solve(steps("C2.1+C2.2:swapped", **DEPLOY))
    assert state.ampere["left_motor"] < -0.3
    assert state.ampere["right_motor"] > 0.3


def test_two_faults_act_at_once() -> None:
    vehicle = Vehicle(STEPS, (Fault("W4", "open"), Fault("W5", "open")))
    state = solve(vehicle.with_setting(steps(**DEPLOY).setting))
    assert "awake" not in state.memory.get("unit", ())

"""The ramp winch: two change-over contactors, 90 amperes, and the drops along its path."""

import pytest

from circuits.consequences import act_cautions, held_motors
from circuits.operate import solve, solve_many
from tests.circuits.benches import doing, every_vehicle, shows, vehicle


def ramp(way: str, *faults: str, **setting: object):
    """Return the vehicle with the hand control held up, down or let go."""
    positions = {"hand_control": way, **setting.pop("positions", {})}
    return vehicle("ramp_winch", *faults, positions=positions, **setting)


def volts(what, *leads: str) -> float:
    return shows(what, "volts", *leads).value or 0.0


@pytest.mark.parametrize(
    ("way", "does"), [("up", "forward"), ("down", "backward"), ("off", "still")]
)
def test_the_ramp_follows_the_hand_control(way, does) -> None:
    assert doing(ramp(way, moment="moving"), "motor") == does


@pytest.mark.parametrize("positions", [{"door": "shut"}, {"isolator": "off"}])
def test_nothing_moves_with_the_door_shut_or_the_isolator_off(positions) -> None:
    assert doing(ramp("up", positions=positions), "up") == "out"


def test_the_moving_ramp_draws_about_90_amperes_either_way() -> None:
    """The design of this vehicle."""
    assert shows(ramp("up"), "clamp", "W5").value == pytest.approx(90, abs=2)
    assert shows(ramp("down"), "clamp", "W5").value == pytest.approx(-90, abs=2)


def test_the_current_turns_round_in_the_motor_and_not_in_the_battery_cable() -> None:
    up, down = (shows(ramp(way), "clamp", "W1").value for way in ("up", "down"))
    assert up == pytest.approx(down, abs=0.5)


@pytest.mark.parametrize("way", ["up", "down"])
@pytest.mark.parametrize(
    ("leads", "limit"),
    [
        pytest.param(("BAT.pos", "F1.in"), 0.2, id="battery cable"),
        pytest.param(("isolator.in", "isolator.out"), 0.3, id="isolator"),
        pytest.param(("isolator.out", "up.87"), 0.2, id="long cable"),
        pytest.param(("down.87a", "G2"), 0.1, id="ground cable"),
        pytest.param(("G2", "BODY"), 0.1, id="winch ground"),
        pytest.param(("BODY", "G1"), 0.1, id="battery ground"),
        pytest.param(("G1", "BAT.neg"), 0.2, id="battery ground cable"),
    ],
)
def test_a_sound_vehicle_loses_no_more_than_is_commonly_allowed(way, leads, limit) -> None:
    """Limits: SAE advice as workshop manuals quote it; an encyclopaedia article."""
    assert 0 <= volts(ramp(way), *leads) < limit


@pytest.mark.parametrize(
    ("way", "leads"), [("up", ("up.87", "up.30")), ("up", ("down.30", "down.87a"))]
)
def test_a_sound_contactor_loses_less_than_0_3_volts(way, leads) -> None:
    """SAE advice as workshop manuals quote it."""
    assert 0 < volts(ramp(way), *leads) < 0.3


def test_a_pitted_make_contact_costs_one_way_only() -> None:
    fault = "up.contact:contact_pitted:0.025"
    assert doing(ramp("up", fault), "motor") == "forward_slow"
    assert volts(ramp("up", fault), "up.87", "up.30") > 1.5
    assert doing(ramp("down", fault), "motor") == "backward"


@pytest.mark.parametrize(
    "fault", ["W3:poor_joint:0.025", "isolator.contact:contact_pitted:0.025", "G2:poor_joint:0.025"]
)
def test_a_poor_joint_in_the_common_path_costs_both_ways(fault) -> None:
    assert doing(ramp("up", fault), "motor") == "forward_slow"
    assert doing(ramp("down", fault), "motor") == "backward_slow"


def test_a_poor_joint_shows_no_drop_while_nothing_flows() -> None:
    what = ramp("off", "W3:poor_joint:0.1")
    assert volts(what, "isolator.out", "up.87") == pytest.approx(0, abs=0.001)


@pytest.mark.parametrize(
    "fault", ["F2:blown", "W11:open", "door.contact:contact_open", "CH.1:backed_out", "G3:open"]
)
@pytest.mark.parametrize("way", ["up", "down"])
def test_a_break_in_the_common_control_path_silences_both_contactors(fault, way) -> None:
    assert doing(ramp(way, fault), way) == "out"


@pytest.mark.parametrize(
    "fault", ["CH.2:backed_out", "up.coil:coil_open", "hand_control.up:contact_open"]
)
def test_a_break_in_one_control_path_leaves_the_other_way_alone(fault) -> None:
    assert doing(ramp("up", fault), "motor") == "still"
    assert doing(ramp("down", fault), "motor") == "backward"


def test_swapped_requests_make_the_ramp_go_the_wrong_way() -> None:
    assert doing(ramp("up", "CH.2+CH.3:swapped"), "motor") == "backward"


def test_a_welded_up_contact_lifts_unasked_and_will_not_lower() -> None:
    """Both motor studs are then at battery voltage: no volts across the motor."""
    fault = "up.contact:stuck_closed"
    assert doing(ramp("off", fault, moment="moving"), "motor") == "forward"
    down = ramp("down", fault)
    assert doing(down, "motor") == "still"
    assert volts(down, "motor.a", "BODY") > 12
    assert volts(down, "motor.b", "BODY") > 12


def test_request_wires_that_touch_pull_both_contactors_in_and_nothing_moves() -> None:
    what = ramp("up", "W13+W14:touching:0")
    assert doing(what, "down") == "in"
    assert doing(what, "motor") == "still"


def test_a_ramp_held_at_its_stop_draws_stall_current_and_carries_a_caution() -> None:
    what = ramp("up", moment="at_rest")
    state = solve(what)
    assert held_motors(what, state)["motor"] == pytest.approx(238, abs=10)
    assert "held_at_stop" in act_cautions(what, state)
    assert "F1" not in state.memory


def test_an_isolator_that_never_opens_leaves_the_winch_live() -> None:
    what = ramp("up", "isolator.contact:stuck_closed", positions={"isolator": "off"})
    assert doing(what, "motor") == "forward"


def test_a_chafed_long_cable_blows_the_strip_fuse() -> None:
    assert solve(ramp("off", "W3:chafed:0")).memory["F1"] == {"blown"}


def test_a_weak_feed_lets_the_contactor_chatter() -> None:
    """It pulls in unloaded, the motor pulls the feed down, it lets go."""
    assert solve(ramp("up", "F1:corroded:0.6")).chatter == ("up",)


def test_a_stiff_ramp_draws_more_and_moves_slowly() -> None:
    what = ramp("up", "motor.mechanism:stiff:2")
    assert (shows(what, "clamp", "W5").value or 0) > 160
    assert doing(what, "motor") == "forward_slow"


def test_every_fault_at_every_severity_settles_or_chatters_in_every_setting() -> None:
    states = solve_many(every_vehicle("ramp_winch", moments=("moving",), each=5))
    assert {state.chatter for state in states} <= {(), ("up",), ("down",)}

"""Cranking: what the trade finds on batteries, cables, relays, solenoids and starters."""

import pytest

from circuits.operate import solve, solve_many
from circuits.parts.switching import PULLED_IN
from tests.circuits.benches import doing, every_vehicle, shows, vehicle

START = {"positions": {"key": "start"}}


def cranking(*faults: str, **setting: object):
    """Return the vehicle with the key held at start."""
    return vehicle("cranking", *faults, **{**START, **setting})


def volts(what, *leads: str) -> float:
    return shows(what, "volts", *leads).value or 0.0


def test_the_starter_turns_only_with_the_key_at_start_and_the_lever_in_neutral() -> None:
    assert doing(cranking(), "starter") == "cranks"
    assert doing(vehicle("cranking"), "starter") == "silent"
    in_gear = vehicle("cranking", positions={"key": "start", "lever": "in_gear"})
    assert doing(in_gear, "starter") == "silent"


def test_a_sound_starter_cranks_with_about_150_amperes() -> None:
    """The design of this vehicle."""
    assert shows(cranking(), "clamp", "W1").value == pytest.approx(150, abs=5)


def test_a_sound_battery_stays_above_9_6_volts_while_cranking() -> None:
    """Common practice, no source."""
    assert volts(cranking(), "BAT.pos", "BAT.neg") > 9.6


@pytest.mark.parametrize(
    ("leads", "limit"),
    [
        pytest.param(("BAT.pos", "starter.bat"), 0.2, id="heavy cable"),
        pytest.param(("starter.bat", "starter.motor"), 0.3, id="solenoid"),
        pytest.param(("G1", "BAT.neg"), 0.2, id="ground cable"),
        pytest.param(("BODY", "G1"), 0.1, id="body ground"),
        pytest.param(("starter.block", "G2"), 0.2, id="engine strap"),
        pytest.param(("starter.case", "starter.block"), 0.1, id="mounting face"),
        pytest.param(("BAT.pos", "starter.motor"), 0.5, id="positive side"),
        pytest.param(("starter.case", "BAT.neg"), 0.3, id="ground side"),
        pytest.param(("relay.30", "relay.87"), 0.3, id="start relay"),
        pytest.param(("C2.1", "BODY"), 0.1, id="neutral switch and its ground"),
    ],
)
def test_a_sound_vehicle_loses_no_more_than_is_commonly_allowed(leads, limit) -> None:
    """Limits: SAE advice as workshop manuals quote it; a starter tester's manual for sides."""
    assert 0 <= volts(cranking(), *leads) < limit


def test_total_loss_around_the_starter_is_below_0_8_volts() -> None:
    """A starter tester's manual."""
    lost = volts(cranking(), "BAT.pos", "BAT.neg") - volts(
        cranking(), "starter.motor", "starter.case"
    )
    assert 0 < lost < 0.8


@pytest.mark.parametrize(
    ("fault", "leads"),
    [
        ("W1:poor_joint:0.012", ("BAT.pos", "starter.bat")),
        ("starter.mount:poor_joint:0.012", ("starter.case", "starter.block")),
        ("W4:poor_joint:0.012", ("starter.block", "G2")),
        ("G2:poor_joint:0.012", ("G2", "BODY")),
        ("G1:poor_joint:0.012", ("BODY", "G1")),
        ("W2:poor_joint:0.012", ("G1", "BAT.neg")),
    ],
)
def test_a_joint_of_12_milliohms_slows_the_starter_and_shows_only_under_load(fault, leads) -> None:
    """Ohm's law: some 140 A through 12 milliohms; an ohmmeter's last digit is 0.1 ohms."""
    bad = cranking(fault)
    assert doing(bad, "starter") == "cranks_slowly"
    assert 1.4 < volts(bad, *leads) < 2.1
    assert volts(vehicle("cranking", fault), *leads) == pytest.approx(0.0, abs=0.002)


def test_a_pitted_solenoid_contact_drops_over_a_volt_and_slows_the_starter() -> None:
    bad = cranking("starter.contact:contact_pitted:0.012")
    assert volts(bad, "starter.bat", "starter.motor") > 1.0
    assert doing(bad, "starter") == "cranks_slowly"


def test_an_ohmmeter_cannot_tell_a_poor_cable_from_a_good_one() -> None:
    leads = ("BAT.pos", "starter.bat")
    good, bad = (
        shows(vehicle("cranking", *faults, isolated=True), "ohms", *leads, zeroed=True).value
        for faults in ((), ("W1:poor_joint:0.012",))
    )
    assert abs((bad or 0) - (good or 0)) <= 0.1


@pytest.mark.parametrize("severity", ["0.05", "0.1"])
def test_a_weak_battery_makes_the_solenoid_chatter(severity) -> None:
    """Common practice, no source: a machine-gun noise means a battery that cannot hold up."""
    assert solve(cranking(f"BAT:weak:{severity}")).chatter == ("starter",)


def test_a_weak_battery_reads_well_until_it_is_loaded() -> None:
    idle = volts(vehicle("cranking", "BAT:weak:0.1"), "BAT.pos", "BAT.neg")
    assert idle == pytest.approx(12.65, abs=0.01)
    reading = shows(cranking("BAT:weak:0.1"), "volts", "BAT.pos", "BAT.neg")
    assert reading.swing is not None
    assert reading.swing[0] < 9.6


def test_a_flat_battery_turns_the_starter_slowly() -> None:
    assert doing(cranking("BAT:flat:10"), "starter") == "cranks_slowly"


def test_an_open_hold_in_winding_chatters() -> None:
    """The closed contact shorts out the pull-in winding, so nothing holds (textbooks)."""
    assert solve(cranking("starter.hold_in:coil_open")).chatter == ("starter",)


def test_an_open_pull_in_winding_leaves_the_plunger_where_it_is() -> None:
    bad = cranking("starter.pull_in:coil_open")
    assert doing(bad, "relay") == "in"
    assert doing(bad, "starter") == "silent"
    assert volts(bad, "C1.1", "BODY") > 12.0


def test_the_pull_in_winding_carries_nothing_much_once_the_contact_has_closed() -> None:
    seized = abs(solve(cranking("starter.plunger:seized")).ampere["W12"])
    held = abs(solve(cranking()).ampere["W12"])
    assert seized > 35
    assert held == pytest.approx(9.3, abs=1.0)


def test_a_burnt_solenoid_contact_clicks_with_full_voltage_at_the_battery_stud() -> None:
    bad = cranking("starter.contact:contact_burnt:2.5")
    assert doing(bad, "starter") == "clicks"
    assert volts(bad, "starter.bat", "BODY") > 12.0
    assert volts(bad, "starter.bat", "starter.motor") > 11.0


def test_a_stuck_solenoid_contact_cranks_with_the_key_back() -> None:
    assert doing(vehicle("cranking", "starter.contact:stuck_closed"), "starter") == "cranks"


def test_the_solenoid_lets_go_when_the_key_goes_back() -> None:
    """The windings lie in series with opposite currents: equal turns, no force (textbooks)."""
    state = solve(vehicle("cranking"))
    assert PULLED_IN not in state.memory.get("starter", ())


def test_a_seized_engine_pulls_the_battery_down_without_turning() -> None:
    bad = cranking("starter.mechanism:seized")
    assert doing(bad, "starter") == "clicks"
    assert (shows(bad, "clamp", "W1").value or 0) > 400
    assert volts(bad, "BAT.pos", "BAT.neg") < 9.6


def test_a_stiff_engine_draws_more_and_turns_slower() -> None:
    bad = cranking("starter.mechanism:stiff:1.5")
    assert doing(bad, "starter") == "cranks_slowly"
    assert (shows(bad, "clamp", "W1").value or 0) > 200


@pytest.mark.parametrize(
    "fault",
    [
        "F2:blown",
        "W7:open",
        "key.start:contact_open",
        "W9:open",
        "lever.contact:contact_open",
        "G3:open",
        "relay.coil:coil_open",
    ],
)
def test_a_break_in_the_control_path_leaves_the_relay_out(fault) -> None:
    assert doing(cranking(fault), "relay") == "out"
    assert doing(cranking(fault), "starter") == "silent"


@pytest.mark.parametrize(
    "fault", ["F1:blown", "W6:open", "relay.contact:contact_open", "C1.1:backed_out"]
)
def test_a_break_after_the_relay_clicks_the_relay_alone(fault) -> None:
    assert doing(cranking(fault), "relay") == "in"
    assert doing(cranking(fault), "starter") == "silent"


def test_high_resistance_in_the_start_wire_starves_the_solenoid() -> None:
    """0.3 ohms more leave too little current to throw the plunger."""
    assert doing(cranking("W12:high_resistance:0.3"), "starter") == "silent"


def test_a_chafed_start_wire_blows_its_fuse_only_once_the_relay_pulls_in() -> None:
    in_gear = {"key": "start", "lever": "in_gear"}
    assert "F1" not in solve(cranking("W11:chafed:0", positions=in_gear)).memory
    assert solve(cranking("W11:chafed:0")).memory["F1"] == {"blown"}


def test_a_lost_engine_strap_leaves_battery_voltage_on_the_engine_block() -> None:
    """The block has no other way to the body in this vehicle."""
    bad = cranking("W4:open")
    assert doing(bad, "starter") == "silent"
    assert volts(bad, "starter.block", "BODY") > 12.0


def test_at_the_first_moment_the_standing_starter_draws_three_times_as_much() -> None:
    inrush = shows(cranking(moment="just_operated"), "clamp", "W1").value or 0
    assert inrush == pytest.approx(446, abs=15)


def test_a_lifting_brush_makes_contact_when_the_starter_is_tapped() -> None:
    """Common practice, no source: a tap on the starter that then turns means brushes.

    It does not even click: the pull-in winding's way to ground leads through the motor.
    """
    assert doing(cranking("starter:lifting_brush"), "starter") == "silent"
    assert doing(cranking("starter:lifting_brush", moved="starter"), "starter") == "cranks"


def test_every_fault_at_every_severity_settles_or_chatters_in_every_setting() -> None:
    states = solve_many(every_vehicle("cranking"))
    chattering = {state.chatter for state in states if state.chatter}
    assert chattering <= {("starter",), ("relay",), ("relay", "starter")}

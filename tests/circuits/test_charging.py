"""Charging: regulation at the battery, the lamp that excites, the limit, the drops."""

import pytest

from circuits.behaviour import observe
from circuits.operate import solve, solve_many
from circuits.parts.alternator import Alternator, Output
from tests.circuits.benches import doing, every_vehicle, shows, vehicle

POST = ("BAT.pos", "BAT.neg")


def running(*faults: str, loads: str = "off", engine: str = "working", **setting: object):
    """Return the vehicle with the engine running, at working speed unless told."""
    positions = {"alternator": engine, "loads": loads}
    return vehicle("charging", *faults, positions=positions, **setting)


def volts(what, *leads: str) -> float:
    return shows(what, "volts", *leads).value or 0.0


def amps(what, wire: str) -> float:
    return shows(what, "clamp", wire).value or 0.0


@pytest.mark.parametrize("loads", ["off", "lamps", "all"])
@pytest.mark.parametrize("engine", ["idle", "working"])
def test_a_running_engine_holds_the_battery_between_13_5_and_14_8_volts(loads, engine) -> None:
    """Practice, several guides."""
    assert 13.5 < volts(running(loads=loads, engine=engine), *POST) < 14.8


def test_a_stopped_engine_leaves_the_battery_at_rest_and_the_lamp_lit() -> None:
    what = vehicle("charging")
    assert volts(what, *POST) == pytest.approx(12.65, abs=0.02)
    assert doing(what, "warning") == "bright"


def test_the_warning_lamp_goes_out_once_the_alternator_charges() -> None:
    assert doing(running(), "warning") == "dark"


def test_the_output_feeds_loads_and_battery_together() -> None:
    """Kirchhoff's current law at the positive post."""
    what = running(loads="all")
    taken = abs(solve(what).ampere["BAT"])
    assert abs(amps(what, "W2")) == pytest.approx(amps(what, "W5") + taken, abs=0.3)


def test_a_charged_battery_takes_a_few_amperes_and_a_flat_one_many() -> None:
    """Common practice, no source."""
    charged, flat = (abs(amps(what, "W4")) for what in (running(), running("BAT:flat:10")))
    assert 3 < charged < 12
    assert flat > 2 * charged


@pytest.mark.parametrize(
    ("leads", "limit"),
    [
        pytest.param(("alternator.bat", "BAT.pos"), 0.5, id="positive side"),
        pytest.param(("BAT.neg", "alternator.case"), 0.2, id="ground side"),
        pytest.param(("alternator.bat", "F1.out"), 0.2, id="output cable"),
        pytest.param(("F2.out", "loads.com"), 0.2, id="load wire"),
        pytest.param(("loads.com", "loads.heater"), 0.3, id="load switch"),
        pytest.param(("CH.2", "BODY"), 0.1, id="heater ground"),
    ],
)
def test_a_sound_vehicle_loses_no_more_than_is_commonly_allowed(leads, limit) -> None:
    """Charging sides: practice, a tester's manual; others: SAE advice in workshop manuals."""
    assert 0 <= volts(running(loads="all"), *leads) < limit


@pytest.mark.parametrize("fault", ["warning:open", "F3:blown", "W16:open", "CA.2:backed_out"])
def test_a_lamp_that_does_not_light_before_the_start_means_no_charge_after_it(fault) -> None:
    """Common practice, no source: the lamp's current excites the alternator."""
    assert doing(vehicle("charging", fault), "warning") == "dark"
    assert volts(running(fault), *POST) < 12.7


def test_a_grounded_lamp_wire_lights_the_lamp_with_the_engine_running_and_does_not_excite() -> None:
    what = running("W16:chafed:0")
    assert doing(what, "warning") == "bright"
    assert volts(what, *POST) < 12.7


def test_worn_brushes_leave_too_little_to_excite() -> None:
    assert volts(running("alternator.brushes:worn_brush:300"), *POST) < 12.7


@pytest.mark.parametrize("fault", ["W18:open", "F4:blown", "CA.1:backed_out"])
def test_a_lost_sense_line_overcharges_up_to_the_margin(fault) -> None:
    assert 15.0 < volts(running(fault), *POST) < 15.7


def test_resistance_in_the_sense_line_adds_to_the_battery_what_it_drops() -> None:
    """A voltage divider of 100 and 3000 ohms: 14.4 * 3100 / 3000, less the ground side."""
    what = running("W18:high_resistance:100")
    assert volts(what, "BAT.pos", "alternator.case") == pytest.approx(14.88, abs=0.04)


def test_a_poor_output_joint_shows_at_the_stud_and_not_at_the_battery() -> None:
    """The sense line makes the regulator lift the output by what the cable loses."""
    what = running("W2:poor_joint:0.025", loads="all")
    assert volts(what, *POST) == pytest.approx(14.38, abs=0.05)
    assert volts(what, "alternator.bat", "BAT.pos") > 0.9


def test_a_poor_engine_strap_lowers_the_battery_by_what_it_drops() -> None:
    what = running("W3:poor_joint:0.025", loads="all")
    drop = volts(what, "G2", "alternator.case")
    assert drop > 0.8
    assert volts(what, *POST) == pytest.approx(14.4 - drop, abs=0.1)


def test_a_blown_strip_fuse_leaves_volts_at_the_stud_and_none_of_them_at_the_battery() -> None:
    what = running("F1:blown")
    assert volts(what, "alternator.bat", "BODY") > 15
    assert volts(what, *POST) < 12.7
    assert doing(what, "warning") == "glow"


@pytest.mark.parametrize(("severity", "low", "high"), [("12.8", 12.7, 12.9), ("15.5", 15.4, 15.55)])
def test_a_regulator_set_wrong_holds_its_own_voltage(severity, low, high) -> None:
    assert low < volts(running(f"alternator:set_wrong:{severity}"), *POST) < high


def test_a_dead_regulator_leaves_the_lamp_lit_while_running() -> None:
    what = running("alternator:no_output")
    assert doing(what, "warning") == "bright"
    assert volts(what, *POST) < 12.7


def test_a_slipping_belt_charges_until_the_loads_are_on() -> None:
    light, heavy = (
        running("alternator:slipping:0.7", loads=loads, engine="idle") for loads in ("off", "all")
    )
    assert volts(light, *POST) > 14.2
    assert volts(heavy, *POST) < 12.7
    assert doing(light, "alternator") == "squeals"


@pytest.mark.parametrize("fault", ["alternator.diodes:phase_lost", "alternator:no_output"])
def test_a_belt_that_grips_is_heard_to_be_quiet_whatever_else_is_wrong(fault) -> None:
    assert doing(running(fault), "alternator") == "quiet"


def test_a_belt_that_stands_is_not_heard_at_all() -> None:
    seen = {one.part for one in observe(vehicle("charging", "alternator:slipping:0.7"))}
    assert "alternator" not in seen


def test_a_lost_phase_halves_the_output_that_can_be_had() -> None:
    heavy = running("alternator.diodes:phase_lost", "BAT:flat:6", loads="all", engine="idle")
    assert abs(amps(heavy, "W2")) == pytest.approx(0.55 * 45, abs=2)


def test_the_output_never_exceeds_its_greatest_current_by_much() -> None:
    """Into half an ohm of chafing beside a flat battery and all loads."""
    what = running("W2:chafed:0.1", "BAT:flat:6", loads="all")
    assert abs(solve(what).ampere["alternator"]) < 110
    assert "limiting" in solve(what).memory["alternator"]


def test_a_shorted_rectifier_blows_the_strip_fuse_with_the_engine_stopped() -> None:
    assert solve(vehicle("charging", "alternator.diodes:shorted:0")).memory["F1"] == {"blown"}


def test_a_rectifier_that_leaks_drains_the_parked_vehicle() -> None:
    parked = vehicle("charging", "alternator.diodes:shorted:3", positions={"key": "off"})
    assert abs(amps(parked, "W4")) == pytest.approx(4.2, abs=0.2)


def test_the_alternator_takes_nothing_back_from_the_battery_when_it_stands() -> None:
    parked = vehicle("charging", positions={"key": "off"})
    assert abs(solve(parked).ampere["W2"]) < 1e-6


def test_an_output_at_a_position_that_it_lacks_is_refused() -> None:
    with pytest.raises(ValueError, match="outputs names position 'fast'; accepted: stopped, idle"):
        Alternator(
            positions=("stopped", "idle"),
            rests="stopped",
            outputs=(Output("fast", 90.0),),
        )


def test_every_fault_at_every_severity_settles_in_every_setting() -> None:
    states = solve_many(every_vehicle("charging", moments=("at_rest",), each=7))
    assert {state.chatter for state in states} == {()}

"""The powered side steps against what the trade knows of such circuits.

Bands of windings and the order of tests are common practice, no source; what slows a tired
motor follows from its equations (see ``test_motors``).
"""

from dataclasses import replace

import pytest

from circuits.instruments import Measurement, read
from circuits.parts.motor import Motor
from circuits.spec import Circumstance
from tests.circuits.benches import shows, steps

FULL, NONE = "battery voltage", "nothing"
PIN_TABLE = {
    "off": (NONE, FULL, FULL, NONE, NONE, NONE),
    "lamps": (NONE, FULL, FULL, FULL, NONE, NONE),
    "deploy": (FULL, FULL, FULL, FULL, NONE, NONE),
}
"""Switch-side connector C1, cavities 1 to 6, by rocker position (common practice, no source)."""

WINDING = {"unmated": ["C2"], "isolated": True}
OUT = {"positions": {"rocker": "deploy"}}


@pytest.mark.parametrize("moment", ["moving", "at_rest"])
@pytest.mark.parametrize(
    ("position", "cavity", "expected"),
    [(p, n, what) for p, row in PIN_TABLE.items() for n, what in enumerate(row, start=1)],
)
def test_switch_side_cavities_read_as_the_pin_table(position, cavity, expected, moment):
    vehicle = steps(positions={"rocker": position}, moment=moment)
    value = shows(vehicle, "volts", f"C1.{cavity}", "BODY").value
    assert (value > 12.3) if expected == FULL else (abs(value) < 0.1)


@pytest.mark.parametrize(
    "pair", [("C2.1@harness", "C2.2@harness"), ("C2.3@harness", "C2.4@harness")]
)
def test_a_sound_winding_reads_five_to_seven_ohms_from_the_harness(pair):
    assert 5 <= shows(steps(**WINDING), "ohms", *pair, zeroed=True).value <= 7


def test_a_tired_winding_reads_one_to_two_ohms():
    tired = steps("left_motor.winding:shorted_turns:0.75", **WINDING)
    assert 1 <= shows(tired, "ohms", "C2.1@harness", "C2.2@harness", zeroed=True).value <= 2


def test_below_one_ohm_a_short_in_the_wiring_and_a_ruined_winding_look_alike():
    pair = ("C2.1@harness", "C2.2@harness")
    rubbed = steps("W14+W15:touching:0", **WINDING)
    ruined = steps("left_motor.winding:shorted_turns:0.97", **WINDING)
    for vehicle in (rubbed, ruined):
        assert shows(vehicle, "ohms", *pair, zeroed=True).value < 1
    apart = [
        replace(v, setting=replace(v.setting, unmated=frozenset({"C2", "ML"})))
        for v in (rubbed, ruined)
    ]
    assert shows(apart[0], "ohms", *pair).value < 1
    assert shows(apart[1], "ohms", *pair).display == "OL"


@pytest.mark.parametrize("cavity", [1, 2, 3, 4])
def test_a_sound_winding_has_no_path_to_the_body(cavity):
    assert shows(steps(**WINDING), "ohms", f"C2.{cavity}@harness", "BODY").display == "OL"


def test_a_winding_on_its_frame_has_a_path_to_the_body():
    found = shows(
        steps("left_motor.winding:to_frame:100", **WINDING), "ohms", "C2.1@harness", "BODY"
    )
    assert found.value == pytest.approx(100, abs=2)


def driven(red, black):
    """Return the left motor's current when jumpers drive it direct, and its speed."""
    vehicle = steps(unmated=["C2"], jumpers=[("BAT.pos", red), ("BODY", black)], moment="moving")
    ampere = shows(vehicle, "clamp", "W14").exact
    volt = shows(vehicle, "volts", "ML.1", "ML.2").exact
    spec = vehicle.circuit.part_by_name["left_motor"].spec
    assert isinstance(spec, Motor)
    return ampere, spec.armature(Circumstance(moment="moving")).speed(volt)


def test_jumpers_changed_over_reverse_the_motor():
    forward, back = driven("C2.1@harness", "C2.2@harness"), driven("C2.2@harness", "C2.1@harness")
    assert forward[0] > 0.3
    assert forward[1] > 100
    assert back == pytest.approx((-forward[0], -forward[1]), rel=0.02)


def test_a_tired_motor_draws_more_and_turns_slower_in_proportion_to_its_supply_path():
    """Two equations of a motor with shorted turns, solved by hand; see ``test_motors``."""
    fault = "left_motor.winding:shorted_turns:0.75"
    new, tired = steps(**OUT), steps(fault, **OUT)
    ampere = [shows(vehicle, "clamp", "W14").exact for vehicle in (new, tired)]
    volt = [shows(vehicle, "volts", "ML.1", "ML.2").exact for vehicle in (new, tired)]
    path_ohm = (volt[0] - volt[1]) / (ampere[1] - ampere[0])
    assert 0.25 <= path_ohm <= 0.5
    supply = volt[0] + ampere[0] * path_ohm
    ohm, k, torque, share, drag = 6.0, 0.06, 0.03, 0.75, 1e-5
    left, brake = 1 - share, share * k**2 / ohm + drag
    through = path_ohm + left * ohm
    speed = (left * k * supply - torque * through) / ((left * k) ** 2 + brake * through)
    assert ampere[1] == pytest.approx((torque + brake * speed) / (left * k), rel=0.01)
    assert ampere[1] > 5 * ampere[0]
    new_speed = (volt[0] - ampere[0] * ohm) / k
    assert speed < 0.9 * new_speed


def test_a_feed_of_high_resistance_reads_full_voltage_until_something_draws_on_it():
    fault = "W4:high_resistance:30"
    sleeping = shows(steps(fault), "volts", "C1.2", "BODY").value
    working = shows(steps(fault, **OUT), "volts", "C1.2", "BODY").value
    assert sleeping > 12.5
    assert working < 11


def test_a_test_lamp_shows_the_high_resistance_that_the_meter_does_not():
    """Common practice, no source."""
    for fault, light in ((), "bright"), (("W4:high_resistance:30",), "dark"):
        vehicle = steps(*fault, unmated=["C1"])
        assert shows(vehicle, "volts", "C1.2@harness", "BODY").value > 12.5
        shown = shows(vehicle, "lamp", "C1.2@harness", "BODY").display
        assert (shown == "bright") is (light == "bright")


def test_continuity_beeps_through_twenty_ohms_of_corrosion():
    """Common practice, no source: a tone proves only that the ohms are below its threshold."""
    found = read(
        steps("IL.1:corroded:10", "W14:high_resistance:10", isolated=True, unmated=["C2"]),
        Measurement("continuity", "C2.1@harness", "ML.1"),
    )
    assert found.beep
    assert found.value > 19


@pytest.mark.parametrize(
    ("red", "black", "most"),
    [
        pytest.param("BAT.pos", "C1.2", 0.2, id="constant-feed"),
        pytest.param("BAT.pos", "C1.4", 0.2 + 2 * 0.3, id="lamp-feed-through-two-switches"),
        pytest.param("C1.5", "BAT.neg", 0.1, id="controller-ground"),
        pytest.param("left_lamp.b", "BAT.neg", 0.1, id="lamp-ground"),
    ],
)
def test_healthy_paths_drop_less_than_is_commonly_allowed_under_load(red, black, most):
    """SAE advice quoted in published workshop manuals: switch 0.3 V, cable 0.2 V, small or
    ground connection 0.1 V at the normal current."""
    assert 0 < shows(steps(**OUT), "volts", red, black).exact <= most


def test_a_bad_ground_exceeds_what_is_allowed_under_load_only():
    fault = "G1:corroded:0.6"
    assert shows(steps(fault, **OUT), "volts", "C1.5", "BAT.neg").exact > 0.2
    assert shows(steps(fault), "volts", "C1.5", "BAT.neg").exact < 0.02

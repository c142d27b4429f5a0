"""Brushed motors against textbook rows and against two equations solved by hand.

UP: OpenStax *University Physics* vol. 2; CP: OpenStax *College Physics 2e*.
V = I R + k w and T = k I, for the whole motor and for its shorted turns.
"""

import pytest

from circuits.laws import Armature
from circuits.parts.motor import Motor
from circuits.spec import BODY, Circumstance
from tests.outside.bench import branch, resistor, solved, source


def motor(ohm, k, load_nm, *, stalled=False):
    """Return a motor with no drag to speak of."""
    return Armature(ohm=ohm, k=k, friction_nm=load_nm, drag=1e-9, stalled=stalled)


def run(law, volt, path_ohm=1e-4):
    """Return the amperes, the volts at the terminals and the speed in rad/s."""
    live = solved(source("BAT", "a", BODY, volt, path_ohm), branch("M", "a", BODY, law))
    return live.ampere("M"), live.volt("a"), law.speed(live.volt("a"))


@pytest.mark.parametrize(
    ("volt", "ohm", "ampere", "back_volt"),
    [
        pytest.param(48, 0.400, 20, 40, id="UP-13.6-at-40-V-back-EMF"),
        pytest.param(120, 2.0, 10, 100, id="UP-13.10-normal-load"),
        pytest.param(120, 2.0, 20, 80, id="UP-13.10-double-load"),
        pytest.param(12, 0.50, 4.0, 10, id="UP-13.6-problem-running"),
        pytest.param(120, 6.0, 8.0, 72, id="CP-23.6-running"),
    ],
)
def test_a_loaded_motor_has_the_printed_back_emf(volt, ohm, ampere, back_volt):
    """Current sets torque, T = k I; what the winding does not drop is back EMF."""
    k = 0.1
    amperes, across, speed = run(motor(ohm, k, load_nm=k * ampere), volt)
    assert amperes == pytest.approx(ampere, rel=5e-3)
    assert across - amperes * ohm == pytest.approx(back_volt, rel=5e-3)
    assert k * speed == pytest.approx(back_volt, rel=5e-3)


@pytest.mark.parametrize(
    ("volt", "ohm", "ampere"),
    [
        pytest.param(48, 0.400, 120, id="UP-13.6-start"),
        pytest.param(12, 0.50, 24, id="UP-13.6-problem-clamped"),
        pytest.param(120, 6.0, 20, id="CP-23.6-starting"),
    ],
)
def test_a_motor_that_stands_draws_volts_over_ohms(volt, ohm, ampere):
    amperes, _, speed = run(motor(ohm, 0.1, 0.05, stalled=True), volt)
    assert (amperes, speed) == (pytest.approx(ampere, rel=5e-3), 0)


@pytest.mark.parametrize(
    ("load", "useful_watt", "lost_watt"),
    [pytest.param(10, 1000, 200, id="normal"), pytest.param(20, 1600, 800, id="double")],
)
def test_power_divides_into_work_and_heat_as_printed(load, useful_watt, lost_watt):
    """UP example 13.10: 120 V, 2.0 ohm; 1.0 kW and 200 W at 10 A, 1.6 kW and 800 W at 20 A."""
    ampere, _, speed = run(motor(2.0, 0.1, 0.1 * load), 120)
    assert 0.1 * load * speed == pytest.approx(useful_watt, rel=5e-3)
    assert ampere**2 * 2.0 == pytest.approx(lost_watt, rel=5e-3)


def worn(share):
    """Return the law of a 6 ohm, 0.04 V s motor at 0.02 N m with a share of turns shorted."""
    spec = Motor(ohm=6.0, k=0.04, load_nm=0.02, drag=1e-12)
    faults = (("winding", "shorted_turns", share),) if share else ()
    return spec.armature(Circumstance(faults=faults, moment="moving"))


SHORTED_TURNS = [
    (0.0, 1e-4, 0.50, 225.0),
    (0.0, 0.3, 0.50, 221.25),
    (0.0, 1.0, 0.50, 212.5),
    (0.5, 1e-4, 2.50, 225.0),
    (0.5, 0.3, 2.38, 207.0),
    (0.5, 1.0, 2.14, 171.0),
    (0.75, 1e-4, 6.50, 225.0),
    (0.75, 0.3, 5.65, 183.0),
    (0.75, 1.0, 4.33, 117.0),
]
"""Share, supply path in ohms, amperes, rad/s: 12 V, derived; see the next function."""


def by_hand(share, path_ohm):
    """Return amperes and speed from the two equations of a motor with shorted turns.

    V = I (path + (1-s) R) + (1-s) k w and (1-s) k I = T + s k^2 w / R.
    """
    ohm, k, torque, volt, left = 6.0, 0.04, 0.02, 12.0, 1 - share
    through, brake = path_ohm + left * ohm, share * k**2 / ohm
    speed = (left * k * volt - torque * through) / ((left * k) ** 2 + brake * through)
    return (torque + brake * speed) / (left * k), speed


@pytest.mark.parametrize(("share", "path_ohm", "ampere", "speed"), SHORTED_TURNS)
def test_shorted_turns_draw_more_and_slow_only_through_the_supply_path(
    share, path_ohm, ampere, speed
):
    amperes, _, found = run(worn(share), 12.0, path_ohm)
    assert (amperes, found) == pytest.approx(by_hand(share, path_ohm), rel=1e-6)
    assert amperes == pytest.approx(ampere, rel=5e-3)
    assert found == pytest.approx(speed, rel=5e-3)


def test_reversed_leads_turn_the_shaft_back_with_the_same_current():
    law = motor(6.0, 0.06, 0.03)
    forward, back = run(law, 12.0), run(law, -12.0)
    assert back == pytest.approx(tuple(-value for value in forward), rel=1e-9)


def test_a_bad_joint_to_a_starter_costs_what_the_book_says():
    """UP 10.1 problem, results derived: 12.0 V behind 0.0100 ohm into 0.0500 ohm, 200 A,
    10.0 V, 2.00 kW; with a joint of 0.0900 ohm, 80 A, 4.0 V, 320 W."""
    for joint, ampere, volt, watt in ((0.0, 200, 10.0, 2000), (0.09, 80, 4.0, 320)):
        live = solved(
            source("BAT", "a", BODY, 12.0, 0.0100),
            resistor("path", "a", "b", joint + 1e-4),
            resistor("starter", "b", BODY, 0.0500 - 1e-4),
        )
        assert live.ampere("starter") == pytest.approx(ampere, rel=1e-3)
        assert live.volt("b") == pytest.approx(volt, rel=3e-3)
        assert live.volt("b") * live.ampere("starter") == pytest.approx(watt, rel=3e-3)


@pytest.mark.parametrize(
    ("inner_ohm", "load_ohm", "volt", "ampere"),
    [(0.100, 10.0, 11.88, 1.188), (0.100, 0.5, 10.0, 20.0), (0.500, 0.5, 6.0, 12.0)],
)
def test_a_battery_sags_under_load_as_the_book_says(inner_ohm, load_ohm, volt, ampere):
    """UP example 10.1: 12 V behind 0.100 ohm, then behind 0.500 ohm."""
    live = solved(source("BAT", "a", BODY, 12.0, inner_ohm), resistor("load", "a", BODY, load_ohm))
    assert live.volt("a") == pytest.approx(volt, rel=1e-3)
    assert live.ampere("load") == pytest.approx(ampere, rel=1e-3)

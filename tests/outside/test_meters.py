"""Meters against what books and manuals say of them."""

import pytest

from circuits.instruments import Measurement, read
from circuits.meter import FUNCTIONS, show
from circuits.methods import (
    BEEPS_BELOW_OHM,
    LEAD_OHM,
    METER_OHM,
    SOURCE_VOLT,
)
from circuits.spec import BODY
from tests.circuits.benches import bell, shows, steps
from tests.outside.bench import posts_and_wires, resistor, solved, source


def test_the_voltmeter_is_ten_megohms():
    """OpenStax *University Physics* 10.4; Kuphaldt, *Lessons in Electric Circuits*, Metering."""
    assert METER_OHM == 1e7


@pytest.mark.parametrize(
    ("load_ohm", "volt", "places"),
    [
        pytest.param(METER_OHM, 2.10, 2, id="10-megohm-meter-shows-a-ghost"),
        pytest.param(3e3, 0.0008, 4, id="low-impedance-mode-shows-none"),
    ],
)
def test_a_ghost_voltage_behind_fifty_megohms(load_ohm, volt, places):
    """Derived: 12.6 V behind 50 MΩ; low-impedance mode is about 3 kΩ in published manuals."""
    live = solved(source("leak", "a", BODY, 12.6, 50e6), resistor("meter", "a", BODY, load_ohm))
    assert round(live.volt("a"), places) == volt


@pytest.mark.parametrize(
    ("load_ohm", "volt"),
    [
        pytest.param(METER_OHM, 12.600, id="unloaded"),
        pytest.param(6.5, 10.92, id="with-6.5-ohm-behind-it"),
    ],
)
def test_a_joint_of_one_ohm_drops_nothing_until_current_flows(load_ohm, volt):
    """Derived: 12.6 V * 6.5 / 7.5 = 10.92 V."""
    live = solved(
        source("BAT", "a", BODY, 12.6),
        resistor("joint", "a", "b", 1.0),
        resistor("load", "b", BODY, load_ohm),
    )
    assert live.volt("b") == pytest.approx(volt, abs=5e-4)


def test_the_leads_and_the_tone_lie_within_what_manuals_print():
    """Three manuals: leads 0.1 to 0.5 ohm; five: tone below 35 to 100 ohm; our 30 is common
    practice, no source; four: 0.45 to 3.2 V open."""
    assert 0.1 <= LEAD_OHM <= 0.5
    assert BEEPS_BELOW_OHM <= 35
    assert 0.45 <= SOURCE_VOLT <= 3.2


def test_low_ohms_are_shown_in_tenths_to_the_accuracy_of_a_manual():
    """Two manuals: 0.1 ohm steps, ±(0.8 % + 2 digits) and ±(1 % + 3)."""
    shown = show("ohms", 6.04)
    assert (shown.display, shown.step) == ("6.0", pytest.approx(0.1))
    assert 0.8 <= FUNCTIONS["ohms"].per_cent <= 1.0
    assert 2 <= FUNCTIONS["ohms"].digits <= 3


@pytest.mark.parametrize(("ohm", "beeps"), [(1.0, True), (29.0, True), (31.0, False)])
def test_the_tone_sounds_below_its_threshold_only(ohm, beeps):
    """Common practice, no source: 30 ohm."""
    vehicle = posts_and_wires("ab", [("a", "b", ohm)])
    assert read(vehicle, Measurement("continuity", "a", "b", zeroed=True)).beep is beeps


@pytest.mark.parametrize("ohm", [39e6, 41e6])
def test_beyond_the_last_range_the_display_is_ol(ohm):
    """Handheld meters' last range is 40 MΩ (published manuals)."""
    found = read(posts_and_wires("ab", [("a", "b", ohm)]), Measurement("ohms", "a", "b"))
    assert (found.display == "OL") is (ohm > 40e6)


def test_ohms_across_a_battery_are_no_ohms_and_carry_a_caution():
    """Published manuals: never measure ohms on a live circuit."""
    found = shows(bell(), "ohms", "BAT.pos", "BAT.neg")
    assert found.display == "OL"
    assert found.caution_names[0] == "ohms_live"


def test_ohms_along_a_live_ground_wire_are_nonsense_and_change_sign_with_the_leads():
    """Common practice, no source: a few millivolts of drop swamp the meter's own source."""
    live = steps(positions={"rocker": "deploy"})
    ways = [shows(live, "ohms", *leads) for leads in (("C1.5", "BODY"), ("BODY", "C1.5"))]
    forward, backward = (reading.exact for reading in ways)
    dead = shows(steps(isolated=True), "ohms", "C1.5", "BODY").exact
    assert dead == pytest.approx(LEAD_OHM, abs=0.05)
    assert abs(forward) > 10 * dead
    assert forward * backward < 0

"""The meter's ranges; its own battery, fuse and leads, and what a low battery does."""

import pytest

from circuits.instruments import Measurement, check_meter, read
from circuits.meter import LOW_BATTERY_SAG, show
from tests.circuits.benches import DEPLOY, WINDING, shows, steps

TOO_HIGH = 1 / (1 - LOW_BATTERY_SAG)
LEADS = ("C2.1@harness", "C2.2@harness")


@pytest.mark.parametrize(
    ("volt", "display", "step"),
    [
        pytest.param(0.0123, "12.3m", 1e-4, id="a drop over a cable"),
        pytest.param(-0.00004, "0.0m", 1e-4, id="no minus nothing"),
        pytest.param(0.59994, "599.9m", 1e-4, id="end of the lowest range"),
        pytest.param(0.59996, "0.600", 1e-3, id="rounded out of the lowest range"),
        pytest.param(-5.9994, "-5.999", 1e-3, id="leads swapped"),
        pytest.param(12.612, "12.61", 1e-2, id="a battery"),
    ],
)
def test_volts_choose_the_lowest_of_their_ranges_that_holds_them(volt, display, step) -> None:
    # 6000 counts over 600 mV, 6, 60, 600 V (common practice, no source)
    shown = show("volts", volt)
    assert (shown.display, shown.step) == (display, pytest.approx(step))


def test_a_drop_of_millivolts_over_a_cable_is_read_to_a_tenth() -> None:
    drop = shows(steps(**DEPLOY), "volts", "G1", "BODY")
    assert drop.exact is not None
    assert 0 < drop.exact < 0.05
    assert drop.value == pytest.approx(drop.exact, abs=0.5e-4)
    assert drop.off < 1e-3


@pytest.mark.parametrize(
    ("vehicle", "what"),
    [
        pytest.param(steps(), ("volts", "BAT.pos", "BODY"), id="volts"),
        pytest.param(steps(**WINDING), ("ohms", *LEADS), id="ohms"),
        pytest.param(steps(pulled=["F1"], **DEPLOY), ("amps", "F1.in", "F1.out"), id="amps"),
        pytest.param(steps(**DEPLOY), ("clamp", "", "", "W14"), id="clamp"),
    ],
)
def test_a_low_battery_makes_the_meter_read_too_high_and_says_so(vehicle, what) -> None:
    good = read(vehicle, Measurement(*what))
    low = read(vehicle, Measurement(*what, low_battery=True))
    assert low.exact == pytest.approx(good.exact * TOO_HIGH)
    assert low.display != good.display
    assert "meter_battery_low" in low.caution_names
    assert "meter_battery_low" not in good.caution_names


def test_a_good_vehicle_battery_gives_a_low_meter_away() -> None:
    # a rested lead-acid battery stands below 13 V (common practice, no source)
    low = read(steps(), Measurement("volts", "BAT.pos", "BAT.neg", low_battery=True))
    assert low.value is not None
    assert low.value > 13.5


def test_a_test_lamp_needs_no_battery() -> None:
    what = ("lamp", "BAT.pos", "BODY")
    assert read(steps(), Measurement(*what)) == read(steps(), Measurement(*what, low_battery=True))


def test_an_open_reads_over_limit_with_a_low_battery_too() -> None:
    vehicle = steps("W14:open", unmated=["C2", "IL"], isolated=True)
    low = read(vehicle, Measurement("ohms", "C2.1@harness", "IL.1@harness", low_battery=True))
    assert (low.display, low.exact) == ("OL", None)
    assert "meter_battery_low" in low.caution_names


def test_a_low_battery_silences_the_tone_just_below_its_limit() -> None:
    vehicle = steps("W14:high_resistance:29", unmated=["C2", "IL"], isolated=True)
    leads = ("C2.1@harness", "IL.1@harness")
    assert read(vehicle, Measurement("continuity", *leads)).beep
    assert not read(vehicle, Measurement("continuity", *leads, low_battery=True)).beep


def test_hold_with_a_low_battery_keeps_both_ends_too_high() -> None:
    what = ("clamp", "", "", "W14")
    good = read(steps(**DEPLOY), Measurement(*what, hold=True)).swing
    low = read(steps(**DEPLOY), Measurement(*what, hold=True, low_battery=True)).swing
    assert low == pytest.approx(tuple(end * TOO_HIGH for end in good))


def test_leads_held_together_show_their_own_ohms_until_they_are_zeroed() -> None:
    # published multimeter manuals: 0.1 to 0.2 ohm
    assert check_meter("leads").display == "0.2"
    assert check_meter("leads", zeroed=True).display == "0.0"


def test_the_amps_fuse_shows_less_than_an_ohm_or_over_limit() -> None:
    # common practice, no source: a lead from the ohms socket held into the amps socket
    assert check_meter("fuse").display == "0.1"
    assert check_meter("fuse", fuse_blown=True).display == "OL"


def test_a_check_under_the_low_battery_sign_carries_its_caution() -> None:
    assert check_meter("fuse", low_battery=True).caution_names == ("meter_battery_low",)

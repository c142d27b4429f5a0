"""Copper wires against the tables of the trade."""

import math

import pytest

from circuits.laws import COPPER_OHM_MM2_PER_M, copper_factor, wire_ohm

FOOT_M = 0.3048

CLASS_5_MOHM_PER_M = {
    0.5: 39.0,
    0.75: 26.0,
    1: 19.5,
    1.5: 13.3,
    2.5: 7.98,
    4: 4.95,
    6: 3.30,
    10: 1.91,
    16: 1.21,
    25: 0.780,
}
"""IEC 60228:2004, class 5, plain copper, greatest mΩ/m at 20 °C, in four agreeing reprints."""

AWG_OHM_PER_1000_FT = {
    10: 0.9989,
    12: 1.588,
    14: 2.525,
    16: 4.016,
    18: 6.385,
    20: 10.15,
    22: 16.14,
}
"""HyperPhysics wire table, Georgia State University."""

COLDER_FACTOR = {30: 0.962, 60: 0.862, 85: 0.794}
"""IEC 60228 factors that bring a resistance measured warm back to 20 °C, in a reprint."""


@pytest.mark.parametrize(("area", "greatest"), CLASS_5_MOHM_PER_M.items())
def test_a_wire_stays_below_the_greatest_resistance_of_its_size_and_near_it(area, greatest):
    ours = 1000 * wire_ohm(area_mm2=area, length_m=1.0)
    assert 1.0 <= greatest / ours <= 1.17


@pytest.mark.parametrize(("gauge", "ohm"), AWG_OHM_PER_1000_FT.items())
def test_american_gauges_have_the_resistance_of_their_table(gauge, ohm):
    """ASTM B258: diameter 0.127 mm * 92 ** ((36 - gauge) / 39)."""
    diameter = 0.127 * 92 ** ((36 - gauge) / 39)
    ours = wire_ohm(area_mm2=math.pi * diameter**2 / 4, length_m=1000 * FOOT_M)
    assert ours == pytest.approx(ohm, rel=1e-3)


@pytest.mark.parametrize(("celsius", "factor"), COLDER_FACTOR.items())
def test_copper_warms_as_the_table_of_factors_says(celsius, factor):
    assert copper_factor(celsius) == pytest.approx(1 / factor, rel=4e-3)


def test_copper_at_85_degrees_has_a_quarter_more_resistance():
    """(234.5 + T) / 254.5, IEC 60228."""
    assert copper_factor(85) == pytest.approx((234.5 + 85) / (234.5 + 20), abs=1e-3)


def test_ten_metres_of_three_quarter_wire_drop_half_a_volt_at_two_amperes():
    """Between ideal copper (IEC 60028, from memory) and the IEC 60228 greatest."""
    ohm = wire_ohm(area_mm2=0.75, length_m=10)
    assert ohm == pytest.approx(0.2299, abs=5e-5)
    assert ohm <= 0.260
    assert 2 * ohm <= 0.52


def test_copper_is_as_conductive_as_the_standard_copper():
    """1/58 Ω mm²/m (IEC 60028, from memory); gives the HyperPhysics table above."""
    assert pytest.approx(0.0172414, rel=1e-5) == COPPER_OHM_MM2_PER_M

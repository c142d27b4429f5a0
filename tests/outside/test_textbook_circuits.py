"""Circuits with printed answers, solved again.

UP: OpenStax *University Physics* vol. 2 (2016). LEC: T. Kuphaldt, *Lessons in Electric
Circuits* I (DC). CP: OpenStax *College Physics 2e*. Exact answers are derived beside each.
"""

import itertools
import math

import pytest

from tests.outside.bench import BODY, port_ohm, resistor, solved, source

EXACT = 1e-9
"""Relative, on top of the 0.1 mΩ that an ideal source has with us."""


def bridge(volt, r1, r2, across, r3, r4):
    """Return a bridge: r1 over r3 at A, r2 over r4 at B, a resistance from A to B."""
    return [
        source("V", "top", BODY, volt),
        resistor("R1", "top", "A", r1),
        resistor("R2", "top", "B", r2),
        resistor("R3", "A", "B", across),
        resistor("R4", "A", BODY, r3),
        resistor("R5", "B", BODY, r4),
    ]


@pytest.mark.parametrize(
    ("elements", "printed"),
    [
        pytest.param(
            bridge(24, 150, 50, 100, 300, 250), (6.345, 4.690, 1.655, 17.66, 19.31), id="24-volt"
        ),
        pytest.param(
            bridge(10, 12, 18, 6, 18, 12), (4.706, 5.294, 0.588, 5.294, 4.706), id="10-volt"
        ),
    ],
)
def test_unbalanced_bridge_gives_the_printed_drops(elements, printed):
    """LEC *Network Analysis*: drops across R1, R2, the bridge, R4 and R5."""
    live = solved(*elements)
    drops = (
        live.volt("top", "A"),
        live.volt("top", "B"),
        abs(live.volt("A", "B")),
        live.volt("A"),
        live.volt("B"),
    )
    assert drops == pytest.approx(printed, abs=0.005)


def test_balanced_bridge_carries_nothing_across():
    """CP section 21.5, Rx = R3 R2 / R1: 2500 * 0.625 = 1562.5 ohm."""
    live = solved(*bridge(10, 1000, 2500, 50, 625, 1562.5))
    assert live.ampere("R3") == pytest.approx(0, abs=1e-12)


def test_two_sources_through_a_shared_resistor_give_the_printed_currents():
    """UP 10.3: 24 V 3 ohm and 29 V 7 ohm share 3 ohm: 3.00, 2.00, sum 5.00 A."""
    live = solved(
        source("A", "a", BODY, 24, 3.0),
        source("B", "a", BODY, 29, 7.0),
        resistor("R", "a", BODY, 3),
    )
    currents = (-live.ampere("A"), -live.ampere("B"), live.ampere("R"))
    assert currents == pytest.approx((3.0, 2.0, 5.0), rel=EXACT)


def test_three_sources_in_two_meshes_give_the_printed_currents():
    """UP example 10.6: 0.5 V 3 ohm, 2.3 V 8 ohm, return 1 ohm and 0.6 V: 0.20, 0.30, 0.50 A."""
    live = solved(
        source("A", "a", "b", 0.5, 3.0),
        source("B", "a", "b", 2.3, 8.0),
        source("C", "b", "a", 0.6, 1.0),
    )
    printed = (0.20, 0.30, 0.50)
    assert tuple(-live.ampere(n) for n in "ABC") == pytest.approx(printed, abs=0.005)


def test_series_parallel_gives_the_printed_values():
    """UP example 10.4: 12 V, 1 + (6 || 13) ohm: 5.10 ohm, 2.35 A, 9.65 V, 1.61 A."""
    live = solved(
        source("V", "a", BODY, 12),
        resistor("R1", "a", "b", 1),
        resistor("R2", "b", BODY, 6),
        resistor("R3", "b", BODY, 13),
    )
    assert live.ampere("R1") == pytest.approx(12 / (1 + 6 * 13 / 19), rel=1e-4)
    assert live.volt("b") == pytest.approx(9.65, abs=0.005)
    assert live.ampere("R2") == pytest.approx(1.61, abs=0.005)


def test_ladder_of_two_steps_gives_the_printed_drops():
    """UP 10.2: 24 V, 7 + (10 || (6 + 4)) ohm: 2 A; 14, 10, 6, 4 V."""
    live = solved(
        source("V", "a", BODY, 24, 1e-4),
        resistor("R1", "a", "b", 7 - 1e-4),
        resistor("R2", "b", BODY, 10),
        resistor("R3", "b", "c", 6),
        resistor("R4", "c", BODY, 4),
    )
    drops = (-live.ampere("V"), 24 - live.volt("b"), live.volt("b", "c"), live.volt("c"))
    assert drops == pytest.approx((2, 14, 6, 4), rel=EXACT)


def test_combination_of_pairs_gives_the_printed_values():
    """LEC *Series-Parallel*: 24 V, (100 || 250) + (350 || 200): 120.78 mA, 8.627, 15.37 V."""
    live = solved(
        source("V", "a", BODY, 24),
        resistor("R1", "a", "b", 100),
        resistor("R2", "a", "b", 250),
        resistor("R3", "b", BODY, 350),
        resistor("R4", "b", BODY, 200),
    )
    assert -live.ampere("V") == pytest.approx(0.12078, abs=5e-6)
    assert (live.volt("a", "b"), live.volt("b")) == pytest.approx((8.627, 15.37), abs=0.005)


def two_batteries(first, second):
    """Return LEC *Network Analysis*: 28 V 4 ohm and 7 V 1 ohm on a load of 2 ohm."""
    return (
        source("A", "a", BODY, first, 4.0),
        source("B", "a", BODY, second, 1.0),
        resistor("load", "a", BODY, 2),
    )


def test_superposition_each_source_alone_adds_up_to_both():
    """LEC *Network Analysis*, superposition: 8 V; 4 and 4 V by each source alone."""
    both, first, second = (
        solved(*two_batteries(*volts)).volt("a") for volts in ((28, 7), (28, 0), (0, 7))
    )
    assert (first, second, both) == pytest.approx((4, 4, 8), rel=EXACT)


def test_the_stronger_source_charges_the_weaker():
    """LEC *Network Analysis*: 5 A in, 1 A back into the 7 V source, 4 A in the load."""
    live = solved(*two_batteries(28, 7))
    currents = tuple(live.ampere(name) for name in ("A", "B", "load"))
    assert currents == pytest.approx((-5, 1, 4), rel=EXACT)


def test_thevenin_equivalent_of_the_two_batteries():
    """LEC *Network Analysis*: 11.2 V behind 0.8 ohm; most power, 39.2 W, into 0.8 ohm."""
    batteries = two_batteries(28, 7)[:2]
    assert solved(*batteries).volt("a") == pytest.approx(11.2, rel=EXACT)
    loads = {ohm: solved(*batteries, resistor("load", "a", BODY, ohm)) for ohm in (0.7, 0.8, 0.9)}
    power = {ohm: live.volt("a") ** 2 / ohm for ohm, live in loads.items()}
    assert power[0.8] == max(power.values())
    assert power[0.8] == pytest.approx(39.2, rel=EXACT)


def test_a_voltmeter_loads_a_divider_of_high_ohms():
    """LEC *Metering*: 24 V over two 250 MΩ, a 10 MΩ meter on one shows 0.8889 V, not 12.

    Scaled by ten to stay below the 100 MΩ at which our parts count as open.
    """
    divider = [
        source("V", "a", BODY, 24),
        resistor("R1", "a", "b", 25e6),
        resistor("R2", "b", BODY, 25e6),
    ]
    assert solved(*divider).volt("b") == pytest.approx(12, rel=1e-6)
    live = solved(*divider, resistor("meter", "b", BODY, 1e6))
    assert live.volt("b") == pytest.approx(24 / 27, rel=1e-6)
    assert live.volt("b") == pytest.approx(0.8889, abs=5e-5)


def cube():
    """Return the twelve edges of a cube, a resistance of 1 ohm along each."""
    corners = list(itertools.product("01", repeat=3))
    return [
        resistor(f"{i}", "".join(a), "".join(b), 1.0)
        for i, (a, b) in enumerate(itertools.combinations(corners, 2))
        if sum(x != y for x, y in zip(a, b, strict=True)) == 1
    ]


@pytest.mark.parametrize(
    ("corner", "ohm"),
    [
        pytest.param("001", 7 / 12, id="edge"),
        pytest.param("011", 3 / 4, id="face"),
        pytest.param("111", 5 / 6, id="body"),
    ],
)
def test_cube_of_resistors(corner, ohm):
    """A classic (from memory), provable by symmetry: corners of equal volts joined."""
    assert port_ohm(cube(), "000", corner) == pytest.approx(ohm, rel=EXACT)


def test_a_long_ladder_comes_to_the_golden_ratio():
    """R = 1 + 1 / (1 + 1 / R), so R = (1 + sqrt 5) / 2, whatever the far end."""
    rungs = [resistor(f"rail{n}", f"n{n}", f"n{n + 1}", 1.0) for n in range(40)]
    rungs += [resistor(f"rung{n}", f"n{n + 1}", "return", 1.0) for n in range(40)]
    assert port_ohm(rungs, "n0", "return") == pytest.approx((1 + math.sqrt(5)) / 2, rel=EXACT)


@pytest.mark.parametrize("code", range(16))
def test_r_2r_ladder_puts_out_its_code(code):
    """Four bits at 16 V: superposition gives bit k its 2**k volts, so volts equal the code."""
    elements = [resistor("end", "n0", BODY, 2000.0)]
    for bit in range(4):
        volt = 16.0 if code >> bit & 1 else 0.0
        elements.append(source(f"bit{bit}", f"n{bit}", BODY, volt, 2000.0))
        if bit:
            elements.append(resistor(f"r{bit}", f"n{bit - 1}", f"n{bit}", 1000.0))
    assert solved(*elements).volt("n3") == pytest.approx(code, rel=EXACT, abs=1e-9)


@pytest.mark.parametrize(
    ("knight", "ohm"),
    [
        pytest.param((1, 0), 1 / 2, id="next"),
        pytest.param((1, 1), 2 / math.pi, id="diagonal"),
        pytest.param((2, 1), 4 / math.pi - 1 / 2, id="knight"),
    ],
)
def test_a_large_grid_comes_near_the_infinite_one(knight, ohm):
    """*Am. J. Phys.* 67 (1999), Atkinson and van Steenwijk: exact on an infinite grid.

    On ours of 25 by 25 nodes the far edge takes away: within 1 %.
    """
    side = range(-12, 13)
    grid = [
        resistor(f"{x},{y}:{dx}", f"{x},{y}", f"{x + dx},{y + 1 - dx}", 1.0)
        for x, y, dx in itertools.product(side, side, (0, 1))
        if x + dx in side and y + 1 - dx in side
    ]
    assert port_ohm(grid, "0,0", f"{knight[0]},{knight[1]}") == pytest.approx(ohm, rel=0.01)

"""Precision against arithmetic that cannot round: fractions, and star-mesh elimination.

Star-mesh: a node with conductances g_i goes, and each pair of its neighbours gets
g_i g_j / sum(g) (Rosen, 1924, from memory); nothing is ever subtracted.
"""

import itertools
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.outside.bench import BODY, port_ohm, resistor, solved, source

DECADES = st.sampled_from([Fraction(10) ** n for n in range(-3, 8)])


@st.composite
def networks(draw):
    """Draw a connected network of resistances from 1 mΩ to 10 MΩ: nodes, edges."""
    count = draw(st.integers(3, 7))
    nodes = [BODY, *(f"n{n}" for n in range(1, count))]
    tree = [(nodes[draw(st.integers(0, n - 1))], nodes[n]) for n in range(1, count)]
    pairs = st.tuples(st.sampled_from(nodes), st.sampled_from(nodes))
    more = draw(st.lists(pairs.filter(lambda pair: pair[0] != pair[1]), max_size=8))
    times = st.integers(1, 9)
    return nodes, [(a, b, draw(DECADES) * draw(times)) for a, b in [*tree, *more]]


def star_mesh(edges, a, b):
    """Return the exact resistance between two nodes, every other node eliminated."""
    siemens = {}
    for one, other, ohm in edges:
        pair = frozenset((one, other))
        siemens[pair] = siemens.get(pair, 0) + 1 / ohm
    for node in {n for pair in siemens for n in pair} - {a, b}:
        star = {next(iter(p - {node})): g for p, g in siemens.items() if node in p}
        siemens = {p: g for p, g in siemens.items() if node not in p}
        for (one, g), (other, h) in itertools.combinations(star.items(), 2):
            pair = frozenset((one, other))
            siemens[pair] = siemens.get(pair, 0) + g * h / sum(star.values())
    return 1 / siemens[frozenset((a, b))]


def eliminated(nodes, edges, volt, ohm, plus):
    """Return the exact volts of a network with a source of so many volts and ohms.

    The source stands between ``plus`` and the body; plain elimination of fractions.
    """
    free = [node for node in nodes if node != BODY]
    rows = {node: {n: Fraction(0) for n in [*free, ""]} for node in free}
    for a, b, r in [*edges, (plus, BODY, ohm)]:
        for one, other in ((a, b), (b, a)):
            if one != BODY:
                rows[one][one] += 1 / r
                if other != BODY:
                    rows[one][other] -= 1 / r
    rows[plus][""] += volt / ohm
    for node in free:
        rows[node] = {n: x / rows[node][node] for n, x in rows[node].items()}
        for other in free:
            if other != node and rows[other][node]:
                share = rows[other][node]
                rows[other] = {n: x - share * rows[node][n] for n, x in rows[other].items()}
    return {node: rows[node][""] for node in free}


@settings(max_examples=150)
@given(networks(), st.data())
def test_ohms_between_two_nodes_are_those_of_star_mesh_elimination(network, data):
    nodes, edges = network
    a, b = data.draw(st.permutations(nodes))[:2]
    elements = [resistor(f"R{n}", x, y, float(r)) for n, (x, y, r) in enumerate(edges)]
    assert port_ohm(elements, a, b) == pytest.approx(float(star_mesh(edges, a, b)), rel=2e-6)


@settings(max_examples=150)
@given(networks(), st.data())
def test_volts_are_those_of_exact_elimination(network, data):
    nodes, edges = network
    plus = data.draw(st.sampled_from(nodes[1:]))
    live = solved(
        source("BAT", plus, BODY, 12.6, 0.01),
        *(resistor(f"R{n}", a, b, float(r)) for n, (a, b, r) in enumerate(edges)),
    )
    exact = eliminated(nodes, edges, Fraction("12.6"), Fraction("0.01"), plus)
    for node, volt in exact.items():
        assert live.volt(node) == pytest.approx(float(volt), abs=2e-5)


@pytest.mark.parametrize("leak", [1e4, 1e6, 1e7])
def test_a_chain_of_good_joints_tied_on_by_one_leak_keeps_its_volts(leak):
    """Forty nodes of 1 mΩ, half of them fed through the leak alone."""
    joints = [resistor(f"j{n}", f"n{n}", f"n{n + 1}", 1e-3) for n in range(20)]
    far = [resistor(f"k{n}", f"m{n}", f"m{n + 1}", 1e-3) for n in range(20)]
    live = solved(
        source("BAT", "n0", BODY, 12.6, 0.01),
        *joints,
        resistor("leak", "n20", "m0", leak),
        *far,
        resistor("load", "m20", BODY, leak),
    )
    assert live.volt("m20") == pytest.approx(6.3, abs=5e-5)

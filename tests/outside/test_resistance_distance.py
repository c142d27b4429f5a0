"""The ohmmeter against ``networkx.resistance_distance``, which knows nothing of meters.

networkx computes it from the pseudo-inverse of the Laplacian (Klein and Randić,
*Resistance distance*, J. Math. Chem. 12, 1993, as its documentation cites).
"""

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuits.instruments import Measurement, read
from tests.outside.bench import posts_and_wires

OHMS = st.floats(-1, 5).map(lambda decades: 10.0**decades)


@st.composite
def networks(draw):
    """Draw a connected network of resistors: its nodes and its edges with ohms."""
    count = draw(st.integers(2, 9))
    nodes = [f"P{n}" for n in range(count)]
    tree = [(nodes[draw(st.integers(0, n - 1))], nodes[n]) for n in range(1, count)]
    pairs = st.tuples(st.sampled_from(nodes), st.sampled_from(nodes))
    more = draw(st.lists(pairs.filter(lambda pair: pair[0] != pair[1]), max_size=12))
    return nodes, [(a, b, draw(OHMS)) for a, b in [*tree, *more]]


@settings(max_examples=200)
@given(networks(), st.data())
def test_the_ohmmeter_reads_the_resistance_distance(network, data):
    nodes, edges = network
    red, black = data.draw(st.permutations(nodes))[:2]
    graph = nx.MultiGraph()
    graph.add_nodes_from(nodes)
    for a, b, ohm in edges:
        graph.add_edge(a, b, ohm=ohm)
    expected = nx.resistance_distance(graph, red, black, weight="ohm", invert_weight=True)

    reading = read(posts_and_wires(nodes, edges), Measurement("ohms", red, black, zeroed=True))

    assert reading.exact == pytest.approx(expected, rel=1e-6, abs=1e-6)


@given(networks(), networks())
def test_the_ohmmeter_reads_ol_between_networks_that_nothing_joins(one, other):
    nodes = [*one[0], *(f"Q{n}" for n in other[0])]
    edges = [*one[1], *((f"Q{a}", f"Q{b}", ohm) for a, b, ohm in other[1])]
    reading = read(posts_and_wires(nodes, edges), Measurement("ohms", nodes[0], nodes[-1]))
    assert (reading.value, reading.display) == (None, "OL")

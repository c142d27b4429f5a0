"""Volts and ohms of all pairs of points against ngspice, which linearises its own devices."""

import itertools

import numpy as np
import pytest

from circuits.faults import all_faults
from circuits.files import circuit_names, library_circuit
from circuits.model import Vehicle
from circuits.netlist import conducting, node_numbers
from circuits.network import Network
from circuits.operate import solve_many
from circuits.points import exposed_points
from circuits.spec import BODY
from circuits.survey import survey
from tests.conftest import FULL
from tests.outside.cases import every_setting
from tests.outside.spice_pairs import simulate_pairs

pytestmark = pytest.mark.spice

EACH = 17 if FULL else 61
LEAST_OHM = 1e-4
SHARE = 1e-3
MOST_OHM = 1e7
"""Beyond that the shunts which the simulator needs bear on its answer."""


@pytest.mark.parametrize("name", circuit_names())
def test_the_ohms_of_all_pairs_agree(name):
    circuit = library_circuit(name)
    setting = list(every_setting(circuit))[-1]
    vehicles = [Vehicle(circuit, (fault,), setting) for fault in all_faults(circuit)[5::EACH]]
    for vehicle, state in zip(vehicles, solve_many(vehicles), strict=True):
        elements = Network(vehicle).elements(state.memory)
        points = {point.node for point in exposed_points(circuit, setting)}
        nodes = sorted((points & set(node_numbers(conducting(elements)))) | {BODY})
        theirs = simulate_pairs(elements, nodes)
        pairs = list(itertools.combinations(nodes, 2))
        found = survey([vehicle], pairs)
        first, second = np.triu_indices(len(nodes), 1)
        ohm = theirs.ohm[first, second]
        known = np.isfinite(found.ohm[0]) & (found.ohm[0] < MOST_OHM)
        assert known.any()
        np.testing.assert_allclose(found.ohm[0][known], ohm[known], rtol=SHARE, atol=LEAST_OHM)

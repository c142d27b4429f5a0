"""Laws of circuits, whatever the circuit: true of every solved vehicle or wrong.

Kirchhoff's laws, Tellegen's theorem (power delivered is power taken), symmetry of leads.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from circuits.faults import all_faults
from circuits.files import circuit_names, library_circuit
from circuits.instruments import Measurement, read
from circuits.laws import LEAST_OHM, Armature, Ohmic
from circuits.model import Vehicle
from circuits.netlist import conducting
from circuits.network import Network
from circuits.newton import Stack
from circuits.operate import solve, solve_many
from circuits.points import exposed_points
from circuits.settings import setting_from, switches
from circuits.spec import BODY, MOMENTS

EPS = np.finfo(float).eps


@st.composite
def vehicles(draw):
    """Draw a vehicle of any library circuit, in any setting, with up to two faults."""
    circuit = library_circuit(draw(st.sampled_from(circuit_names())))
    positions = {name: draw(st.sampled_from(spec.positions)) for name, spec in switches(circuit)}
    fuses = [part.name for part in circuit.parts if part.spec.sort == "fuse"]
    setting = setting_from(
        circuit,
        positions=positions,
        moment=draw(st.sampled_from(MOMENTS)),
        unmated=draw(st.sets(st.sampled_from(sorted(circuit.connector_by_name)), max_size=2)),
        pulled=draw(st.sets(st.sampled_from(fuses), max_size=1)),
        isolated=draw(st.sampled_from((False, False, False, True))),
    )
    by_spot = {(fault.place, fault.kind): fault for fault in all_faults(circuit)}
    faults = draw(st.sets(st.sampled_from(sorted(by_spot)), max_size=2))
    return Vehicle(circuit, faults=tuple(by_spot[spot] for spot in sorted(faults)), setting=setting)


def branches(vehicle, state):
    """Yield each conducting element with its volts and amperes."""
    for element in conducting(Network(vehicle).elements(state.memory)):
        volt = state.volt[element.a] - state.volt[element.b]
        yield element, volt, state.ampere[element.name]


def left_over(vehicle, state):
    """Return by node what flows in, and what rounding alone may leave of it."""
    left, slack = {}, {}
    largest = max((abs(i) for i in state.ampere.values()), default=0.0)
    highest = max(abs(v) for v in state.volt.values())
    for element, _, ampere in branches(vehicle, state):
        ohm = max(getattr(element.law, "ohm", 0.05), LEAST_OHM)
        for node, sign in ((element.a, -1), (element.b, 1)):
            left[node] = left.get(node, 0.0) + sign * ampere
            slack[node] = slack.get(node, 1e-9 * largest) + 8 * EPS * highest / ohm
    return left, slack


@settings(max_examples=150)
@given(vehicles())
def test_currents_at_every_node_add_up_to_nothing(vehicle):
    """Kirchhoff: to 1e-9 of the largest current, and the rounding of volts."""
    left, slack = left_over(vehicle, solve(vehicle))
    assert {node: i for node, i in left.items() if abs(i) > slack[node]} == {}


@pytest.mark.parametrize("name", circuit_names())
def test_currents_add_up_to_nothing_with_every_fault(name):
    """As above, healthy and every fault at its usual severity, worked and moving."""
    circuit = library_circuit(name)
    positions = {n: spec.positions[-1] for n, spec in switches(circuit)}
    setting = setting_from(circuit, positions=positions)
    cases = [Vehicle(circuit, setting=setting)]
    cases += [replace(cases[0], faults=(fault,)) for fault in all_faults(circuit)]
    for case, state in zip(cases, solve_many(cases), strict=True):
        left, slack = left_over(case, state)
        assert all(abs(i) <= slack[node] for node, i in left.items()), case.faults


def power(element, volt, ampere):
    """Return what a branch delivers, what it turns into heat, and into motion, in watts."""
    law = element.law
    if isinstance(law, Ohmic):
        return -law.emf * ampere, ampere**2 * max(law.ohm, LEAST_OHM), 0.0
    if isinstance(law, Armature):
        speed = law.speed(volt)
        friction = law.friction_nm * abs(speed)
        return 0.0, ampere**2 * law.ohm, friction + law.drag * speed**2
    return 0.0, volt * ampere, 0.0


@settings(max_examples=150)
@given(vehicles())
def test_power_delivered_is_heat_and_motion(vehicle):
    """Tellegen: what sources deliver, the rest takes; a motor's part by V = I R + k w."""
    delivered, heat, motion = np.sum(
        [power(*branch) for branch in branches(vehicle, solve(vehicle))], axis=0
    )
    assert heat + motion == pytest.approx(delivered, rel=1e-6, abs=1e-9)


def points_of(vehicle):
    """Return the names of the points that a probe can touch."""
    return [point.name for point in exposed_points(vehicle.circuit, vehicle.setting)]


@settings(max_examples=60)
@given(vehicles(), st.data())
def test_swapped_leads_change_the_sign_of_the_volts_and_nothing_else(vehicle, data):
    red, black = data.draw(st.permutations(points_of(vehicle)))[:2]
    # Which of its two states a chattering vehicle shows first is not the leads' doing.
    assume(not solve(vehicle).chatter)
    one, other = (
        read(vehicle, Measurement("volts", *leads)) for leads in ((red, black), (black, red))
    )
    assert other.exact == pytest.approx(-one.exact, abs=1e-8)


@settings(max_examples=60)
@given(vehicles(), st.data())
def test_a_meter_never_reads_more_than_the_battery_has(vehicle, data):
    red, black = data.draw(st.permutations(points_of(vehicle)))[:2]
    reading = read(vehicle, Measurement("volts", red, black))
    assert reading.swing is not None or abs(reading.exact) <= 12.65 + 1e-6


@settings(max_examples=25)
@given(st.lists(vehicles(), min_size=2, max_size=6))
def test_networks_solved_side_by_side_are_as_each_is_alone(cases):
    networks = [Network(v).elements(solve(v).memory) for v in cases]
    together = Stack(networks)
    side_by_side = together.solve()
    for number, network in enumerate(networks):
        alone = Stack([network])
        ours = by_node(together.nodes, side_by_side.volt[number])
        theirs = by_node(alone.nodes, alone.solve().volt[0])
        for node, base in based(alone, 0).items():
            assert ours[node] - ours[base] == pytest.approx(theirs[node] - theirs[base], abs=1e-6)


def by_node(nodes, volts):
    """Return the volts of one case by node."""
    return dict(zip(nodes, volts.tolist(), strict=True))


def based(stack, case):
    """Return for each node the first node of its island."""
    first = {}
    for node, island in zip(stack.nodes, stack.island[case], strict=True):
        first.setdefault(island, node)
    return {
        node: first[island] for node, island in zip(stack.nodes, stack.island[case], strict=True)
    }


@settings(max_examples=50)
@given(vehicles(), st.data())
def test_which_node_is_called_the_body_changes_no_difference(vehicle, data):
    network = conducting(Network(vehicle).elements(solve(vehicle).memory))
    nodes = sorted({n for e in network for n in (e.a, e.b)} | {BODY})
    other = data.draw(st.sampled_from(nodes))
    swap = {BODY: other, other: BODY}
    renamed = [replace(e, a=swap.get(e.a, e.a), b=swap.get(e.b, e.b)) for e in network]
    ours, theirs = Stack([network], nodes), Stack([renamed], nodes)
    volt = by_node(ours.nodes, ours.solve().volt[0])
    moved = by_node(theirs.nodes, theirs.solve().volt[0])
    for node, base in based(ours, 0).items():
        there = moved[swap.get(node, node)] - moved[swap.get(base, base)]
        assert there == pytest.approx(volt[node] - volt[base], abs=1e-6)

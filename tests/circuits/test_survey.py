"""A survey of many vehicles: each shows what it shows alone, and what the instruments show."""

import itertools
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from circuits.elimination import Shape
from circuits.faults import all_faults, severities
from circuits.files import library_circuit
from circuits.instruments import Measurement, read
from circuits.laws import Ohmic
from circuits.model import Circuit, Fault, Setting, State, Vehicle
from circuits.newton import Stack
from circuits.operate import phases, settle, solve, solve_many
from circuits.points import exposed_points
from circuits.ports import Ports
from circuits.settings import setting_from
from circuits.spec import BODY, Element
from circuits.survey import survey
from circuits.tolerance import drawn

SETTINGS = [
    ("side_steps", {"positions": {"rocker": "deploy"}}),
    ("side_steps", {"positions": {"rocker": "deploy"}, "unmated": ["C2"]}),
    ("rear_lamps", {"positions": {"lights": "on", "stalk": "left"}}),
    ("heated_window", {"positions": {"window_switch": "on"}}),
    ("roof_vent", {"positions": {"vent_switch": "open"}}),
    ("data_link", {"isolated": True}),
]
EACH = 23
"""Every so many of a circuit's faults, at each of its severities."""


def _faults(circuit: Circuit) -> list[Fault]:
    some = all_faults(circuit)[::EACH]
    return [replace(fault, severity=how_bad) for fault in some for how_bad in severities(fault)]


def _vehicles(name: str, parts: dict) -> list[Vehicle]:
    circuit = library_circuit(name)
    setting = setting_from(circuit, **parts)
    return [Vehicle(circuit, (fault,), setting) for fault in _faults(circuit)]


def _pairs(circuit: Circuit, setting: Setting) -> list[tuple[str, str]]:
    nodes = sorted({point.node for point in exposed_points(circuit, setting)})
    return list(itertools.combinations(nodes, 2))


@pytest.mark.parametrize(("name", "parts"), SETTINGS)
def test_a_vehicle_shows_among_others_what_it_shows_alone(name, parts):
    vehicles = _vehicles(name, parts)
    circuit = vehicles[0].circuit
    pairs = _pairs(circuit, vehicles[0].setting)
    wires = [wire.name for wire in circuit.wires]
    together = survey(vehicles, pairs, wires)
    for number in range(0, len(vehicles), 5):
        alone = survey([vehicles[number]], pairs, wires)
        for what in ("volt", "volt_reach", "ampere", "ampere_reach"):
            ours, theirs = getattr(together, what)[number], getattr(alone, what)[0]
            np.testing.assert_allclose(ours, theirs, rtol=1e-6, atol=1e-6, err_msg=what)
        np.testing.assert_allclose(together.ohm[number], alone.ohm[0], rtol=1e-6, atol=1e-6)
        assert together.states[number].memory == alone.states[0].memory
        assert together.states[number].chatter == alone.states[0].chatter
        assert together.states[number].volt.keys() == alone.states[0].volt.keys()


@pytest.mark.parametrize(("name", "parts"), SETTINGS)
def test_the_volts_of_a_survey_are_those_of_a_voltmeter(name, parts):
    vehicles = _vehicles(name, parts)
    points = exposed_points(vehicles[0].circuit, vehicles[0].setting)[1::7]
    found = survey(vehicles, [(point.node, BODY) for point in points])
    for number, vehicle in list(enumerate(vehicles))[::4]:
        if found.states[number].chatter:
            continue
        for place, point in enumerate(points):
            shown = read(vehicle, Measurement("volts", point.name, BODY))
            assert found.volt[number, place] == pytest.approx(shown.exact, abs=1e-4)


@pytest.mark.parametrize(("name", "parts"), SETTINGS)
def test_the_ohms_of_a_survey_are_those_of_the_vehicle_alone(name, parts):
    vehicles = _vehicles(name, parts)
    pairs = _pairs(vehicles[0].circuit, vehicles[0].setting)[::11]
    found = survey(vehicles, pairs)
    for number, vehicle in list(enumerate(vehicles))[::6]:
        ports = Ports(vehicle)
        alone = [ports.ohm(red, black) for red, black in pairs]
        np.testing.assert_allclose(found.ohm[number], alone, rtol=1e-6, atol=1e-6)


def test_the_current_of_a_wire_is_right_where_a_neighbour_has_it_in_another_cavity():
    circuit = library_circuit("side_steps")
    setting = setting_from(circuit, positions={"rocker": "deploy"})
    faults = (Fault("C1.1+C1.2", "swapped"), Fault("F1", "corroded", 0.5))
    vehicles = [Vehicle(circuit, (fault,), setting) for fault in faults]
    wires = [wire.name for wire in circuit.wires]
    found = survey(vehicles, [("BAT.pos", BODY)], wires)
    assert np.abs(found.ampere[1]).max() > 1
    for row, state in zip(found.ampere, found.states, strict=True):
        assert row == pytest.approx([state.ampere.get(wire, 0.0) for wire in wires], abs=1e-6)


def test_vehicles_with_one_scatter_show_together_what_they_show_alone():
    circuit = library_circuit("side_steps")
    sound = Vehicle(circuit, (), setting_from(circuit, positions={"rocker": "deploy"}))
    scatter = drawn(sound, Random(3)).scatter
    vehicles = [replace(sound, faults=(f,), scatter=scatter) for f in all_faults(circuit)[::12]]
    for vehicle, state in zip(vehicles, solve_many(vehicles), strict=True):
        assert dict(state.volt) == pytest.approx(dict(solve(vehicle).volt), abs=1e-7)
    assert (
        solve(vehicles[3]).volt["F1.out"] != solve(replace(vehicles[3], scatter=())).volt["F1.out"]
    )


@pytest.mark.parametrize("name", ["heated_window", "rear_lamps", "call_buttons", "side_steps"])
def test_what_is_not_settled_again_would_settle_where_it_was(name):
    circuit = library_circuit(name)
    setting = setting_from(circuit)
    vehicles = [Vehicle(circuit, (fault,), setting) for fault in all_faults(circuit)[::9]]
    states = [State({}, {}, {}, {}) for _ in vehicles]
    for leg in phases(vehicles[0]):
        kept = [{n: f for n, f in state.memory.items() if "trip" not in str(f)} for state in states]
        states = settle([vehicle.with_setting(leg) for vehicle in vehicles], kept)
    for found, anew in zip(solve_many(vehicles), states, strict=True):
        assert (found.memory, found.chatter) == (anew.memory, anew.chatter)
        ours, theirs = ([one.between(n, BODY) for n in one.volt] for one in (found, anew))
        assert ours == pytest.approx(theirs, abs=1e-7)


def test_ohms_keep_their_digits_behind_a_diodes_leak():
    """Elimination that subtracts is off by seven microohms here."""
    ohms = [0.0123 * (1 + n % 3) for n in range(40)]
    rail = [Element(f"rail{n}", f"n{n}", f"n{n + 1}", Ohmic(ohm)) for n, ohm in enumerate(ohms)]
    leak = Element("leak", "n40", BODY, Ohmic(1e8))
    solution = Stack([[*rail, leak]]).solve(toward=("n3", "n33"))
    a, c = (solution.nodes.index(node) for node in ("n3", "n33"))
    rows = solution.inverse[0]
    assert rows[0, a] + rows[1, c] - 2 * rows[0, c] == pytest.approx(sum(ohms[3:33]), abs=1e-6)


def test_elimination_gives_the_inverse_of_random_networks():
    random = np.random.default_rng(7)
    nodes, size, networks = 14, 30, 5
    a, b = random.integers(0, nodes, (2, size))
    tree = np.arange(nodes - 1), np.arange(1, nodes)
    shape = Shape(nodes, np.concatenate([tree[0], a]), np.concatenate([tree[1], b]))
    slope = 10 ** random.uniform(-2, 2, (nodes - 1 + size, networks))
    pinned = np.zeros((nodes, networks), dtype=bool)
    found = shape.factors(slope, pinned).transfer(np.arange(nodes))
    for number in range(networks):
        whole = (shape.stamp @ slope[:, number]).reshape(nodes, nodes)
        theirs = np.linalg.inv(whole[1:, 1:])
        np.testing.assert_allclose(found[number][1:, 1:], theirs, rtol=1e-8)


@pytest.mark.parametrize("wires", [(), ("W14",)], ids=["no wires", "a wire"])
def test_a_survey_without_pairs_has_no_columns_of_them(wires):
    circuit = library_circuit("side_steps")
    vehicles = [Vehicle(circuit), Vehicle(circuit, (Fault("W14", "open"),))]
    found = survey(vehicles, (), wires)
    for empty in (found.volt, found.volt_reach, found.ohm):
        assert empty.shape == (2, 0)
    assert found.ampere.shape == found.ampere_reach.shape == (2, len(wires))
    assert found.ampere == pytest.approx(survey(vehicles, [("BAT.pos", BODY)], wires).ampere)


def test_a_survey_of_no_vehicles_is_empty():
    found = survey([], [("BAT.pos", BODY)])
    assert found.volt.shape == (0, 1)
    assert found.states == ()

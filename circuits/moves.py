"""What tolerances do to readings: a reading of many vehicles with its moves.

One inverse of the nodal matrix, with the instrument in the circuit, tells how far every
unknown at its limit moves the reading. Moves of one unknown keep their sign from reading to
reading, so what readings have in common is not taken for fresh slack at each.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from circuits.lawmath import Array
from circuits.measurement import Measurement, Reading, check
from circuits.methods import (
    DIODE_AMPERE,
    DIODE_VOLT,
    LEAD_OHM,
    METER_FUSE_A,
    METER_OHM,
    SHUNT_OHM,
    SOURCE_VOLT,
    TEST_AMPERE,
    TEST_LAMP,
)
from circuits.model import State, Vehicle
from circuits.network import Attached, Network
from circuits.newton import Solution, Stack
from circuits.operate import settle
from circuits.parts.gear import FusedLead, Input
from circuits.parts.loads import Lamp
from circuits.points import test_points
from circuits.rows import start_volts
from circuits.spec import Spec
from circuits.tolerance import Injections, injections, spreads

LEADS = "leads:ohm"
LEADS_OHM = 0.1
"""The leads' own resistance is told for new ones; it may be this much more or less."""


@dataclass(frozen=True)
class Moves:
    """How far each unknown moves one reading of each vehicle.

    Attributes
    ----------
    unknowns : their names.
    move : (vehicle, unknown), in the reading's unit, with the unknown at its limit.
    """

    unknowns: tuple[str, ...]
    move: Array

    def reach(self) -> Array:
        """Return how far all unknowns together can move the reading of each vehicle."""
        total: Array = np.abs(self.move).sum(axis=1)
        return total


def reading_moves(
    vehicles: Sequence[Vehicle],
    states: Sequence[State],
    what: Measurement,
    readings: Sequence[Reading],
) -> Moves:
    """Return the moves of readings already taken, all with one measurement."""
    if what.instrument == "clamp":
        return _clamp_moves(vehicles, states, what)
    found: list[tuple[list[int], Moves]] = []
    for gear, numbers in _by_gear(what, readings):
        some = [vehicles[n] for n in numbers]
        found.append((numbers, _input_moves(some, [states[n] for n in numbers], what, gear)))
    moves = _joined(found, len(vehicles))
    ohmic = what.instrument in ("ohms", "continuity") and not what.zeroed
    return _with_leads(moves, readings) if ohmic else moves


def _by_gear(what: Measurement, readings: Sequence[Reading]) -> list[tuple[Spec, list[int]]]:
    """Return the instrument's input, by the vehicles on which it was used."""
    everyone = list(range(len(readings)))
    match what.instrument:
        case "volts" if what.load_w:
            return [(Lamp(watt=what.load_w, rated_volt=12.0), everyone)]
        case "volts":
            return [(Input(METER_OHM), everyone)]
        case "diode":
            return [(Input(DIODE_VOLT / DIODE_AMPERE, DIODE_VOLT), everyone)]
        case "amps":
            return [(FusedLead(METER_FUSE_A, SHUNT_OHM + LEAD_OHM), everyone)]
        case "lamp":
            return [(TEST_LAMP, everyone)]
    by_range: dict[float, list[int]] = {}
    for number, reading in enumerate(readings):
        by_range.setdefault(_test_ampere(reading), []).append(number)
    return [
        (Input(SOURCE_VOLT / ampere + LEAD_OHM, SOURCE_VOLT), numbers)
        for ampere, numbers in by_range.items()
    ]


def _test_ampere(reading: Reading) -> float:
    ohm = float("inf") if reading.exact is None else abs(reading.exact)
    return next((ampere for full, ampere in TEST_AMPERE if ohm < full), TEST_AMPERE[-1][1])


@dataclass(frozen=True)
class _Solved:
    """A solved stack, what its unknowns inject, and the nodes asked for in the inverse's order."""

    solution: Solution
    pushed: Injections
    toward: tuple[str, ...]

    def answer(self, red: str, black: str) -> Array:
        """Return (case, node) the volts between two nodes for an ampere into each node."""
        inverse = self.solution.inverse
        assert inverse is not None  # _solved asks for it
        row = self.toward.index
        answer: Array = inverse[:, row(red), :] - inverse[:, row(black), :]
        return answer


def _solved(
    vehicles: Sequence[Vehicle],
    states: Sequence[State],
    gear: Sequence[Attached],
    toward: Callable[[Stack], Iterable[str]],
) -> _Solved:
    networks = [Network(vehicle, gear) for vehicle in vehicles]
    cases = [network.groups(s.memory) for network, s in zip(networks, states, strict=True)]
    nodes = [point.node for point in test_points(vehicles[0].circuit)]
    stack = Stack.of_groups(cases, nodes)
    asked = tuple(dict.fromkeys(toward(stack)))
    solution = stack.solve(start_volts(stack.nodes, [s.volt for s in states]), toward=asked)
    known = [spreads(v, s.memory) for v, s in zip(vehicles, states, strict=True)]
    return _Solved(solution, injections(solution, cases, known), asked)


def _volt_moves(solved: _Solved, red: str, black: str) -> Array:
    """Return (case, unknown) how far each unknown moves the volts between two nodes."""
    solution, pushed = solved.solution, solved.pushed
    index = {node: number for number, node in enumerate(solution.nodes)}
    answer = solved.answer(red, black)
    ends = [solution.elements[column] for column in pushed.column]
    a = [index[end] for _, end, _ in ends]
    b = [index[end] for _, _, end in ends]
    moves: Array = -(answer[:, a] - answer[:, b]) * pushed.ampere
    apart = solution.island[:, index[red]] != solution.island[:, index[black]]
    moves[apart] = 0.0
    return moves


def _input_moves(
    vehicles: Sequence[Vehicle], states: Sequence[State], what: Measurement, gear: Spec
) -> Moves:
    red, black = check(vehicles[0], what)
    attached = [Attached("meter", gear, (red, black))]
    loaded = settle(
        vehicles, [s.memory for s in states], [attached] * len(vehicles), [s.volt for s in states]
    )
    solved = _solved(vehicles, loaded, attached, lambda _: (red, black))
    moves = _volt_moves(solved, red, black)
    volts = np.array([state.between(red, black) for state in loaded])
    return _moves(solved.pushed.unknowns, moves * _per_volt(what, gear, volts)[:, None])


def _moves(unknowns: Sequence[str], move: Array) -> Moves:
    """Return the moves with each unknown once; its columns are summed."""
    names = {name: number for number, name in enumerate(dict.fromkeys(unknowns))}
    once = np.zeros((len(names), len(move)))
    np.add.at(once, np.array([names[name] for name in unknowns], dtype=np.intp), move.T)
    return Moves(tuple(names), once.T)


def _per_volt(what: Measurement, gear: Spec, volts: Array) -> Array:
    """Return how far the reading moves for a volt between the leads."""
    ones = np.ones_like(volts)
    if what.instrument in ("ohms", "continuity") and isinstance(gear, Input):
        left = np.maximum(gear.volt - volts, 1e-9)
        return gear.ohm * gear.volt / left**2
    if isinstance(gear, FusedLead):
        return ones / gear.ohm
    return ones


def _clamp_moves(vehicles: Sequence[Vehicle], states: Sequence[State], what: Measurement) -> Moves:
    def ends(stack: Stack) -> Iterator[str]:
        return (end for name, *both in stack.elements if name == what.wire for end in both)

    solved = _solved(vehicles, states, (), ends)
    moves = np.zeros_like(solved.pushed.ampere)
    # A wire swapped into another cavity is a column of its own; in each case one carries.
    for column, (name, _, _) in enumerate(solved.solution.elements):
        if name == what.wire:
            moves += _current_moves(solved, column)
    return _moves(solved.pushed.unknowns, moves)


def _current_moves(solved: _Solved, column: int) -> Array:
    """Return (case, unknown) how far each unknown moves the current of one wire."""
    solution, pushed = solved.solution, solved.pushed
    _, a, b = solution.elements[column]
    across = solution.volt[:, solution.nodes.index(a)] - solution.volt[:, solution.nodes.index(b)]
    current = solution.ampere[:, column]
    # A wire is ohmic, so its own slope is current over volts.
    slope = np.divide(current, across, out=np.zeros_like(current), where=across != 0)
    moves: Array = slope[:, None] * _volt_moves(solved, a, b)
    mine = pushed.column == column
    moves[:, mine] += pushed.ampere[:, mine]
    return moves


def _joined(found: Sequence[tuple[list[int], Moves]], count: int) -> Moves:
    names: dict[str, int] = {}
    for _, moves in found:
        for name in moves.unknowns:
            names.setdefault(name, len(names))
    whole = np.zeros((count, len(names)))
    for numbers, moves in found:
        columns = [names[name] for name in moves.unknowns]
        whole[np.ix_(numbers, columns)] = moves.move
    return Moves(tuple(names), whole)


def _with_leads(moves: Moves, readings: Sequence[Reading]) -> Moves:
    ohms = np.array([[0.0 if r.exact is None else LEADS_OHM] for r in readings])
    return Moves((*moves.unknowns, LEADS), np.hstack([moves.move, ohms]))

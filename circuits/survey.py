"""The fault dictionary: many vehicles in one setting, every pair of points at once.

For each vehicle one inverse of the nodal matrix gives the volts, the ohms and how far
tolerances move the volts, between all pairs that are asked for. Volts are those of a voltmeter;
ohms are those of a small test current, which is right wherever no diode takes part, and
good enough to choose a test by. What is shown to anybody comes from
``circuits.instruments``.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from circuits.lawmath import Array
from circuits.methods import METER_OHM
from circuits.model import State, Vehicle
from circuits.network import Network
from circuits.newton import Index, Solution, Stack
from circuits.operate import solve_many
from circuits.points import test_points
from circuits.tolerance import Injections, injections, spreads

CHUNK = 32


@dataclass(frozen=True)
class Survey:
    """What many vehicles show in one setting; rows are vehicles, columns as asked for.

    Attributes
    ----------
    volt, volt_reach : volts between each pair, and how far tolerances can move them.
    ohm : ohms of each pair, infinite without a path.
    ampere, ampere_reach : amperes in each wire, and their reach.
    states : the solved states.
    """

    volt: Array
    volt_reach: Array
    ohm: Array
    ampere: Array
    ampere_reach: Array
    states: tuple[State, ...]


def survey(
    vehicles: Sequence[Vehicle], pairs: Sequence[tuple[str, str]], wires: Sequence[str] = ()
) -> Survey:
    """Return what vehicles of one circuit show between pairs of nodes and in wires.

    Raises
    ------
    CircuitError
        As ``circuits.operate.solve_many``.
    """
    states = solve_many(vehicles)
    parts = [
        _surveyed(vehicles[n : n + CHUNK], states[n : n + CHUNK], pairs, wires)
        for n in range(0, len(vehicles), CHUNK)
    ]
    columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
    volt, volt_reach, ohm, ampere, ampere_reach = columns
    return Survey(volt, volt_reach, ohm, ampere, ampere_reach, tuple(states))


def _surveyed(
    vehicles: Sequence[Vehicle],
    states: Sequence[State],
    pairs: Sequence[tuple[str, str]],
    wires: Sequence[str],
) -> tuple[Array, ...]:
    cases = [Network(v).elements(s.memory) for v, s in zip(vehicles, states, strict=True)]
    nodes = [point.node for point in test_points(vehicles[0].circuit)]
    stack = Stack(cases, nodes)
    start = np.array([[s.volt.get(node, 0.0) for node in stack.nodes] for s in states])
    solution = stack.solve(start, inverse=True)
    known = [spreads(v, s.memory) for v, s in zip(vehicles, states, strict=True)]
    pushed = injections(solution, cases, known)
    inverse = solution.inverse
    assert inverse is not None  # asked for above
    index = {node: number for number, node in enumerate(solution.nodes)}
    red, black = (np.array([index[pair[end]] for pair in pairs], dtype=np.intp) for end in (0, 1))
    moves = _node_moves(solution, pushed, inverse, index)
    volts = _volts(solution, inverse, moves, red, black)
    ohms = _ohms(solution, inverse, red, black)
    return (*volts, ohms, *_amperes(solution, pushed, moves, wires))


def _node_moves(
    solution: Solution, pushed: Injections, inverse: Array, index: dict[str, int]
) -> Array:
    """Return (case, unknown, node) how far each unknown moves each node's volts."""
    ends = [solution.elements[column] for column in pushed.column]
    a = [index[end] for _, end, _ in ends]
    b = [index[end] for _, _, end in ends]
    moves: Array = -(inverse[:, a, :] - inverse[:, b, :]) * pushed.ampere[:, :, None]
    return moves


def _resistance(inverse: Array, red: Index, black: Index) -> Array:
    diagonal = np.einsum("cnn->cn", inverse)
    between: Array = diagonal[:, red] + diagonal[:, black] - 2 * inverse[:, red, black]
    return between


def _volts(
    solution: Solution, inverse: Array, moves: Array, red: Index, black: Index
) -> tuple[Array, Array]:
    joined = solution.island[:, red] == solution.island[:, black]
    share = joined / (1 + np.maximum(_resistance(inverse, red, black), 0.0) / METER_OHM)
    volt = (solution.volt[:, red] - solution.volt[:, black]) * share
    reach = np.abs(moves[:, :, red] - moves[:, :, black]).sum(axis=1) * share
    return volt, reach


def _ohms(solution: Solution, inverse: Array, red: Index, black: Index) -> Array:
    joined = solution.island[:, red] == solution.island[:, black]
    ohm: Array = np.where(joined, _resistance(inverse, red, black), np.inf)
    return ohm


def _amperes(
    solution: Solution, pushed: Injections, moves: Array, wires: Sequence[str]
) -> tuple[Array, Array]:
    columns = {name: number for number, (name, _, _) in enumerate(solution.elements)}
    index = {node: number for number, node in enumerate(solution.nodes)}
    ampere = np.zeros((len(solution.volt), len(wires)))
    reach = np.zeros_like(ampere)
    for place, wire in enumerate(wires):
        column = columns.get(wire)
        if column is None:
            continue
        _, a, b = solution.elements[column]
        ampere[:, place] = current = solution.ampere[:, column]
        across = solution.volt[:, index[a]] - solution.volt[:, index[b]]
        slope = np.divide(current, across, out=np.zeros_like(current), where=across != 0)
        moved = slope[:, None] * (moves[:, :, index[a]] - moves[:, :, index[b]])
        moved[:, pushed.column == column] += pushed.ampere[:, pushed.column == column]
        reach[:, place] = np.abs(moved).sum(axis=1)
    return ampere, reach

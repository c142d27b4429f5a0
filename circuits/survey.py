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
from numpy.typing import NDArray

from circuits.lawmath import Array
from circuits.methods import METER_OHM
from circuits.model import State, Vehicle
from circuits.network import Network
from circuits.newton import Index, Solution, Stack
from circuits.operate import solve_many
from circuits.points import test_points
from circuits.rows import start_volts
from circuits.tolerance import Injections, groups_of, injections, spreads

CHUNK = 64
"""Vehicles surveyed at once: more take more memory and no less time."""

LEAST_MOVE = 1e-9
"""Volts; an unknown that moves no node further than that is left out of sums."""

PAIRS_A_NODE = 3
"""So many pairs a node, and it is quicker to go through all pairs of nodes at once."""


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
    counts = (len(pairs), len(pairs), len(pairs), len(wires), len(wires))
    columns = [np.empty((len(vehicles), count)) for count in counts]
    for first in range(0, len(vehicles), CHUNK):
        some = slice(first, first + CHUNK)
        found = _surveyed(vehicles[some], states[some], pairs, wires)
        for column, part in zip(columns, found, strict=True):
            column[some] = part
    volt, volt_reach, ohm, ampere, ampere_reach = columns
    return Survey(volt, volt_reach, ohm, ampere, ampere_reach, tuple(states))


def _surveyed(
    vehicles: Sequence[Vehicle],
    states: Sequence[State],
    pairs: Sequence[tuple[str, str]],
    wires: Sequence[str],
) -> tuple[Array, ...]:
    cases = [groups_of(Network(v), s.memory) for v, s in zip(vehicles, states, strict=True)]
    nodes = [point.node for point in test_points(vehicles[0].circuit)]
    stack = Stack.of_groups(cases, nodes)
    ends = [(a, b) for name, a, b in stack.elements if name in wires]
    asked = tuple(dict.fromkeys(node for pair in (*pairs, *ends) for node in pair))
    start = start_volts(stack.nodes, [state.volt for state in states])
    solution = stack.solve(start, toward=asked)
    known = [spreads(v, s.memory) for v, s in zip(vehicles, states, strict=True)]
    found = _Found(solution, asked, injections(solution, cases, known))
    return (*found.volts(pairs), found.ohms(pairs), *found.amperes(wires))


class _Found:
    """A solved stack with what an ampere into each node that is asked for does."""

    def __init__(self, solution: Solution, asked: Sequence[str], pushed: Injections) -> None:
        assert solution.inverse is not None  # _surveyed asks for it
        self._solution, self._pushed, self._toward = solution, pushed, solution.inverse
        self._row = {node: number for number, node in enumerate(asked)}
        self._node = {node: number for number, node in enumerate(solution.nodes)}
        self._at = np.array([self._node[node] for node in asked], dtype=np.intp)
        ends = [solution.elements[column] for column in pushed.column]
        a, b = ([self._node[end[which]] for end in ends] for which in (1, 2))
        moves = self._toward[:, :, b] - self._toward[:, :, a]
        moves *= pushed.ampere[:, None, :]
        self._moves = moves
        """(case, node asked for, unknown) how far each unknown moves each node's volts."""

    def _ends(self, pairs: Sequence[tuple[str, str]]) -> tuple[Index, Index]:
        red, black = (np.array([self._row[p[end]] for p in pairs], dtype=np.intp) for end in (0, 1))
        return red, black

    def _joined(self, red: Index, black: Index) -> NDArray[np.bool_]:
        island = self._solution.island[:, self._at]
        joined: NDArray[np.bool_] = island[:, red] == island[:, black]
        return joined

    def _resistance(self, red: Index, black: Index) -> Array:
        among = self._toward[:, :, self._at]
        own = np.einsum("cnn->cn", among)
        between: Array = own[:, red] + own[:, black] - 2 * among[:, red, black]
        return between

    def volts(self, pairs: Sequence[tuple[str, str]]) -> tuple[Array, Array]:
        """Return the volts that a voltmeter shows between each pair, and their reach."""
        red, black = self._ends(pairs)
        ohm = np.maximum(self._resistance(red, black), 0.0)
        share = self._joined(red, black) / (1 + ohm / METER_OHM)
        volt = self._solution.volt[:, self._at]
        apart = volt[:, red] - volt[:, black]
        return apart * share, _distances(self._moves, red, black) * share

    def ohms(self, pairs: Sequence[tuple[str, str]]) -> Array:
        """Return the ohms between each pair, infinite without a path."""
        red, black = self._ends(pairs)
        ohm: Array = np.where(self._joined(red, black), self._resistance(red, black), np.inf)
        return ohm

    def amperes(self, wires: Sequence[str]) -> tuple[Array, Array]:
        """Return the amperes in each wire from its first end, and their reach."""
        ampere = np.zeros((len(self._toward), len(wires)))
        reach = np.zeros_like(ampere)
        place = {wire: number for number, wire in enumerate(wires)}
        # A wire that a fault puts elsewhere has a column there besides; a case has but one.
        for column, (name, _, _) in enumerate(self._solution.elements):
            if name in place:
                current, reaches = self._in_wire(column)
                ampere[:, place[name]] += current
                reach[:, place[name]] += reaches
        return ampere, reach

    def _in_wire(self, column: int) -> tuple[Array, Array]:
        _, a, b = self._solution.elements[column]
        current = self._solution.ampere[:, column]
        across = self._solution.volt[:, self._node[a]] - self._solution.volt[:, self._node[b]]
        slope = np.divide(current, across, out=np.zeros_like(current), where=across != 0)
        moved = self._moves[:, self._row[a]] - self._moves[:, self._row[b]]
        moved *= slope[:, None]
        own = self._pushed.column == column
        moved[:, own] += self._pushed.ampere[:, own]
        return current, np.abs(moved).sum(axis=1)


def _distances(moves: Array, red: Index, black: Index) -> Array:
    """Return (case, pair) how far all unknowns together move the nodes of a pair apart."""
    if red.size <= moves.shape[1] * PAIRS_A_NODE:
        apart: Array = np.abs(moves[:, red] - moves[:, black]).sum(axis=2)
        return apart
    # Slow to import, and a few pairs do without it.
    from scipy.spatial.distance import pdist, squareform  # noqa: PLC0415

    found = np.empty((len(moves), red.size))
    for case, rows in enumerate(moves):
        bearing = np.abs(rows).max(axis=0) > LEAST_MOVE
        found[case] = squareform(pdist(rows[:, bearing], "cityblock"))[red, black]
    return found

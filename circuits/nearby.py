"""Vehicles near by: which way parts must be off for some part to behave or be seen otherwise.

A threshold is passed where volts or amperes at one part are moved far enough. One inverse of
the nodal matrix tells how far each unknown moves them, so it tells as well how all unknowns
must lie to move any two terminals furthest apart, and how far that is. What a part would then
do is asked of the part itself. It is a straight line's answer: whoever needs certainty solves
the vehicle that is told of.
"""

import itertools
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from circuits.lawmath import Array
from circuits.model import Part, State, Vehicle
from circuits.network import Network
from circuits.newton import Index, Solution, Stack
from circuits.points import test_points
from circuits.rows import start_volts
from circuits.spec import BODY, REST, Circumstance, Live, Memory, Spec, join
from circuits.tolerance import groups_of, injections, spreads

CHUNK = 64

LEVELS = (0.5, 1.0, 1.5)
"""How far off parts are tried, as shares of their tolerances. The last is for what bends: it
is told where the limit itself may do."""

LEAST_VOLT, LEAST_AMPERE = 2e-3, 1e-4
"""Terminals that tolerances move no further apart pass no threshold."""

BEARING = 0.05
"""Unknowns with less than this share of the whole reach are left at nominal."""

MOST_PAIRED, FIRST = 6, 2
"""Nodes of a part that are paired each with each; of more, each with the first few."""


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What one part would do on a vehicle near by.

    Attributes
    ----------
    code : what would be seen of it, empty where nothing is.
    tips : whether it would settle in another state, of which the code is only the beginning.
    scatter : where the parts lie that bear on it (see ``Vehicle``).
    """

    part: str
    code: str
    tips: bool
    scatter: tuple[tuple[str, float], ...]


def otherwise(vehicles: Sequence[Vehicle], states: Sequence[State]) -> list[tuple[Otherwise, ...]]:
    """Return for each solved vehicle what its parts would do were it slightly another."""
    found: list[tuple[Otherwise, ...]] = []
    known: dict[Hashable, tuple[_Change, ...]] = {}
    for first in range(0, len(vehicles), CHUNK):
        some = slice(first, first + CHUNK)
        found += _Near(vehicles[some], states[some]).found(known)
    return found


@dataclass(frozen=True, slots=True)
class _Change:
    """What a part does when it is moved one way: along which row, how far, what then."""

    row: int
    level: float
    code: str
    tips: bool


def _watched(part: Part) -> bool:
    spec = type(part.spec)
    return spec.settle is not Spec.settle or spec.seen is not Spec.seen


@dataclass(frozen=True)
class _Around:
    """One part in a solved stack: its nodes, its elements, and what tolerances do to them.

    Attributes
    ----------
    volt, ampere : (case, node or column).
    moves : (case, row, unknown): of each pair of nodes, then of each column.
    node_moves : (case, node, unknown).
    """

    part: Part
    nodes: tuple[str, ...]
    names: tuple[str, ...]
    volt: Array
    ampere: Array
    node_moves: Array
    ampere_moves: Array
    pairs: tuple[Index, Index]

    def moves(self, case: int) -> Array:
        """Return (row, unknown) how far each unknown moves each pair and each current."""
        one, other = self.pairs
        nodes = self.node_moves[case]
        return np.vstack([nodes[one] - nodes[other], self.ampere_moves[case]])

    def live(self, case: int, along: Array, network: Network) -> Live:
        """Return volts and amperes with every unknown so far off."""
        volt = self.volt[case] + self.node_moves[case] @ along
        ampere: dict[str, float] = {}
        for name, value in zip(
            self.names, self.ampere[case] + self.ampere_moves[case] @ along, strict=True
        ):
            ampere[name] = ampere.get(name, 0.0) + value
        volts = dict(zip(self.nodes, volt.tolist(), strict=True))
        return Live({**volts, BODY: 0.0}, ampere, network.node)


class _Near:
    """A chunk of vehicles solved together, with what tolerances do at each of their parts."""

    def __init__(self, vehicles: Sequence[Vehicle], states: Sequence[State]) -> None:
        self._states = states
        self._networks = [Network(vehicle) for vehicle in vehicles]
        cases = [groups_of(n, s.memory) for n, s in zip(self._networks, states, strict=True)]
        circuit = vehicles[0].circuit
        stack = Stack.of_groups(cases, [point.node for point in test_points(circuit)])
        self._parts = [part for part in circuit.parts if _watched(part)]
        nodes = {part.name: _nodes_of(part, self._networks[0], stack) for part in self._parts}
        toward = tuple(dict.fromkeys(node for some in nodes.values() for node in some))
        start = start_volts(stack.nodes, [state.volt for state in states])
        self._solution = stack.solve(start, toward=toward)
        known = [spreads(v, s.memory) for v, s in zip(vehicles, states, strict=True)]
        pushed = injections(self._solution, cases, known)
        self._unknowns, self._column, self._pushed = pushed.unknowns, pushed.column, pushed.ampere
        self._around = [self._at(part, nodes[part.name], toward) for part in self._parts]

    def _at(self, part: Part, nodes: tuple[str, ...], toward: tuple[str, ...]) -> _Around:
        solution, pushed = self._solution, self._pushed
        assert solution.inverse is not None  # asked for above
        place = {node: number for number, node in enumerate(solution.nodes)}
        ends = [solution.elements[column] for column in self._column]
        a, b = (np.array([place[e[which]] for e in ends], dtype=np.intp) for which in (1, 2))
        rows = solution.inverse[:, [toward.index(node) for node in nodes], :]
        moves = (rows[:, :, b] - rows[:, :, a]) * pushed[:, None, :]
        columns = _columns_of(part, solution)
        own = np.array([place[node] for node in nodes], dtype=np.intp)
        return _Around(
            part=part,
            nodes=nodes,
            names=tuple(solution.elements[column][0] for column in columns),
            volt=solution.volt[:, own],
            ampere=solution.ampere[:, columns],
            node_moves=moves,
            ampere_moves=self._ampere_moves(columns, nodes, moves),
            pairs=_pairs(len(nodes)),
        )

    def _ampere_moves(self, columns: Sequence[int], nodes: Sequence[str], moves: Array) -> Array:
        found = np.zeros((len(moves), len(columns), moves.shape[2]))
        for number, column in enumerate(columns):
            _, a, b = self._solution.elements[column]
            apart = sum(
                sign * moves[:, nodes.index(end)] if end != BODY else 0.0
                for end, sign in ((a, 1.0), (b, -1.0))
            )
            found[:, number] = self._solution.slope[:, column, None] * apart
            mine = self._column == column
            found[:, number, mine] += self._pushed[:, mine]
        return found

    def found(self, known: dict[Hashable, tuple[_Change, ...]]) -> list[tuple[Otherwise, ...]]:
        """Return what each vehicle's parts would do."""
        told: list[list[Otherwise]] = [[] for _ in self._networks]
        for around in self._around:
            one, other = around.pairs
            nodes = around.node_moves
            apart = np.abs(nodes[:, one] - nodes[:, other]).sum(axis=2)
            through = np.abs(around.ampere_moves).sum(axis=2)
            moved = (apart > LEAST_VOLT).any(axis=1) | (through > LEAST_AMPERE).any(axis=1)
            for case in np.flatnonzero(moved).tolist():
                key = self._key(around, case, apart, through)
                if key not in known:
                    known[key] = tuple(self._changes(around, case))
                told[case] += [self._otherwise(around, case, change) for change in known[key]]
        return [tuple(each) for each in told]

    def _circumstance(self, around: _Around, case: int) -> tuple[Memory, Circumstance]:
        part = around.part
        memory = self._states[case].memory.get(part.name, REST)
        return memory, self._networks[case].circumstance(part.name, part.spec, memory)

    def _key(self, around: _Around, case: int, apart: Array, through: Array) -> Hashable:
        """Return all that bears on a part; those that are alike to a millivolt are one."""
        rounded = (
            np.rint(1e3 * around.volt[case]).tobytes(),
            np.rint(1e3 * around.ampere[case]).tobytes(),
            np.rint(1e3 * apart[case]).tobytes(),
            np.rint(1e3 * through[case]).tobytes(),
        )
        return around.part.name, self._circumstance(around, case)[1], *rounded

    def _changes(self, around: _Around, case: int) -> Iterator[_Change]:
        part, network = around.part, self._networks[case]
        _, at = self._circumstance(around, case)
        here = part.spec.seen(
            part.name, at, around.live(case, np.zeros(len(self._unknowns)), network)
        )
        moves = around.moves(case)
        told: set[tuple[str, bool, float]] = set()
        for row, level in itertools.product(_directions(moves), LEVELS):
            for side in (level, -level):
                live = around.live(case, side * np.sign(_bearing(moves[row])), network)
                change = part.spec.settle(part.name, at, live)
                then = (
                    at
                    if change is None
                    else network.circumstance(part.name, part.spec, change.memory)
                )
                seen = part.spec.seen(part.name, then, live)
                code = seen[0] if seen else ""
                what = (code, change is not None, min(1.0, level))
                if (change is not None or seen != here) and what not in told:
                    told.add(what)
                    yield _Change(row, side, code, change is not None)

    def _otherwise(self, around: _Around, case: int, change: _Change) -> Otherwise:
        moves = _bearing(around.moves(case)[change.row])
        level = max(-1.0, min(1.0, change.level))
        where = {self._unknowns[n]: level * float(np.sign(moves[n])) for n in np.flatnonzero(moves)}
        return Otherwise(around.part.name, change.code, change.tips, tuple(sorted(where.items())))


def _bearing(row: Array) -> Array:
    """Return a row of moves with only those that bear on it."""
    size = np.abs(row)
    return np.where(size >= BEARING * size.max(initial=0.0), row, 0.0)


def _directions(moves: Array) -> list[int]:
    """Return the rows of moves that lead different ways."""
    ways: dict[bytes, int] = {}
    for number, row in enumerate(moves):
        way = np.sign(_bearing(row)).astype(np.int8)
        first = np.flatnonzero(way)
        if first.size and way.tobytes() not in ways:
            ways[(way * way[first[0]]).tobytes()] = ways.get(way.tobytes(), number)
    return list(dict.fromkeys(ways.values()))


def _nodes_of(part: Part, network: Network, stack: Stack) -> tuple[str, ...]:
    """Return the nodes of a part: its terminals, and those inside it."""
    terminals = [network.node(join(part.name, t)) for t in part.spec.terminals()]
    ends = (
        end
        for name, *both in stack.elements
        if name == part.name or name.startswith(f"{part.name}.")
        for end in both
    )
    # Those inside come first: what a part decides by is told against its own ground there.
    inside = (end for end in ends if end not in terminals)
    known = set(stack.nodes)
    return tuple(n for n in dict.fromkeys((*inside, *terminals)) if n in known and n != BODY)


def _columns_of(part: Part, solution: Solution) -> list[int]:
    return [
        number
        for number, (name, _, _) in enumerate(solution.elements)
        if name == part.name or name.startswith(f"{part.name}.")
    ]


def _pairs(count: int) -> tuple[Index, Index]:
    """Return the pairs of a part's nodes that are looked at."""
    if count <= MOST_PAIRED:
        pairs = list(itertools.combinations(range(count), 2))
    else:
        pairs = [(i, j) for i in range(FIRST) for j in range(i + 1, count)]
    both = np.array(pairs, dtype=np.intp).reshape(-1, 2)
    return both[:, 0], both[:, 1]

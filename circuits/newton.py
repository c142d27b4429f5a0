"""Nodal analysis by a damped Newton method, for a stack of networks at once.

All networks of a stack share nodes and elements; one that lacks an element has its
conductance at zero. Only monotone laws come in (see ``circuits.laws``), so each network
has one answer: the minimum of its co-content, a convex function. The step is halved
while the residual still points backwards along it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.special import wrightomega

from circuits.laws import LEAST_OHM, MOST_OHM, Armature, Filament, Junction, Law, Ohmic
from circuits.spec import BODY, Element

Array = NDArray[np.float64]
Index = NDArray[np.intp]

STEP_VOLT = 1e-9
MOST_ITERATIONS = 200
HALVINGS = 30
DIODE_LEAK_S = 1e-8

_KINDS: tuple[type, ...] = (Ohmic, Filament, Junction, Armature)
"""The laws by the code under which their parameters are stacked."""


class ConvergenceError(ArithmeticError):
    """The Newton method ran out of iterations; it should not, whatever the network."""


@dataclass(frozen=True, slots=True)
class Solution:
    """A solved stack: ``volt`` (case, node), ``ampere`` (case, element), ``inverse`` of the
    nodal matrix (case, node, node), ``island`` (case, node); ``present`` (case, element)."""

    nodes: tuple[str, ...]
    elements: tuple[tuple[str, str, str], ...]
    volt: Array
    ampere: Array
    present: NDArray[np.bool_]
    island: Index
    inverse: Array | None


def _conducts(law: Law) -> bool:
    return not isinstance(law, Ohmic) or law.ohm <= MOST_OHM


def _numbers(law: Law) -> tuple[float, float, float, float, float]:
    match law:
        case Ohmic(ohm, emf):
            return (1 / max(ohm, LEAST_OHM), emf, 0.0, 0.0, 0.0)
        case Filament(hot, rated, cold, exponent):
            return (hot, rated, cold, exponent, 0.0)
        case Junction(saturation, thermal, series):
            return (saturation, thermal, series, 0.0, 0.0)
        case Armature(ohm, k, friction, drag, stalled):
            return (max(ohm, LEAST_OHM), k, friction, drag, float(stalled))


class Stack:
    """Networks over the same nodes and elements, ready to be solved."""

    def __init__(self, cases: Sequence[Sequence[Element]], nodes: Sequence[str] = ()) -> None:
        self._index: dict[str, int] = {BODY: 0}
        for node in nodes:
            self._index.setdefault(node, len(self._index))
        self._column: dict[tuple[str, str, str, int], int] = {}
        # Most elements are the same object in every case: each is looked at once.
        told: dict[int, int] = {}
        columns: list[int] = []
        numbers: list[tuple[float, ...]] = []
        entries: list[int] = []
        rows: list[int] = []
        for case, elements in enumerate(cases):
            before = len(entries)
            for element in elements:
                known = told.get(id(element))
                if known is None:
                    known = told[id(element)] = self._look_at(element, columns, numbers)
                if known >= 0:
                    entries.append(known)
            rows += [case] * (len(entries) - before)
        self.nodes = tuple(self._index)
        self.elements = tuple(key[:3] for key in self._column)
        self._fill(
            len(cases),
            np.array(rows, dtype=np.intp),
            np.array(entries, dtype=np.intp),
            np.array(columns, dtype=np.intp),
            np.array(numbers).reshape(-1, 5),
        )
        ends = [(self._index[a], self._index[b]) for _, a, b in self.elements]
        self._a, self._b = (np.array(side, dtype=np.intp) for side in zip(*ends, strict=True))
        self._incidence()
        self.island, self._pin = self._islands()

    def _look_at(
        self, element: Element, columns: list[int], numbers: list[tuple[float, ...]]
    ) -> int:
        """Return the number under which an element's column and numbers are kept, or -1."""
        if not _conducts(element.law):
            return -1
        key = (element.name, element.a, element.b, _KINDS.index(type(element.law)))
        column = self._column.setdefault(key, len(self._column))
        for node in (element.a, element.b):
            self._index.setdefault(node, len(self._index))
        columns.append(column)
        numbers.append(_numbers(element.law))
        return len(columns) - 1

    def _fill(
        self, cases: int, rows: Index, entries: Index, columns: Index, numbers: Array
    ) -> None:
        size = len(self._column)
        self.present = np.zeros((cases, size), dtype=bool)
        self._numbers = np.ones((cases, size, 5))  # ones where absent: any number that divides
        where = columns[entries]
        self.present[rows, where] = True
        self._numbers[rows, where] = numbers[entries]
        kinds = np.array([kind for _, _, _, kind in self._column])
        self._columns = [np.flatnonzero(kinds == kind) for kind in range(len(_KINDS))]

    def _incidence(self) -> None:
        size, nodes = len(self.elements), len(self.nodes)
        column = np.arange(size)
        self._out = np.zeros((size, nodes))
        np.add.at(self._out, (column, self._a), 1.0)
        np.add.at(self._out, (column, self._b), -1.0)
        a, b = self._a, self._b
        places = np.concatenate([a * nodes + a, b * nodes + b, a * nodes + b, b * nodes + a])
        signs = np.concatenate([np.ones(2 * size), -np.ones(2 * size)])
        self._stamp = sparse.csr_array(
            (signs, (places, np.tile(column, 4))), shape=(nodes * nodes, size)
        )

    def _islands(self) -> tuple[Index, NDArray[np.bool_]]:
        known: dict[bytes, tuple[Index, NDArray[np.bool_]]] = {}
        found = []
        for mask in self.present:
            key = mask.tobytes()
            if key not in known:
                known[key] = self._label(mask)
            found.append(known[key])
        return np.array([label for label, _ in found]), np.array([pin for _, pin in found])

    def _label(self, mask: NDArray[np.bool_]) -> tuple[Index, NDArray[np.bool_]]:
        graph: nx.Graph[int] = nx.Graph()
        graph.add_nodes_from(range(len(self.nodes)))
        graph.add_edges_from(zip(self._a[mask].tolist(), self._b[mask].tolist(), strict=True))
        label = np.zeros(len(self.nodes), dtype=np.intp)
        pin = np.zeros(len(self.nodes), dtype=bool)
        for number, island in enumerate(nx.connected_components(graph)):
            members = sorted(island)
            label[members] = number
            pin[members[0]] = True
        return label, pin

    def _flow(self, volt: Array, laws: "_Laws") -> tuple[Array, Array, Array]:
        """Return current and slope per element, and the residual per node."""
        across = volt[:, self._a] - volt[:, self._b]
        current, slope = np.zeros_like(across), np.zeros_like(across)
        for law, columns, numbers, present in laws:
            i, s = law(across[:, columns], numbers)
            current[:, columns] = i * present
            slope[:, columns] = s * present
        return current, slope, -(current @ self._out)

    def _laws(self, cases: Index) -> "_Laws":
        found = []
        for law, columns in zip(_LAWS, self._columns, strict=True):
            if columns.size:
                chosen = np.ix_(cases, columns)
                numbers = np.ascontiguousarray(np.moveaxis(self._numbers[chosen], 2, 0))
                found.append((law, columns, numbers, self.present[chosen].astype(float)))
        return found

    def _matrix(self, slope: Array, cases: Index) -> Array:
        nodes = len(self.nodes)
        matrix = (self._stamp @ slope.T).T.reshape(-1, nodes, nodes).copy()
        diagonal = np.einsum("bnn->bn", matrix)
        bare = diagonal <= 0
        # An island carries no net current, so the pin that grounds it biases nothing.
        diagonal += np.where(bare, 1.0, np.where(self._pin[cases], diagonal, 0.0))
        return matrix

    def solve(self, start: Array | None = None, *, inverse: bool = False) -> Solution:
        """Return the solution of every network of the stack.

        ``start`` (case, node) holds volts to begin from; the answer does not depend on it.

        Raises
        ------
        ConvergenceError
            If a network does not settle, which monotone laws rule out.
        """
        everything = np.arange(len(self.present))
        volt = np.zeros((len(everything), len(self.nodes))) if start is None else start.copy()
        self._settle(volt, everything)
        current, slope, _ = self._flow(volt, self._laws(everything))
        matrix = self._matrix(slope, everything)
        back: Array | None = np.linalg.inv(matrix).astype(float) if inverse else None
        return Solution(self.nodes, self.elements, volt, current, self.present, self.island, back)

    def _settle(self, volt: Array, left: Index) -> None:
        """Bring the volts to rest, in place, dropping cases as they get there."""
        laws = self._laws(left)
        flow = self._flow(volt, laws)
        for _ in range(MOST_ITERATIONS):
            _, slope, residual = flow
            whole = np.linalg.solve(self._matrix(slope, left), residual[:, :, None])
            step = whole[:, :, 0].astype(float, copy=False)
            volt[left], flow = self._line_search(volt[left], step, residual, laws)
            # The whole step tells, never a shortened one, small far from the answer too.
            far = np.abs(step).max(axis=1) >= STEP_VOLT
            if not far.any():
                return
            if not far.all():
                left, flow = left[far], (flow[0][far], flow[1][far], flow[2][far])
                laws = self._laws(left)
        raise ConvergenceError(f"{left.size} of {len(volt)} networks did not settle")

    def _line_search(
        self, volt: Array, step: Array, residual: Array, laws: "_Laws"
    ) -> tuple[Array, tuple[Array, Array, Array]]:
        """Return the volts after the longest step that does not overshoot, and their flow."""
        tiny = np.abs(step).max(axis=1) < STEP_VOLT
        target = -0.5 * np.einsum("bn,bn->b", residual, step)
        scale = np.ones(len(volt))
        for _ in range(HALVINGS):
            ahead = volt + scale[:, None] * step
            flow = self._flow(ahead, laws)
            overshot = ~tiny & (np.einsum("bn,bn->b", flow[2], step) < target)
            if not overshot.any():
                break
            scale[overshot] /= 2
        return ahead, flow


_Law = Callable[[Array, Array], tuple[Array, Array]]
_Laws = list[tuple[_Law, Index, Array, Array]]


def _ohmic(v: Array, p: Array) -> tuple[Array, Array]:
    return p[0] * (v - p[1]), p[0]


def _filament(v: Array, p: Array) -> tuple[Array, Array]:
    hot, rated, cold, exponent, _ = p
    warmth = (1 - cold) * (np.abs(v) / rated) ** exponent
    ohm = hot * (cold + warmth)
    return v / ohm, (1 - exponent * warmth / (cold + warmth)) / ohm


def _junction(v: Array, p: Array) -> tuple[Array, Array]:
    saturation, thermal, series, _, _ = p
    drop = saturation * series
    omega = wrightomega(np.log(drop / thermal) + (v + drop) / thermal).real
    current = thermal / series * omega - saturation
    return current + DIODE_LEAK_S * v, omega / (series * (1 + omega)) + DIODE_LEAK_S


def _armature(v: Array, p: Array) -> tuple[Array, Array]:
    ohm, k, friction, drag, stalled = p
    still = (stalled > 0) | (np.abs(v) * k <= friction * ohm)
    through = drag * ohm + k**2
    turning = (friction * k * np.sign(v) + drag * v) / through
    return np.where(still, v / ohm, turning), np.where(still, 1 / ohm, drag / through)


_LAWS: tuple[_Law, ...] = (_ohmic, _filament, _junction, _armature)

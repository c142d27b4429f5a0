"""Nodal analysis by a damped Newton method, for a stack of networks at once.

All networks of a stack share nodes and elements; one that lacks an element has its
conductance at zero. Only monotone laws come in (see ``circuits.laws``), so each network
has one answer: the minimum of its co-content, a convex function. The step is halved
while the residual still points backwards along it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from circuits.lawmath import KINDS, LAWS, Array, ArrayLaw, conducts, numbers_of
from circuits.spec import BODY, Element

Index = NDArray[np.intp]
Laws = list[tuple[ArrayLaw, Index, Array, Array]]

STEP_VOLT = 1e-9
MOST_ITERATIONS = 200
HALVINGS = 30
MOST_DENSE = 250
"""Nodes up to which a dense solve of the stack is quicker than sparse ones."""


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
        if not conducts(element.law):
            return -1
        key = (element.name, element.a, element.b, KINDS.index(type(element.law)))
        column = self._column.setdefault(key, len(self._column))
        for node in (element.a, element.b):
            self._index.setdefault(node, len(self._index))
        columns.append(column)
        numbers.append(numbers_of(element.law))
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
        self._columns = [np.flatnonzero(kinds == kind) for kind in range(len(KINDS))]

    def _incidence(self) -> None:
        size, nodes = len(self.elements), len(self.nodes)
        column = np.arange(size)
        a, b = self._a, self._b
        signs = np.concatenate([np.ones(size), -np.ones(size)])
        self._large = nodes > MOST_DENSE
        out = sparse.csr_array(
            (signs, (np.tile(column, 2), np.concatenate([a, b]))), shape=(size, nodes)
        )
        self._out = out if self._large else out.toarray()
        self._places = (np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a]))
        self._signs = np.concatenate([np.ones(2 * size), -np.ones(2 * size)])
        if not self._large:
            rows, columns = self._places
            self._stamp = sparse.csr_array(
                (self._signs, (rows * nodes + columns, np.tile(column, 4))),
                shape=(nodes * nodes, size),
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

    def _flow(self, volt: Array, laws: Laws) -> tuple[Array, Array, Array]:
        """Return current and slope per element, and the residual per node."""
        across = volt[:, self._a] - volt[:, self._b]
        current, slope = np.zeros_like(across), np.zeros_like(across)
        for law, columns, numbers, present in laws:
            i, s = law(across[:, columns], numbers)
            current[:, columns] = i * present
            slope[:, columns] = s * present
        return current, slope, -(current @ self._out)

    def _laws(self, cases: Index) -> Laws:
        found = []
        for law, columns in zip(LAWS, self._columns, strict=True):
            if columns.size:
                chosen = np.ix_(cases, columns)
                numbers = np.ascontiguousarray(np.moveaxis(self._numbers[chosen], 2, 0))
                found.append((law, columns, numbers, self.present[chosen].astype(float)))
        return found

    def _matrix(self, slope: Array, cases: Index) -> Array:
        nodes = len(self.nodes)
        matrix = (self._stamp @ slope.T).T.reshape(-1, nodes, nodes).copy()
        diagonal = np.einsum("bnn->bn", matrix)
        diagonal += self._pinning(diagonal, cases)
        return matrix

    def _pinning(self, diagonal: Array, cases: Index) -> Array:
        """Return what grounds one node an island, and any node that nothing joins."""
        # An island carries no net current, so the pin that grounds it biases nothing.
        return np.where(diagonal <= 0, 1.0, np.where(self._pin[cases], diagonal, 0.0))

    def _steps(self, slope: Array, residual: Array, cases: Index) -> Array:
        """Return the Newton step of every case; a large network is solved sparsely."""
        if not self._large:
            whole = np.linalg.solve(self._matrix(slope, cases), residual[:, :, None])
            return whole[:, :, 0].astype(float, copy=False)
        # Slow to import, and small networks do without it.
        from scipy.sparse.linalg import splu  # noqa: PLC0415

        steps = [
            splu(self._sparse_matrix(slope[row], case)).solve(residual[row])
            for row, case in enumerate(cases.tolist())
        ]
        return np.array(steps)

    def _sparse_matrix(self, slope: Array, case: int) -> "sparse.csc_array":
        nodes = len(self.nodes)
        matrix = sparse.coo_array(
            (self._signs * np.tile(slope, 4), self._places), shape=(nodes, nodes)
        ).tocsc()
        pins = self._pinning(matrix.diagonal()[None, :], np.array([case]))[0]
        return matrix + sparse.diags_array(pins, format="csc")

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
        back = self._inverse(slope, everything) if inverse else None
        return Solution(self.nodes, self.elements, volt, current, self.present, self.island, back)

    def _inverse(self, slope: Array, cases: Index) -> Array:
        if self._large:
            rows = enumerate(cases.tolist())
            matrix = np.array([self._sparse_matrix(slope[r], case).toarray() for r, case in rows])
        else:
            matrix = self._matrix(slope, cases)
        inverse: Array = np.linalg.inv(matrix).astype(float, copy=False)
        return inverse

    def _settle(self, volt: Array, left: Index) -> None:
        """Bring the volts to rest, in place, dropping cases as they get there."""
        laws = self._laws(left)
        flow = self._flow(volt, laws)
        for _ in range(MOST_ITERATIONS):
            _, slope, residual = flow
            step = self._steps(slope, residual, left)
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
        self, volt: Array, step: Array, residual: Array, laws: Laws
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

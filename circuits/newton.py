"""Nodal analysis by a damped Newton method, for a stack of networks at once.

All networks of a stack share nodes and elements; one that lacks an element has its
conductance at zero. Only monotone laws come in (see ``circuits.laws``), so each network
has one answer: the minimum of its co-content, a convex function. The step is halved
while the residual still points backwards along it. Inside, arrays hold a row for each node or
element and a column for each network.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from circuits.elimination import Index, shape_of
from circuits.lawmath import LAWS, Array
from circuits.spec import Element
from circuits.table import Groups, Table, tabled

__all__ = ["ConvergenceError", "Index", "Solution", "Stack"]

Flow = tuple[Array, Array, Array]
"""Current and slope of each element, and the residual of each node."""

STEP_VOLT = 1e-9
NEAR_VOLT = 1e-6
"""Steps below which the residual is rounding, and tells nothing of the way."""

ROUNDING = 1e-12
"""Of the largest current: a residual that small is nothing but rounding."""

MOST_ITERATIONS = 200
HALVINGS = 30
MOST_DENSE = 120
"""Nodes up to which a dense solve of few networks is quicker than sparse ones."""

MANY = 12
"""Networks from which on it is quicker to eliminate node by node in all of them."""


class ConvergenceError(ArithmeticError):
    """The Newton method ran out of iterations; it should not, whatever the network."""


@dataclass(frozen=True, slots=True)
class Solution:
    """A solved stack: ``volt`` (case, node), ``ampere`` and its ``slope`` by the volts across
    (case, element), ``inverse`` of the nodal matrix (case, node asked for, node), ``island``
    (case, node); ``present`` (case, element), and ``touched`` (case, node) by an element that
    is present."""

    nodes: tuple[str, ...]
    elements: tuple[tuple[str, str, str], ...]
    volt: Array
    ampere: Array
    slope: Array
    present: NDArray[np.bool_]
    touched: NDArray[np.bool_]
    island: Index
    inverse: Array | None


@dataclass(frozen=True, slots=True)
class _Laws:
    """Parameters (5, element, network) by law; ``there`` is 1 where an element is present."""

    parts: tuple[slice, ...]
    numbers: Array
    there: Array

    def some(self, cases: Index | NDArray[np.bool_]) -> "_Laws":
        return _Laws(self.parts, self.numbers[:, :, cases], self.there[:, cases])


class Stack:
    """Networks over the same nodes and elements, ready to be solved."""

    def __init__(self, cases: Sequence[Sequence[Element]], nodes: Sequence[str] = ()) -> None:
        self._set(tabled([(elements,) for elements in cases], nodes))

    @classmethod
    def of_groups(cls, cases: Sequence[Groups], nodes: Sequence[str] = ()) -> "Stack":
        """Return the stack of networks whose elements come in groups (``circuits.table``)."""
        stack = cls.__new__(cls)
        stack._set(tabled(cases, nodes))
        return stack

    def _set(self, table: Table) -> None:
        self.nodes, self.elements, self.present = table.nodes, table.elements, table.present
        self._a, self._b = table.a, table.b
        self._laws = _Laws(table.laws, table.numbers, table.present.T.astype(float))
        self._shape = shape_of(len(self.nodes), table.a.tobytes(), table.b.tobytes())
        self.island, self._pin = self._islands()

    def _islands(self) -> tuple[Index, NDArray[np.bool_]]:
        """Return a number by case and node; nodes that a path joins have the same.

        With it, by node and case, which node of each island is grounded: its first.
        """
        kinds: dict[bytes, int] = {}
        of_case = [kinds.setdefault(mask.tobytes(), len(kinds)) for mask in self.present]
        masks = np.array([np.frombuffer(key, dtype=bool) for key in kinds])
        kind, column = np.nonzero(masks)
        nodes, size = len(self.nodes), len(kinds) * len(self.nodes)
        ends = (kind * nodes + self._a[column], kind * nodes + self._b[column])
        joined = sparse.csr_array((np.ones(column.size), ends), shape=(size, size))
        label = connected_components(joined, directed=False)[1].reshape(-1, nodes)
        pin = np.zeros(label.shape, dtype=bool)
        pin.ravel()[np.unique(label, return_index=True)[1]] = True
        return label[of_case].astype(np.intp), np.ascontiguousarray(pin[of_case].T)

    def _flow(self, volt: Array, laws: _Laws) -> Flow:
        across = volt[self._a] - volt[self._b]
        current, slope = np.empty_like(across), np.empty_like(across)
        for law, part in zip(LAWS, laws.parts, strict=True):
            if part.start == part.stop:
                continue
            current[part], slope[part] = law(across[part], laws.numbers[:, part])
            if part.start:  # a resistance that is absent conducts nothing already
                current[part] *= laws.there[part]
                slope[part] *= laws.there[part]
        return current, slope, -(self._shape.out @ current)

    def _steps(self, slope: Array, residual: Array, cases: Index) -> Array:
        """Return the Newton step of every network."""
        if cases.size >= MANY:
            return self._shape.factors(slope, self._pin[:, cases]).volts(residual)
        if len(self.nodes) <= MOST_DENSE:
            whole = np.linalg.solve(self._matrix(slope, cases), residual.T[:, :, None])
            return whole[:, :, 0].T.astype(float, copy=False)
        # Slow to import, and small networks do without it.
        from scipy.sparse.linalg import splu  # noqa: PLC0415

        steps = [
            splu(self._sparse_matrix(slope[:, n], case)).solve(residual[:, n])
            for n, case in enumerate(cases.tolist())
        ]
        return np.array(steps).T

    def _matrix(self, slope: Array, cases: Index) -> Array:
        nodes = len(self.nodes)
        matrix = (self._shape.stamp @ slope).T.reshape(-1, nodes, nodes).copy()
        diagonal = np.einsum("bnn->bn", matrix)
        diagonal += self._pinning(diagonal, cases)
        return matrix

    def _pinning(self, diagonal: Array, cases: Index) -> Array:
        """Return what grounds one node an island, and any node that nothing joins."""
        # An island carries no net current, so the pin that grounds it biases nothing.
        return np.where(diagonal <= 0, 1.0, np.where(self._pin.T[cases], diagonal, 0.0))

    def _sparse_matrix(self, slope: Array, case: int) -> "sparse.csc_array":
        nodes = len(self.nodes)
        matrix = sparse.coo_array(
            (self._shape.signs * np.tile(slope, 4), self._shape.places), shape=(nodes, nodes)
        ).tocsc()
        pins = self._pinning(matrix.diagonal()[None, :], np.array([case]))[0]
        return matrix + sparse.diags_array(pins, format="csc")

    def solve(
        self,
        start: Array | None = None,
        *,
        inverse: bool = False,
        toward: Sequence[str] | None = None,
    ) -> Solution:
        """Return the solution of every network of the stack.

        ``start`` (case, node) holds volts to begin from; the answer does not depend on it.
        ``toward`` are the nodes of which rows of the inverse are wanted; ``inverse`` asks for
        all of them.

        Raises
        ------
        ConvergenceError
            If a network does not settle, which monotone laws rule out.
        """
        volt = np.zeros(self._pin.shape) if start is None else np.array(start.T, order="C")
        self._settle(volt)
        current, slope, _ = self._flow(volt, self._laws)
        asked = self.nodes if inverse else toward
        back = None if asked is None else self._inverse(slope, asked)
        return Solution(
            self.nodes,
            self.elements,
            np.ascontiguousarray(volt.T),
            np.ascontiguousarray(current.T),
            np.ascontiguousarray(slope.T),
            self.present,
            (self._shape.at_node @ self._laws.there).T > 0,
            self.island,
            back,
        )

    def _inverse(self, slope: Array, asked: Sequence[str]) -> Array:
        place = {node: number for number, node in enumerate(self.nodes)}
        rows = np.array([place[node] for node in asked], dtype=np.intp)
        return self._shape.factors(slope, self._pin).transfer(rows)

    def _settle(self, volt: Array) -> None:
        """Bring the volts to rest, in place, dropping networks as they get there."""
        left, laws = np.arange(volt.shape[1]), self._laws
        flow = self._flow(volt, laws)
        for _ in range(MOST_ITERATIONS):
            _, slope, residual = flow
            step = self._steps(slope, residual, left)
            volt[:, left], flow = self._line_search(volt[:, left], step, residual, laws)
            # The whole step tells, never a shortened one, small far from the answer too.
            length = np.abs(step).max(axis=0)
            far = (length >= NEAR_VOLT) | (length >= STEP_VOLT) & ~_rounded(flow)
            if not far.any():
                return
            if not far.all():
                left, laws = left[far], laws.some(far)
                flow = (flow[0][:, far], flow[1][:, far], flow[2][:, far])
        raise ConvergenceError(f"{left.size} of {volt.shape[1]} networks did not settle")

    def _line_search(
        self, volt: Array, step: Array, residual: Array, laws: _Laws
    ) -> tuple[Array, Flow]:
        """Return the volts after the longest step that does not overshoot, and their flow."""
        target = -0.5 * np.einsum("nb,nb->b", residual, step)
        ahead = volt + step
        flow = self._flow(ahead, laws)
        tiny = np.abs(step).max(axis=0) < NEAR_VOLT
        over = ~tiny & (np.einsum("nb,nb->b", flow[2], step) < target)
        bad, scale = np.flatnonzero(over), 1.0
        for _ in range(HALVINGS - 1):
            if not bad.size:
                break
            scale /= 2
            ahead[:, bad] = volt[:, bad] + scale * step[:, bad]
            shorter = self._flow(ahead[:, bad], laws.some(bad))
            for whole, part in zip(flow, shorter, strict=True):
                whole[:, bad] = part
            bad = bad[np.einsum("nb,nb->b", shorter[2], step[:, bad]) < target[bad]]
        return ahead, flow


def _rounded(flow: Flow) -> NDArray[np.bool_]:
    """Say of each network whether its residual is no more than rounding."""
    current, _, residual = flow
    found: NDArray[np.bool_] = np.abs(residual).max(axis=0) <= ROUNDING * np.abs(current).max(
        axis=0
    )
    return found

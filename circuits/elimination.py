"""Many networks of one shape solved side by side: star-mesh elimination.

A node goes, and each pair of its neighbours gets g_i g_j / sum(g) between them, the body among
them (Rosen, 1924, from memory). Nothing is subtracted, so no digit is lost however far the
conductances lie apart. Which nodes go when depends on the shape alone and is planned once;
each step is then arithmetic on rows that hold one number a network.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from circuits.lawmath import Array

Index = NDArray[np.intp]
Pair = tuple[int, int]

SLACK = 2
"""Nodes with so many neighbours more than the least go in one round with it."""


class Shape:
    """Which nodes a network's elements join; node 0 is the body and stays.

    Attributes
    ----------
    nodes : how many there are.
    out : (node, element) the signs with which currents leave the nodes.
    """

    def __init__(self, nodes: int, a: Index, b: Index) -> None:
        self.nodes, self.a, self.b = nodes, a, b
        column = np.arange(a.size)
        signs = np.concatenate([np.ones(a.size), -np.ones(a.size)])
        self.out = _summing(np.concatenate([a, b]), np.tile(column, 2), (nodes, a.size), signs)
        self.out.sum_duplicates()  # an element whose ends are one node carries nothing

    @cached_property
    def stamp(self) -> sparse.csr_array:
        """From the elements' slopes to the nodal matrix, (node * nodes + node, element)."""
        rows, columns = self.places
        size = self.a.size
        where, shape = rows * self.nodes + columns, (self.nodes**2, size)
        return _summing(where, np.tile(np.arange(size), 4), shape, self.signs)

    @cached_property
    def places(self) -> tuple[Index, Index]:
        """Row and column of the nodal matrix where each element comes in, four times over."""
        a, b = self.a, self.b
        return np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a])

    @cached_property
    def signs(self) -> Array:
        """The signs with which an element comes in at its places."""
        return np.repeat([1.0, -1.0], 2 * self.a.size)

    @cached_property
    def at_node(self) -> sparse.csr_array:
        """(node, element), 1 where the element is joined to the node."""
        return abs(self.out)

    @cached_property
    def _plan(self) -> "_Plan":
        return _Plan(self.nodes, self.a.tolist(), self.b.tolist())

    def factors(self, slope: Array, pinned: NDArray[np.bool_]) -> "Factors":
        """Return what solves the networks with these slopes (element, network).

        ``pinned`` (node, network) are the nodes that are grounded, one an island, with as much
        as joins them already; so are nodes that nothing joins, with one siemens.
        """
        whole = self.at_node @ slope
        pins = np.where(whole <= 0, 1.0, np.where(pinned, whole, 0.0))
        plan = self._plan
        joining = np.zeros((plan.edges, slope.shape[1]))
        joining[: plan.first_fill] = plan.of_edges @ slope
        return Factors(plan, joining, plan.of_ground @ slope + pins)


@lru_cache(maxsize=128)
def shape_of(nodes: int, a: bytes, b: bytes) -> Shape:
    """Return the shape for the ends of the elements, given as bytes of index arrays."""
    return Shape(nodes, np.frombuffer(a, dtype=np.intp), np.frombuffer(b, dtype=np.intp))


class Factors:
    """Networks with all their nodes eliminated, ready to answer to injected currents."""

    def __init__(self, plan: "_Plan", joining: Array, ground: Array) -> None:
        """Eliminate; both arrays (edge or node, network) are used up."""
        self._plan, self._shares, self._ohms = plan, [], []
        for go in plan.rounds:
            off, base = joining[go.edges], ground[go.nodes]
            ohm = 1 / (go.sums @ off + base)
            share = off * ohm[go.owner]
            joining[go.filled] += go.mesh @ (off[go.first] * share[go.second])
            ground[go.heads] += go.to_heads @ (share * base[go.owner])
            self._shares.append(share)
            self._ohms.append(ohm)

    def volts(self, ampere: Array) -> Array:
        """Return the volts that currents into the nodes make, both (node, ..., network)."""
        shape = ampere.shape
        left = ampere.reshape(shape[0], -1, shape[-1]).copy()
        volt = np.zeros_like(left)
        for go, share in zip(self._plan.rounds, self._shares, strict=True):
            left[go.heads] += _summed(go.to_heads, share[:, None] * left[go.tails])
        for go, share, ohm in self._backwards():
            through = _summed(go.sums, share[:, None] * volt[go.ends])
            volt[go.nodes] = left[go.nodes] * ohm[:, None] + through
        return volt.reshape(shape)

    def transfer(self, asked: Index) -> Array:
        """Return the volts of every node for an ampere into each of some (network, asked, node).

        They are rows of the inverse of the nodal matrix.
        """
        nodes, networks = self._plan.nodes, self._ohms[0].shape[1]
        ampere = np.zeros((nodes, asked.size, networks))
        ampere[asked, np.arange(asked.size)] = 1.0
        return np.ascontiguousarray(self.volts(ampere).transpose(2, 1, 0))

    def _backwards(self) -> Iterator[tuple["_Round", Array, Array]]:
        rounds = zip(self._plan.rounds, self._shares, self._ohms, strict=True)
        return reversed(list(rounds))


@dataclass(frozen=True, slots=True)
class _Round:
    """Nodes that go together, none next to another: rows of the arrays, and what sums them.

    ``edges`` lead from ``tails``, the nodes that go (``owner`` of them), to ``ends``; ``first``
    and ``second`` are pairs of these edges, whose product comes on the edges ``filled``.
    """

    nodes: Index
    edges: Index
    owner: Index
    tails: Index
    ends: Index
    sums: sparse.csr_array
    heads: Index
    to_heads: sparse.csr_array
    first: Index
    second: Index
    filled: Index
    mesh: sparse.csr_array


class _Plan:
    """The order in which the nodes of a shape go, those with the fewest neighbours first."""

    def __init__(self, nodes: int, a: Sequence[int], b: Sequence[int]) -> None:
        self.nodes = nodes
        self._edge: dict[Pair, int] = {}
        self._beside: list[set[int]] = [set() for _ in range(nodes)]
        ground: list[Pair] = []
        edges: list[Pair] = []
        for column, (one, other) in enumerate(zip(a, b, strict=True)):
            if one == other:
                continue
            if 0 in (one, other):
                ground.append((one + other, column))
            else:
                edges.append((self._join(one, other), column))
        self.first_fill = len(self._edge)
        self.of_ground = _summing_pairs(ground, (nodes, len(a)))
        self.of_edges = _summing_pairs(edges, (self.first_fill, len(a)))
        left = set(range(1, nodes))
        self.rounds: list[_Round] = []
        while left:
            chosen = self._next(left)
            self.rounds.append(self._round(chosen))
            left.difference_update(chosen)
        self.edges = len(self._edge)

    def _join(self, one: int, other: int) -> int:
        self._beside[one].add(other)
        self._beside[other].add(one)
        return self._edge.setdefault((min(one, other), max(one, other)), len(self._edge))

    def _next(self, left: set[int]) -> list[int]:
        """Return nodes with about the fewest neighbours, none beside another."""
        order = sorted(left, key=lambda node: (len(self._beside[node]), node))
        most = len(self._beside[order[0]]) + SLACK
        chosen: list[int] = []
        spared: set[int] = set()
        for node in order:
            if len(self._beside[node]) > most:
                break
            if node not in spared:
                chosen.append(node)
                spared |= self._beside[node]
        return chosen

    def _round(self, chosen: Sequence[int]) -> _Round:
        edges: list[int] = []
        owner: list[int] = []
        ends: list[int] = []
        pairs: list[tuple[int, int, int]] = []
        for number, node in enumerate(chosen):
            beside = sorted(self._beside[node])
            at = len(edges)
            for end in beside:
                edges.append(self._join(node, end))
                self._beside[end].discard(node)
            owner += [number] * len(beside)
            ends += beside
            pairs += [
                (at + i, at + j, self._join(beside[i], beside[j]))
                for j in range(len(beside))
                for i in range(j)
            ]
        nodes, tails = _index(chosen), _index([chosen[n] for n in owner])
        filled, mesh = _gathered([edge for _, _, edge in pairs])
        heads, to_heads = _gathered(ends)
        every = np.arange(len(edges))
        return _Round(
            nodes=nodes,
            edges=_index(edges),
            owner=_index(owner),
            tails=tails,
            ends=_index(ends),
            sums=_summing(_index(owner), every, (len(chosen), len(edges))),
            heads=heads,
            to_heads=to_heads,
            first=_index([i for i, _, _ in pairs]),
            second=_index([j for _, j, _ in pairs]),
            filled=filled,
            mesh=mesh,
        )


def _summed(summing: sparse.csr_array, rows: Array) -> Array:
    whole: Array = summing @ rows.reshape(rows.shape[0], rows.shape[1] * rows.shape[2])
    return whole.reshape(summing.shape[0], *rows.shape[1:])


def _index(numbers: Sequence[int]) -> Index:
    return np.array(numbers, dtype=np.intp)


def _gathered(targets: Sequence[int]) -> tuple[Index, sparse.csr_array]:
    """Return each target once, and what sums all that goes to it."""
    once, where = np.unique(_index(targets), return_inverse=True)
    return once, _summing(where, np.arange(len(targets)), (once.size, len(targets)))


def _summing(
    rows: Index, columns: Index, shape: Pair, signs: Array | None = None
) -> sparse.csr_array:
    """Return what sums columns by row; put together here, as plans need many small ones."""
    order = np.argsort(rows, kind="stable")
    ends = np.zeros(shape[0] + 1, dtype=np.int32)
    np.cumsum(np.bincount(rows, minlength=shape[0]), out=ends[1:])
    numbers = np.ones(rows.size) if signs is None else signs[order]
    return sparse.csr_array((numbers, columns[order].astype(np.int32), ends), shape=shape)


def _summing_pairs(pairs: Sequence[Pair], shape: Pair) -> sparse.csr_array:
    rows, columns = (_index([pair[end] for pair in pairs]) for end in (0, 1))
    return _summing(rows, columns, shape)

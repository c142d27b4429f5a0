"""Rows: where each block lies across the flow.

One linear programme: as little total shift along the wires as the order in each rank
and the room of each block allow. Sums of distances are least where most wires are
straight, and every number in it is a multiple of the grid, so no small jog is left.
The ports of controllers and in-line connectors may spread to meet their neighbours.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, cast

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_array

from circuits.drafting.ranks import End, Grid, Link
from circuits.drafting.shapes import Block, Metrics

Spot = tuple[int, int]
"""A variable and a distance from it."""
PASSING = 1.0
"""How much straighter a wire wants to be for each end at which it passes a rank."""
HEIGHT, BOX, DRIFT, PINNED = 0.2, 0.3, 0.002, 50.0
ROUNDS = 4


@dataclass(frozen=True, slots=True)
class Rows:
    """Where every row of every block lies, across."""

    rows: Mapping[str, tuple[int, ...]]

    def of(self, block: Block, node: str) -> int:
        """Return where a port of a block lies."""
        return self.rows[block.name][block.port(node).row]


@dataclass(slots=True)
class _Programme:
    """Differences of variables: at least so much apart, and drawn together."""

    count: int = 0
    # The first lies at least so far behind the second.
    apart: list[tuple[Spot, Spot, int]] = field(default_factory=list)
    drawn: list[tuple[Spot, Spot, float]] = field(default_factory=list)
    price: dict[int, float] = field(default_factory=dict)

    def new(self) -> int:
        self.count += 1
        return self.count - 1

    def solve(self) -> list[int] | None:
        """Return the variables' values, None where the demands contradict each other."""
        width = self.count + len(self.drawn)
        demands: list[tuple[Spot, Spot, int, int | None]] = [
            (earlier, later, least, None) for later, earlier, least in self.apart
        ]
        for slack, (a, b, _) in enumerate(self.drawn, start=self.count):
            demands += [(a, b, 0, slack), (b, a, 0, slack)]
        entries: list[tuple[int, int, float]] = []
        bound = []
        for number, ((one, d_one), (two, d_two), least, excess) in enumerate(demands):
            # one + d_one + least <= two + d_two, or more by at most the excess
            entries += [(number, one, 1.0), (number, two, -1.0)]
            entries += [] if excess is None else [(number, excess, -1.0)]
            bound.append(float(d_two - d_one - least))
        rows, columns, values = zip(*entries, strict=True)
        matrix = csr_array((values, (rows, columns)), shape=(len(demands), width))
        cost = np.full(width, DRIFT, dtype=np.float64)
        for variable, price in self.price.items():
            cost[variable] += price
        cost[self.count :] = [weight for *_, weight in self.drawn]
        limits = np.array(bound, dtype=np.float64)
        # The stubs of scipy know no sparse matrix here; its documentation does.
        answer = linprog(cost, A_ub=cast(Any, matrix), b_ub=limits, method="highs-ds")
        if answer.status != 0 or answer.x is None:
            return None
        return [round(float(x)) for x in answer.x[: self.count]]


def place_rows(
    grid: Grid,
    metrics: Metrics,
    pinned: Mapping[str, float],
    parted: Iterable[tuple[End, End]] = (),
) -> Rows:
    """Return where the rows lie.

    Parameters
    ----------
    pinned : rows, in pitches, that a circuit file wants for a part's first row.
    parted : pairs of ends of which the second must lie behind the first, off its row.
    """
    programme = _Programme()
    spots = {name: _block_spots(programme, block) for name, block in grid.blocks.items()}
    _stack(programme, grid, spots, metrics)
    for link in grid.links:
        ends = [_spot(grid, spots, end) for end in link.ends]
        passes = sum(grid.blocks[name].sort == "passing" for name, _ in link.ends)
        programme.drawn.append((ends[0], ends[1], 1.0 + PASSING * passes))
    _pin(programme, spots, pinned, metrics)
    for first, second in parted:
        later, earlier = _spot(grid, spots, second), _spot(grid, spots, first)
        programme.apart.append((later, earlier, metrics.grid))
    values = _straightest(programme, metrics)
    if values is None:
        # Only what must be parted can contradict the sequence; without it there is an answer.
        return place_rows(grid, metrics, pinned)
    return Rows({n: tuple(values[v] + d for v, d in s.rows) for n, s in spots.items()})


def _stack(
    programme: _Programme, grid: Grid, spots: Mapping[str, "_Spots"], metrics: Metrics
) -> None:
    """Keep the blocks of each rank one behind the other, and the whole low."""
    bottom = programme.new()
    programme.price[bottom] = HEIGHT
    for names in grid.order:
        for name, following in pairwise(names):
            passing = {grid.blocks[n].sort for n in (name, following)} == {"passing"}
            room = 0 if passing else metrics.grid
            programme.apart.append((spots[following].top, spots[name].end, room))
        for name in names[-1:]:
            programme.apart.append(((bottom, 0), spots[name].end, 0))


def _pin(
    programme: _Programme,
    spots: Mapping[str, "_Spots"],
    pinned: Mapping[str, float],
    metrics: Metrics,
) -> None:
    zero = programme.new()
    for name, row in pinned.items():
        where = (zero, round(row * metrics.pitch))
        programme.drawn.append((spots[name].rows[0], where, PINNED))


def bends(grid: Grid, rows: Rows) -> int:
    """Return how many links are not straight."""
    return sum(_shifts(grid, rows, link) for link in grid.links)


def jogs(grid: Grid, rows: Rows) -> list[tuple[int, int]]:
    """Return rank and index of pairs of which one is a wire that bends before and after."""
    bent = Counter(
        name
        for link in grid.links
        if _shifts(grid, rows, link)
        for name, _ in link.ends
        if grid.blocks[name].sort == "passing"
    )
    return [
        (rank, index)
        for rank, names in enumerate(grid.order)
        for index, pair in enumerate(pairwise(names))
        if any(bent[name] == 2 for name in pair)
    ]


def _shifts(grid: Grid, rows: Rows, link: Link) -> bool:
    one, other = (rows.of(grid.blocks[name], node) for name, node in link.ends)
    return one != other


def _straightest(programme: _Programme, metrics: Metrics) -> list[int] | None:
    """Return the values that leave the fewest bends.

    A wire that must bend is let go, so that others become straight (Candes, Wakin and
    Boyd, *Enhancing sparsity by reweighted l1 minimization*, 2008, from memory).
    """
    first = programme.drawn
    best, fewest = None, float("inf")
    for _ in range(ROUNDS):
        values = programme.solve()
        if values is None:
            break
        shifts = [abs(values[a] + da - values[b] - db) for (a, da), (b, db), _ in first]
        bends = sum(weight for shift, (*_, weight) in zip(shifts, first, strict=True) if shift)
        if bends >= fewest:
            break
        best, fewest = values, bends
        programme.drawn = [
            (a, b, weight * metrics.pitch / (shift + metrics.pitch / 3))
            for shift, (a, b, weight) in zip(shifts, first, strict=True)
        ]
    return best


@dataclass(frozen=True, slots=True)
class _Spots:
    """A block's rows, and where its room begins and ends."""

    rows: tuple[Spot, ...]
    top: Spot
    end: Spot


def _spot(grid: Grid, spots: Mapping[str, _Spots], end: End) -> Spot:
    return spots[end[0]].rows[grid.blocks[end[0]].port(end[1]).row]


def _block_spots(programme: _Programme, block: Block) -> _Spots:
    if not block.stretch:
        first = programme.new()
        rows = tuple((first, row) for row in block.rows)
        return _Spots(rows, (first, -block.before), (first, block.rows[-1] + block.after))
    rows = tuple((programme.new(), 0) for _ in block.rows)
    top, end = (programme.new(), 0), (programme.new(), 0)
    programme.drawn.append((end, top, BOX))
    for ordered in _columns(block):
        for row, following in pairwise(ordered):
            least = block.rows[following] - block.rows[row]
            programme.apart.append((rows[following], rows[row], least))
        programme.apart.append((rows[ordered[0]], top, block.before))
        programme.apart.append((end, rows[ordered[-1]], block.after))
    return _Spots(rows, top, end)


def _columns(block: Block) -> list[list[int]]:
    """Return the rows of each side in their sequence."""
    columns = []
    for side in (-1, 1):
        rows = sorted({p.row for p in block.ports if p.side == side})
        if rows:
            columns.append(rows)
    return columns

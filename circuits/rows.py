"""Rows: where each block lies across the flow.

One linear programme: as little total shift along the wires as the order in each rank
and the room of each block allow. Sums of distances are least where most wires are
straight, and every number in it is a multiple of the grid, so no small jog is left.
The ports of controllers and in-line connectors may spread to meet their neighbours.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_array

from circuits.ranks import End, Grid
from circuits.shapes import Block, Metrics

Spot = tuple[int, int]
"""A variable and a distance from it."""
PASSING = 3.0
"""How much straighter a wire wants to be for each end at which it passes a rank."""
HEIGHT, BOX, DRIFT = 0.2, 0.3, 0.002
ROUNDS = 4


@dataclass(frozen=True, slots=True)
class Rows:
    """Where every row of every block lies, and each block's least and greatest extent."""

    rows: Mapping[str, tuple[int, ...]]

    def of(self, block: Block, node: str) -> int:
        """Return where a port of a block lies."""
        port = next(p for p in block.ports if p.node == node)
        return self.rows[block.name][port.row]


@dataclass(slots=True)
class _Programme:
    """Differences of variables: at least so much apart, and drawn together."""

    count: int = 0
    apart: list[tuple[Spot, Spot, int]] = field(default_factory=list)
    # The first lies at least so far behind the second.
    drawn: list[tuple[Spot, Spot, float]] = field(default_factory=list)
    price: dict[int, float] = field(default_factory=dict)

    def new(self) -> int:
        self.count += 1
        return self.count - 1

    def solve(self) -> list[int] | None:
        """Return the variables' values, None where the demands contradict each other."""
        terms = [(b, a, d, None) for a, b, d in self.apart]
        for number, (a, b, _) in enumerate(self.drawn):
            terms += [(a, b, 0, self.count + number), (b, a, 0, self.count + number)]
        row, column, value, bound = [], [], [], []
        for number, ((a, da), (b, db), least, slack) in enumerate(terms):
            # a + da + least <= b + db (+ slack)
            row += [number, number]
            column += [a, b]
            value += [1.0, -1.0]
            bound.append(db - da - least)
            if slack is not None:
                row.append(number)
                column.append(slack)
                value.append(-1.0)
        width = self.count + len(self.drawn)
        cost = np.full(width, DRIFT)
        for variable, price in self.price.items():
            cost[variable] += price
        cost[self.count :] = [weight for *_, weight in self.drawn]
        matrix = csr_array((value, (row, column)), shape=(len(terms), width))
        answer = linprog(cost, A_ub=matrix, b_ub=bound, method="highs-ds")
        if answer.status != 0:
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
    pinned : rows, in pitches, where a circuit file wants a part's first row.
    parted : pairs of ends of which the second must lie behind the first, off its row.
    """
    programme = _Programme()
    spots = {name: _block_spots(programme, block) for name, block in grid.blocks.items()}
    bottom = programme.new()
    programme.price[bottom] = HEIGHT
    for names in grid.order:
        for name, following in zip(names, [*names[1:], None], strict=True):
            block, (_, _, end) = grid.blocks[name], spots[name]
            if following is None:
                programme.apart.append(((bottom, 0), end, 0))
                continue
            top = spots[following][1]
            room = metrics.grid if _roomy(block) or _roomy(grid.blocks[following]) else 0
            programme.apart.append((top, end, room))
    for link in grid.links:
        ends = [_spot(grid, spots, end) for end in link.ends]
        passes = sum(grid.blocks[name].sort == "passing" for name, _ in link.ends)
        programme.drawn.append((ends[0], ends[1], 1.0 + PASSING * passes))
    if pinned:
        zero = programme.new()
        programme.price[zero] = 1e6
        for name, row in pinned.items():
            where = (zero, round(row * metrics.pitch))
            programme.drawn.append((spots[name][0][0], where, 50.0))
    for first, second in parted:
        programme.apart.append(
            (_spot(grid, spots, second), _spot(grid, spots, first), metrics.grid)
        )
    values = _straightest(programme, metrics)
    if values is None:
        return place_rows(grid, metrics, {})
    return Rows(
        {name: tuple(values[v] + d for v, d in rows) for name, (rows, _, _) in spots.items()}
    )


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
            (a, b, weight * metrics.pitch / (shift + metrics.pitch))
            for shift, (a, b, weight) in zip(shifts, first, strict=True)
        ]
    return best


def _roomy(block: Block) -> bool:
    return block.sort != "passing"


def _spot(grid: Grid, spots: Mapping[str, tuple[list[Spot], Spot, Spot]], end: End) -> Spot:
    port = next(p for p in grid.blocks[end[0]].ports if p.node == end[1])
    return spots[end[0]][0][port.row]


def _block_spots(programme: _Programme, block: Block) -> tuple[list[Spot], Spot, Spot]:
    """Return a block's rows, and where its room begins and ends."""
    if not block.stretch:
        first = programme.new()
        rows = [(first, row) for row in block.rows]
        return rows, (first, -block.before), (first, block.rows[-1] + block.after)
    rows = [(programme.new(), 0) for _ in block.rows]
    top, end = programme.new(), programme.new()
    programme.drawn.append(((end, 0), (top, 0), BOX))
    for ordered in _columns(block):
        for row, following in zip(ordered, ordered[1:], strict=False):
            least = block.rows[following] - block.rows[row]
            programme.apart.append((rows[following], rows[row], least))
        programme.apart.append((rows[ordered[0]], (top, 0), block.before))
        programme.apart.append(((end, 0), rows[ordered[-1]], block.after))
    return rows, (top, 0), (end, 0)


def _columns(block: Block) -> list[list[int]]:
    """Return the rows of each side in their sequence."""
    columns = []
    for side in (-1, 1):
        rows = sorted({p.row for p in block.ports if p.side == side})
        if rows:
            columns.append(rows)
    return columns

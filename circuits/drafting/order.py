"""Order: the sequence in each rank, and of rows that may change places.

Sweeps to and fro put each block where its neighbours would have it; then single moves
are made while they save crossings or detours.
"""

from collections.abc import Mapping
from dataclasses import replace

from circuits.drafting.ranks import End, Grid, Link
from circuits.drafting.shapes import Block, Metrics, Side, swapped, turned

CROSSING = 90.0
"""What one crossing is worth in viewBox units of detour."""
SWEEPS, MOVES = 8, 60
LEAST_GAIN = 1e-6
MOST_ROWS = 1024


def ordered(grid: Grid, pinned: Mapping[str, float], metrics: Metrics) -> Grid:
    """Return the grid with its blocks in a sequence of few crossings.

    ``pinned`` holds the rows that a circuit file wants: such blocks keep their sequence.
    """
    search = _Search(grid, pinned, metrics)
    search.run()
    return search.grid


def exchanged(grid: Grid, rank: int, index: int) -> Grid:
    """Return the grid with a block of a rank and the next one changed over."""
    order = [list(names) for names in grid.order]
    order[rank][index : index + 2] = order[rank][index : index + 2][::-1]
    return replace(grid, order=order)


def count_crossings(grid: Grid) -> int:
    """Return how many pairs of links cross."""
    key = {
        (name, port.node): number * MOST_ROWS + port.row + 1
        for names in grid.order
        for number, name in enumerate(names)
        for port in grid.blocks[name].ports
    }
    chords = ([_chord(key, link) for link in links] for links in grid.by_channel.values())
    return sum(_interleaved(of_channel) for of_channel in chords)


def _chord(key: Mapping[End, int], link: Link) -> tuple[int, int]:
    """Return a link's ends as places on the channel's edge, which is taken for a circle."""
    a, b = (-side * key[end] for end, side in zip(link.ends, link.sides, strict=True))
    return (a, b) if a < b else (b, a)


class _Search:
    def __init__(self, grid: Grid, pinned: Mapping[str, float], metrics: Metrics) -> None:
        order = [list(names) for names in grid.order]
        self.grid = replace(grid, blocks=dict(grid.blocks), order=order)
        self.pinned, self.metrics = pinned, metrics
        self.key: dict[End, int] = {}
        self.level: dict[End, float] = {}
        self.ranks = range(len(order))
        self.joined = {name for link in grid.links for name, _ in link.ends}
        for rank in self.ranks:
            self._locate(rank)

    def run(self) -> None:
        """Sweep and move until nothing gets better; keep the best."""
        best, kept = float("inf"), self._state()
        for sweep in range(SWEEPS):
            side: Side = 1 if sweep % 2 else -1
            for rank in self.ranks if side < 0 else reversed(self.ranks):
                self._sort(rank, side)
            for _ in range(MOVES):
                if not sum(self._improve(rank) for rank in self.ranks):
                    break
            total = sum(self._channel_cost(c) for c in range(len(self.ranks) + 1))
            if total < best - LEAST_GAIN:
                best, kept = total, self._state()
            elif sweep > 1:
                break
        self.grid.order, self.grid.blocks = kept

    def _state(self) -> tuple[list[list[str]], dict[str, Block]]:
        return [list(names) for names in self.grid.order], dict(self.grid.blocks)

    def _locate(self, rank: int) -> None:
        """Work out where each port of a rank comes, by number and roughly by distance."""
        blocks = [self.grid.blocks[name] for name in self.grid.order[rank]]
        gap = self.metrics.grid
        level = -sum(b.before + b.rows[-1] + b.after + gap for b in blocks) / 2
        for number, block in enumerate(blocks):
            level += block.before
            for port in block.ports:
                end = block.name, port.node
                self.key[end] = number * MOST_ROWS + port.row + 1
                self.level[end] = level + block.rows[port.row]
            level += block.rows[-1] + block.after + gap

    def _cost(self, rank: int) -> float:
        """Return crossings and detours in the channels on both sides of a rank."""
        return self._channel_cost(rank) + self._channel_cost(rank + 1)

    def _channel_cost(self, channel: int) -> float:
        chords, shift = [], 0.0
        for link in self.grid.by_channel.get(channel, ()):
            chords.append(_chord(self.key, link))
            one, other = link.ends
            passes = (link.ends[0][1] == "+") + (link.ends[1][1] == "-")
            shift += (1 + passes) * abs(self.level[one] - self.level[other])
        return CROSSING * _interleaved(chords) + shift

    def _sort(self, rank: int, side: Side) -> None:
        """Order a rank by where its neighbours on one side would put it."""
        wish: dict[str, list[float]] = {}
        for link in self.grid.by_channel.get(rank if side < 0 else rank + 1, ()):
            for mine, other, where in zip(link.ends, link.ends[::-1], link.sides, strict=True):
                if where == side and link.sides != (side, side):
                    wish.setdefault(mine[0], []).append(self.level[other])
        names = self.grid.order[rank]
        mean = {n: self.level[n, self.grid.blocks[n].ports[0].node] for n in names}
        # What no wire joins comes last.
        mean.update({n: float("inf") for n in names if n not in self.joined})
        mean.update({name: sum(levels) / len(levels) for name, levels in wish.items()})
        names.sort(key=lambda name: mean[name])
        kept = iter(sorted((n for n in names if n in self.pinned), key=lambda n: self.pinned[n]))
        names[:] = [next(kept) if name in self.pinned else name for name in names]
        self._locate(rank)

    def _improve(self, rank: int) -> int:
        """Make the moves in a rank that save something; return how many did."""
        names = self.grid.order[rank]
        moves = sum(self._try_exchange(rank, index) for index in range(len(names) - 1))
        for name in names:
            moves += sum(self._try_block(rank, b) for b in _variants(self.grid.blocks[name]))
        return moves

    def _try_exchange(self, rank: int, index: int) -> bool:
        names = self.grid.order[rank]
        pair = names[index], names[index + 1]
        kept = pair[0] in self.pinned and pair[1] in self.pinned
        if kept or not self.joined.issuperset(pair):
            return False
        before = self._cost(rank)
        names[index : index + 2] = pair[::-1]
        self._locate(rank)
        if self._cost(rank) < before - LEAST_GAIN:
            return True
        names[index : index + 2] = pair
        self._locate(rank)
        return False

    def _try_block(self, rank: int, changed: Block) -> bool:
        before, was = self._cost(rank), self.grid.blocks[changed.name]
        self.grid.blocks[changed.name] = changed
        self._locate(rank)
        if self._cost(rank) < before - LEAST_GAIN:
            return True
        self.grid.blocks[changed.name] = was
        self._locate(rank)
        return False


def _variants(block: Block) -> list[Block]:
    """Return the block with its rows changed in every way that one move can."""
    if block.order == "turn":
        return [turned(block)]
    if block.order == "free":
        return [swapped(block, row) for row in range(len(block.rows) - 1)]
    return []


def _interleaved(chords: list[tuple[int, int]]) -> int:
    """Return how many pairs of chords of a circle cross."""
    count = 0
    for number, (a, b) in enumerate(chords):
        for c, d in chords[:number]:
            count += (a < c < b < d) or (c < a < d < b)
    return count

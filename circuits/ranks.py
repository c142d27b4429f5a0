"""Ranks and orders: which column each block stands in, and in which sequence.

The method is that of layered drawings (Sugiyama, Tagawa and Toda 1981, from memory):
ranks by longest path from the feed, room for the wires that pass a rank, sweeps to and
fro. Every wire is a line of its own; a net is never drawn as one.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import networkx as nx

from circuits.model import Circuit, Wire
from circuits.shapes import Block, Metrics, Port, Side, swapped, turned, wired_node

CROSSING = 90.0
"""What one crossing is worth in viewBox units of detour."""
SWEEPS = 8

End = tuple[str, str]
"""A block's name and a node: where a link holds on to."""


@dataclass(frozen=True, slots=True)
class Link:
    """The piece of a wire that lies in one channel, the room between two ranks.

    ``channel`` c lies between rank c - 1 and rank c. The first end is the nearer to the
    wire's first channel.
    """

    wire: str
    channel: int
    ends: tuple[End, End]
    sides: tuple[Side, Side]
    """On which side of its block each end lies: 1 is on the channel's left."""


@dataclass(slots=True)
class Grid:
    """Blocks by rank in their sequence, and the links between them. Worked on in place."""

    blocks: dict[str, Block]
    rank: dict[str, int]
    order: list[list[str]]
    links: list[Link]
    by_channel: dict[int, list[Link]] = field(default_factory=dict)


def ports_by_node(circuit: Circuit, blocks: Iterable[Block]) -> Mapping[str, tuple[str, Port]]:
    """Return the block's name and the port of each node that wires can name."""
    found = {}
    for block in blocks:
        for port in block.ports:
            found[port.node] = (block.name, port)
    return found


def wire_ends(circuit: Circuit, wire: Wire) -> tuple[str, str]:
    """Return the nodes at which a wire is drawn."""
    return wired_node(circuit, wire.start), wired_node(circuit, wire.end)


def ranks(
    circuit: Circuit, blocks: tuple[Block, ...], wires: Iterable[Wire]
) -> dict[str, int]:
    """Return each block's rank, from 0 at the feed."""
    at = ports_by_node(circuit, blocks)
    ends = [wire_ends(circuit, wire) for wire in wires]
    degree = Counter(node for pair in ends for node in pair)
    graph: nx.DiGraph = nx.DiGraph()
    graph.add_nodes_from(b.name for b in blocks if b.sort != "ground")
    for pair in ends:
        _add_edge(graph, [at[node] for node in pair], shared=min(degree[n] for n in pair) > 1)
    pinned = {h.part: h.rank for h in circuit.hints if h.rank is not None}
    found = _longest(graph, pinned)
    _place_grounds(found, blocks, [(at[a], at[b]) for a, b in ends], pinned)
    least = min(found.values(), default=0)
    return {name: rank - least for name, rank in found.items()}


def _add_edge(graph: nx.DiGraph, ends: list[tuple[str, Port]], *, shared: bool) -> None:
    """Add the order that a wire asks for, unless it goes against those before it."""
    (first, one), (second, other) = ends
    if one.side < other.side:
        first, second = second, first
    if first not in graph or second not in graph or first == second:
        return
    if graph.has_edge(first, second) or not nx.has_path(graph, second, first):
        # A wire that shares both its ends needs a rank to itself, to carry its letters.
        least = max(2 if shared else 1, graph.get_edge_data(first, second, {}).get("least", 1))
        count = graph.get_edge_data(first, second, {}).get("count", 0)
        graph.add_edge(first, second, least=least, count=count + 1)


def _longest(graph: nx.DiGraph, pinned: Mapping[str, int]) -> dict[str, int]:
    """Return ranks by longest path; a part with more wires onward moves towards them."""
    order = list(nx.topological_sort(graph))
    rank: dict[str, int] = {}
    for name in order:
        ahead = [rank[p] + d["least"] for p, _, d in graph.in_edges(name, data=True)]
        rank[name] = pinned.get(name, max(ahead, default=0))
    for name in reversed(order):
        onward = list(graph.out_edges(name, data=True))
        arriving = sum(d["count"] for *_, d in graph.in_edges(name, data=True))
        if name not in pinned and sum(d["count"] for *_, d in onward) > arriving and arriving:
            rank[name] = max(rank[name], min(rank[s] - d["least"] for _, s, d in onward))
    return rank


def _place_grounds(
    found: dict[str, int],
    blocks: tuple[Block, ...],
    ends: list[tuple[tuple[str, Port], tuple[str, Port]]],
    pinned: Mapping[str, int],
) -> None:
    """Give each ground point the rank next to what it grounds."""
    for block in blocks:
        if block.sort != "ground":
            continue
        side = block.ports[0].side
        near = [
            found[other] - (-1 if port.side > 0 else 1)
            for pair in ends
            for (mine, _), (other, port) in (pair, pair[::-1])
            if mine == block.name and other in found and port.side != side
        ]
        found[block.name] = pinned.get(
            block.name, (max(near) if side < 0 else min(near)) if near else 0
        )


def grid_of(circuit: Circuit, blocks: tuple[Block, ...], metrics: Metrics) -> Grid:
    """Return blocks and links in ranks, with room where wires pass, ordered for few crossings."""
    dropped = {w.name for b in blocks for w in b.wired}
    wires = [w for w in circuit.wires if w.name not in dropped]
    rank = ranks(circuit, blocks, wires)
    at = ports_by_node(circuit, blocks)
    grid = Grid({b.name: b for b in blocks}, rank, [], [])
    for wire in wires:
        _thread(grid, wire.name, [at[node] for node in wire_ends(circuit, wire)], metrics)
    for link in grid.links:
        grid.by_channel.setdefault(link.channel, []).append(link)
    grid.order = [[] for _ in range(max(grid.rank.values(), default=0) + 1)]
    for name in grid.blocks:
        grid.order[grid.rank[name]].append(name)
    _Search(circuit, grid, metrics).run()
    return grid


def _thread(grid: Grid, wire: str, ends: list[tuple[str, Port]], metrics: Metrics) -> None:
    """Lay a wire through the channels, with a passing block in every rank between."""
    spots = [
        (grid.rank[name] + (port.side > 0), name, port) for name, port in ends
    ]
    spots.sort(key=lambda spot: spot[0])
    (first, name, port), (last, far_name, far_port) = spots
    end: End = (name, port.node)
    side = port.side
    for channel in range(first, last):
        passing = f"{wire}~{channel}"
        grid.blocks[passing] = _passing(passing, metrics)
        grid.rank[passing] = channel
        grid.links.append(Link(wire, channel, (end, (passing, "-")), (side, -1)))
        end, side = (passing, "+"), 1
    grid.links.append(Link(wire, last, (end, (far_name, far_port.node)), (side, far_port.side)))


def _passing(name: str, metrics: Metrics) -> Block:
    ports = (Port("-", "", -1, 0), Port("+", "", 1, 0))
    across = metrics.direction == "across"
    return Block(
        name, "passing", ports, (0,), metrics.grid if across else 0, 0 if across else metrics.grid, 0
    )


class _Search:
    """Sweeps for the sequence in each rank, then single moves while they help."""

    def __init__(self, circuit: Circuit, grid: Grid, metrics: Metrics) -> None:
        self.grid, self.metrics = grid, metrics
        self.pinned = {h.part: h.row for h in circuit.hints if h.row is not None}
        self.at: dict[End, tuple[int, float]] = {}
        for rank in range(len(grid.order)):
            self.refresh(rank)

    def refresh(self, rank: int) -> None:
        """Work out where each port of a rank comes, by number and roughly by distance."""
        names = self.grid.order[rank]
        blocks = [self.grid.blocks[n] for n in names]
        level = -sum(b.before + b.rows[-1] + b.after + self.metrics.grid for b in blocks) / 2
        for number, block in enumerate(blocks):
            level += block.before
            for port in block.ports:
                where = (number * 64 + port.row + 1, level + block.rows[port.row])
                self.at[block.name, port.node] = where
            level += block.rows[-1] + block.after + self.metrics.grid

    def cost(self, rank: int) -> float:
        """Return crossings and detours in the channels on both sides of a rank."""
        return self.channel_cost(rank) + self.channel_cost(rank + 1)

    def channel_cost(self, channel: int) -> float:
        """Return what a channel costs: its crossings and the shifts of its links."""
        chords, shift = [], 0.0
        for link in self.grid.by_channel.get(channel, ()):
            (key, level), (far_key, far_level) = self.at[link.ends[0]], self.at[link.ends[1]]
            a, b = -link.sides[0] * key, -link.sides[1] * far_key
            chords.append((a, b) if a < b else (b, a))
            passes = (link.ends[0][1] == "+") + (link.ends[1][1] == "-")
            shift += (1 + passes) * abs(level - far_level)
        return CROSSING * _interleaved(chords) + shift

    def run(self) -> None:
        """Order every rank and turn the blocks that may be turned."""
        count = len(self.grid.order)
        best, kept = float("inf"), self._state()
        for sweep in range(SWEEPS):
            forward = sweep % 2 == 0
            for rank in range(count) if forward else reversed(range(count)):
                self._sort(rank, -1 if forward else 1)
            while any([self._improve(rank) for rank in range(count)]):  # noqa: C419
                pass
            total = sum(self.channel_cost(c) for c in range(count + 1))
            if total >= best - 1e-6:
                if sweep > 1:
                    break
                continue
            best, kept = total, self._state()
        self.grid.order, self.grid.blocks = [list(names) for names in kept[0]], dict(kept[1])

    def _state(self) -> tuple[list[list[str]], dict[str, Block]]:
        return [list(names) for names in self.grid.order], dict(self.grid.blocks)

    def _sort(self, rank: int, side: int) -> None:
        """Order a rank by where its neighbours on one side would put it."""
        channel = rank if side < 0 else rank + 1
        wish: dict[str, list[float]] = {}
        for link in self.grid.by_channel.get(channel, ()):
            for mine, other, where in zip(link.ends, link.ends[::-1], link.sides, strict=True):
                if where == side and link.sides != (side, side):
                    wish.setdefault(mine[0], []).append(self.at[other][1])
        names = self.grid.order[rank]
        own = {n: self.at[n, self.grid.blocks[n].ports[0].node][1] for n in names}
        mean = {n: sum(wish[n]) / len(wish[n]) if n in wish else own[n] for n in names}
        names.sort(key=lambda n: (self.pinned.get(n, 0.0) if n in self.pinned else 0.0, mean[n]))
        self.refresh(rank)

    def _improve(self, rank: int) -> bool:
        names, better = self.grid.order[rank], False
        for index in range(len(names) - 1):
            pair = names[index], names[index + 1]
            if not (pair[0] in self.pinned and pair[1] in self.pinned):
                better |= self._try(rank, lambda i=index: _exchange(names, i))  # type: ignore[misc]
        for name in names:
            for changed in _variants(self.grid.blocks[name]):
                better |= self._try_block(rank, changed)
        return better

    def _try(self, rank: int, move) -> bool:  # type: ignore[no-untyped-def]
        before = self.cost(rank)
        move()
        self.refresh(rank)
        if self.cost(rank) < before - 1e-6:
            return True
        move()
        self.refresh(rank)
        return False

    def _try_block(self, rank: int, changed: Block) -> bool:
        before, was = self.cost(rank), self.grid.blocks[changed.name]
        self.grid.blocks[changed.name] = changed
        self.refresh(rank)
        if self.cost(rank) < before - 1e-6:
            return True
        self.grid.blocks[changed.name] = was
        self.refresh(rank)
        return False


def _exchange(names: list[str], index: int) -> None:
    names[index], names[index + 1] = names[index + 1], names[index]


def _variants(block: Block) -> list[Block]:
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

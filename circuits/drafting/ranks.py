"""Ranks: which column each block stands in, from the feed to the load.

The method is that of layered drawings (Sugiyama, Tagawa and Toda 1981, from memory):
ranks by longest path, and room for the wires that pass a rank. Every wire is a line of
its own; a net is never drawn as one.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import networkx as nx

from circuits.drafting.flow import wired_node
from circuits.drafting.shapes import Block, Metrics, Port, Side
from circuits.model import Circuit, Wire

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
    """Blocks by rank in their sequence, and the links between them."""

    blocks: dict[str, Block]
    rank: dict[str, int]
    order: list[list[str]]
    links: list[Link]
    by_channel: dict[int, list[Link]] = field(default_factory=dict)


Hold = tuple[str, Port]
"""A block's name and one of its ports."""
_Ends = tuple[Hold, Hold]


def _holds(circuit: Circuit, blocks: Iterable[Block], wires: Iterable[Wire]) -> list[_Ends]:
    """Return both ends of each wire."""
    at = {port.node: (block.name, port) for block in blocks for port in block.ports}
    return [
        (at[wired_node(circuit, wire.start)], at[wired_node(circuit, wire.end)]) for wire in wires
    ]


def _ranks(circuit: Circuit, blocks: tuple[Block, ...], ends: list[_Ends]) -> dict[str, int]:
    """Return each block's rank, from 0 at the feed."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(block.name for block in blocks if block.sort != "ground")
    far = _distances(ends)
    for pair in ends:
        _add_edge(graph, pair, far[pair])
    pinned = {h.part: h.rank for h in circuit.hints if h.rank is not None}
    found = _longest(graph, pinned)
    for block in blocks:
        if block.sort == "ground":
            found[block.name] = pinned.get(block.name, _ground_rank(found, block, ends, far))
    least = min(found.values(), default=0)
    return {name: rank - least for name, rank in found.items()}


def _distances(ends: list[_Ends]) -> dict[_Ends, int]:
    """Return by how many ranks a wire's ends must differ.

    A wire that shares both its ends passes a rank, to carry its letters there.
    """
    uses = Counter(port.node for pair in ends for _, port in pair)
    return {pair: 1 + (min(uses[port.node] for _, port in pair) > 1) for pair in ends}


def _add_edge(graph: "nx.DiGraph[str]", ends: _Ends, least: int) -> None:
    """Add the order that a wire asks for, unless it goes against those before it."""
    (first, one), (second, other) = ends
    if one.side < other.side:
        first, second = second, first
    if first not in graph or second not in graph or first == second:
        return
    if graph.has_edge(first, second):
        data = graph.edges[first, second]
        data["least"], data["count"] = max(least, data["least"]), data["count"] + 1
    elif not nx.has_path(graph, second, first):
        graph.add_edge(first, second, least=least, count=1)


def _longest(graph: "nx.DiGraph[str]", pinned: Mapping[str, int]) -> dict[str, int]:
    """Return ranks by longest path; a part with more wires onward moves towards them."""
    order = list(nx.topological_sort(graph))
    rank: dict[str, int] = {}
    for name in order:
        ahead = [rank[p] + d["least"] for p, _, d in graph.in_edges(name, data=True)]
        rank[name] = pinned.get(name, max(ahead, default=0))
    for name in reversed(order):
        onward = list(graph.out_edges(name, data=True))
        arriving = sum(d["count"] for *_, d in graph.in_edges(name, data=True))
        if name not in pinned and sum(d["count"] for *_, d in onward) > arriving > 0:
            rank[name] = max(rank[name], min(rank[s] - d["least"] for _, s, d in onward))
    return rank


def _ground_rank(
    found: Mapping[str, int], block: Block, ends: list[_Ends], far: Mapping[_Ends, int]
) -> int:
    """Return the rank next to what a ground point grounds, 0 if that is nothing."""
    side = block.ports[0].side
    near = [
        found[other] - side * far[pair]
        for pair in ends
        for (mine, _), (other, port) in (pair, pair[::-1])
        if mine == block.name and other in found and port.side != side
    ]
    return (max(near) if side < 0 else min(near)) if near else 0


def grid_of(circuit: Circuit, blocks: tuple[Block, ...], metrics: Metrics) -> Grid:
    """Return blocks and links in ranks, with room where wires pass, in the file's sequence."""
    dropped = {w.name for b in blocks for w in b.wired}
    wires = [w for w in circuit.wires if w.name not in dropped]
    holds = _holds(circuit, blocks, wires)
    grid = Grid({b.name: b for b in blocks}, _ranks(circuit, blocks, holds), [], [])
    for wire, ends in zip(wires, holds, strict=True):
        _thread(grid, wire.name, ends, metrics)
    for link in grid.links:
        grid.by_channel.setdefault(link.channel, []).append(link)
    grid.order = [[] for _ in range(max(grid.rank.values(), default=0) + 1)]
    for name in grid.blocks:
        grid.order[grid.rank[name]].append(name)
    return grid


def _thread(grid: Grid, wire: str, ends: _Ends, metrics: Metrics) -> None:
    """Lay a wire through the channels, with a passing block in every rank between."""
    spots = [(grid.rank[name] + (port.side > 0), name, port) for name, port in ends]
    spots.sort(key=lambda spot: (spot[0], -spot[2].side))
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
    # Letters stand above a wire that runs to the right, and right of one that runs down.
    above = metrics.direction == "across"
    before, after = (metrics.grid, 0) if above else (0, metrics.grid)
    return Block(name, "passing", ports, (0,), before, after, 0)

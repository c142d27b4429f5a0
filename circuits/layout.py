"""Where everything in a drawing lies: from a circuit without coordinates to a layout.

Pure: no file, no drawing, and no setting. Positions never move with the setting; only
the symbols at them change. The steps are in ``circuits.drafting``.
"""

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from circuits.drafting.blocks import blocks_of, hanging_length
from circuits.drafting.drawn import (
    BATTERY_AXIS,
    Label,
    Layout,
    Placed,
    Point,
    Trace,
    turned_point,
)
from circuits.drafting.flow import flow_of
from circuits.drafting.lettering import part_labels
from circuits.drafting.order import count_crossings, exchanged, ordered
from circuits.drafting.ranks import End, Grid, grid_of
from circuits.drafting.routing import LANE, Channel, dots_of, route
from circuits.drafting.rows import Rows, bends, jogs, place_rows
from circuits.drafting.shapes import FACE, METRICS, POST, SHELL, Direction, Metrics, Port
from circuits.drafting.traces import crossings, own_part, simplified
from circuits.drafting.wire_letters import letters_along, obstacles_of, wire_labels
from circuits.model import Circuit
from circuits.points import test_points
from circuits.spec import join

LEAST_SCALE = 0.95
"""The least pixels per viewBox unit at which a drawing may be shown."""
LEAST_TARGET_PX = 24
"""WCAG 2.2, success criterion 2.5.8 (from memory)."""
MARGIN = 14
INTO = 9
"""How far a wire runs into a connector, whose shell is drawn over it."""
CLEAR = 16
"""From a port to the first lane."""
BESIDE_LETTERS = 18
NARROWEST = 30
"""The least length of a channel: two handles must stay apart."""
REPAIRS, TRIALS = 4, 6


@lru_cache(maxsize=64)
def lay_out(circuit: Circuit, direction: Direction = "across") -> Layout:
    """Return the layout of a circuit's drawing, in viewBox units."""
    metrics = METRICS[direction]
    pinned = {h.part: h.row for h in circuit.hints if h.row is not None}
    blocks = blocks_of(circuit, flow_of(circuit), metrics)
    grid = ordered(grid_of(circuit, blocks, metrics), pinned, metrics)
    grid = _smoothed(grid, pinned, metrics)
    rows, channels = _settled(grid, pinned, metrics)
    return _finished(_Plan(circuit, metrics, grid, rows, channels))


def _settled(
    grid: Grid, pinned: Mapping[str, float], metrics: Metrics
) -> tuple[Rows, tuple[Channel, ...]]:
    """Return rows and lanes; rows on which two wires would coincide are parted."""
    parted: list[tuple[End, End]] = []
    rows = place_rows(grid, metrics, pinned)
    channels = route(grid, rows)
    for _ in range(REPAIRS):
        clashes = [pair for channel in channels for pair in channel.clashes]
        if not clashes:
            break
        parted += clashes
        rows = place_rows(grid, metrics, pinned, parted)
        channels = route(grid, rows)
    return rows, channels


def _smoothed(grid: Grid, pinned: Mapping[str, float], metrics: Metrics) -> Grid:
    """Return the grid without wires that jog twice where crossing elsewhere spares it."""
    rows = place_rows(grid, metrics, pinned)
    for rank, index in jogs(grid, rows)[:TRIALS]:
        trial = exchanged(grid, rank, index)
        if count_crossings(trial) > count_crossings(grid):
            continue
        placed = place_rows(trial, metrics, pinned)
        if bends(trial, placed) < bends(grid, rows):
            grid, rows = trial, placed
    return grid


@dataclass(frozen=True, slots=True)
class _Plan:
    """All that is known once the rows and the lanes are."""

    circuit: Circuit
    metrics: Metrics
    grid: Grid
    rows: Rows
    channels: tuple[Channel, ...]


def _finished(plan: _Plan) -> Layout:
    direction = plan.metrics.direction
    lanes, placed = _along(plan)
    handles = _handles(plan, placed)
    paths = {wire: simplified(points) for wire, points in _paths(plan, lanes, placed).items()}
    paths.update(_hung(placed, handles))
    traces = tuple(
        Trace(
            wire.name,
            tuple(turned_point(direction, p) for p in paths[wire.name]),
            tuple(turned_point(direction, p) for p in own_part(wire.name, paths)),
        )
        for wire in plan.circuit.wires
    )
    known = [point.name for point in test_points(plan.circuit)]
    spots = {name: turned_point(direction, handles[name]) for name in known}
    shown = tuple(p for p in placed.values() if p.block.sort != "passing")
    labels = [label for block in shown for label in part_labels(block, plan.metrics)]
    obstacles = obstacles_of(shown, labels, list(spots.values()), plan.metrics)
    drawn = {link.wire for link in plan.grid.links}
    wires = {wire.name: wire for wire in plan.circuit.wires if wire.name in drawn}
    labels += wire_labels(wires, traces, obstacles)
    dots = tuple(
        turned_point(direction, dot)
        for channel, places in zip(plan.channels, lanes, strict=True)
        for dot in dots_of(channel, places)
    )
    view = _view(plan, shown, traces, labels)
    return Layout(direction, view, shown, traces, dots, spots, tuple(labels))


def _along(plan: _Plan) -> tuple[list[tuple[float, ...]], dict[str, Placed]]:
    """Return where the lanes of each channel lie, and the blocks in their places."""
    rooms = _rooms(plan)
    lanes: list[tuple[float, ...]] = []
    placed: dict[str, Placed] = {}
    at = 0.0
    for number, channel in enumerate(plan.channels):
        before, length = _channel_lengths(plan, number, rooms)
        lanes.append(tuple(at + before + LANE * n for n in range(channel.lanes)))
        at += length
        if number < len(plan.grid.order):
            names = plan.grid.order[number]
            room = max((plan.grid.blocks[n].length for n in names), default=0)
            for name in names:
                placed[name] = _placed(plan, name, at, room)
            at += room
    return lanes, placed


def _rooms(plan: _Plan) -> dict[tuple[int, int], float]:
    """Return the room for letters on each side of each channel.

    A wire's letters stand at its last end, or at its first where the last is shared, or
    where it passes a rank if both are.
    """
    uses = Counter(end for link in plan.grid.links for end in link.ends)
    ends: dict[str, list[tuple[End, int, int]]] = {}
    for link in plan.grid.links:
        both = zip(link.ends, link.sides, strict=True)
        ends.setdefault(link.wire, []).extend((end, link.channel, side) for end, side in both)
    rooms: dict[tuple[int, int], float] = {}
    for wire, met in ends.items():
        best_first = (met[-1], met[0], *met[1:-1])
        alone = [(channel, side) for end, channel, side in best_first if uses[end] == 1]
        for place in alone[:1]:
            letters = letters_along(plan.circuit.wire_by_name[wire], plan.metrics)
            rooms[place] = max(rooms.get(place, 0.0), letters + BESIDE_LETTERS)
    return rooms


def _channel_lengths(
    plan: _Plan, number: int, rooms: Mapping[tuple[int, int], float]
) -> tuple[float, float]:
    """Return how far a channel's first lane is from its beginning, and its length."""
    if not plan.grid.by_channel.get(number):
        return 0.0, 0.0
    left, right = (math.ceil(rooms.get((number, side), 0.0)) for side in (1, -1))
    lanes = plan.channels[number].lanes
    if not lanes:
        return 0.0, float(max(NARROWEST, left + 2, right + 2))
    before, after = max(CLEAR, left), max(CLEAR, right)
    return float(before), float(before + after + LANE * (lanes - 1))


def _placed(plan: _Plan, name: str, begin: float, room: float) -> Placed:
    """Place a block in its rank: at its only side, else in the middle."""
    block = plan.grid.blocks[name]
    spare = room - block.length
    sides = {port.side for port in block.ports}
    shift = spare // 2 if len(sides) > 1 else spare if sides == {1} else 0.0
    return Placed(block, begin + shift, plan.rows.rows[name])


def _paths(
    plan: _Plan, lanes: list[tuple[float, ...]], placed: dict[str, Placed]
) -> dict[str, list[Point]]:
    """Return every wire's points in (along, across)."""
    paths: dict[str, list[Point]] = {}
    for channel, places in zip(plan.channels, lanes, strict=True):
        for index, bus in enumerate(channel.buses):
            for link in bus.links:
                first, last = (_hold(placed[name], node) for name, node in link.ends)
                points = [first, last]
                if not bus.straight:
                    lane = places[channel.lane[index]]
                    points[1:1] = [(lane, first[1]), (lane, last[1])]
                paths.setdefault(link.wire, []).extend(points)
    return paths


def _hold(placed: Placed, node: str) -> Point:
    """Return where a wire ends at a block."""
    port = placed.block.port(node)
    along, across = placed.at(port)
    return (along - port.side * INTO if port.cavity else along), across


def _hung(placed: dict[str, Placed], handles: dict[str, Point]) -> dict[str, tuple[Point, ...]]:
    """Return the negative cables that hang from batteries."""
    return {
        wire.name: (handles[wire.start], handles[wire.end])
        for block in placed.values()
        for wire in block.block.wired
    }


def _handles(plan: _Plan, placed: dict[str, Placed]) -> dict[str, Point]:
    """Return where the terminals and faces lie, in (along, across)."""
    found: dict[str, Point] = {}
    for block in placed.values():
        for port in block.block.ports:
            found.update(_port_handles(plan.circuit, block, port))
        for point in block.block.inside:
            across = float(block.rows[0] + point.across)
            found[point.node] = (block.body[0] + point.along, across)
        for wire in block.block.wired:
            axis = block.start + BATTERY_AXIS[plan.metrics.direction]
            post, row = join(block.block.name, "neg"), float(block.rows[0] + POST)
            found[post] = (axis, row)
            far = wire.end if wire.start == post else wire.start
            found[far] = (axis, row + hanging_length(wire, plan.metrics))
    return found


def _port_handles(circuit: Circuit, placed: Placed, port: Port) -> dict[str, Point]:
    along, across = placed.at(port)
    connector = circuit.connector_by_name.get(port.connector)
    if connector is None:
        return {port.node: (along, across)}
    number = int(port.cavity.rpartition(".")[2])
    near, far = (connector.face(number, face) for face in connector.faces)
    return {
        port.cavity: (along - port.side * SHELL / 2, across),
        near: (along - port.side * FACE, across),
        far: (along - port.side * (SHELL - FACE), across),
    }


def _view(
    plan: _Plan, shown: tuple[Placed, ...], traces: tuple[Trace, ...], labels: list[Label]
) -> tuple[float, float, float, float]:
    """Return the viewBox around everything."""
    direction = plan.metrics.direction
    points = [turned_point(direction, (p.start, p.low)) for p in shown]
    points += [turned_point(direction, (p.end, p.high)) for p in shown]
    points += [point for trace in traces for point in trace.path]
    points += [corner for label in labels for corner in (label.box[:2], label.box[2:])]
    xs, ys = zip(*points, strict=True)
    left, top = math.floor(min(xs)) - MARGIN, math.floor(min(ys)) - MARGIN
    return left, top, math.ceil(max(xs)) + MARGIN - left, math.ceil(max(ys)) + MARGIN - top


__all__ = [
    "INTO",
    "LEAST_SCALE",
    "LEAST_TARGET_PX",
    "Layout",
    "Placed",
    "Trace",
    "crossings",
    "lay_out",
]

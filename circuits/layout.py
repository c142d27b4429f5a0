"""Where everything in a drawing lies: from a circuit without coordinates to a layout.

Pure: no file, no drawing, and no setting. Positions never move with the setting; only
the symbols at them change.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from circuits.blocks import POST, blocks_of, drop_length
from circuits.lettering import Label, Letterer
from circuits.model import Circuit, Wire
from circuits.points import test_points
from circuits.ranks import End, Grid, grid_of
from circuits.routing import (
    CLEAR,
    LANE,
    Channel,
    Point,
    dots_of,
    pieces,
    route,
    simplified,
)
from circuits.rows import Rows, place_rows
from circuits.shapes import (
    FACE,
    METRICS,
    NOTE_LINE,
    NOTE_SIZE,
    SHELL,
    Block,
    Direction,
    Metrics,
    Port,
    flow_of,
    text_width,
    wired_node,
)
from circuits.spec import join

MARGIN = 14
INTO = 9
LEAST_SCALE = 0.95
"""The least pixels per viewBox unit at which a drawing may be shown."""
LEAST_TARGET_PX = 24
"""WCAG 2.2, success criterion 2.5.8 (from memory)."""
REPAIRS = 4
NARROWEST = 30
"""The least length of a channel: two handles must stay apart."""
BATTERY_AXIS = {"across": 24, "down": 38}
"""From a battery block's beginning to the line of its plates, along."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A block where it lies: its start along, and its rows across."""

    block: Block
    start: float
    rows: tuple[int, ...]

    @property
    def end(self) -> float:
        """Where it ends along."""
        return self.start + self.block.length

    @property
    def body(self) -> tuple[float, float]:
        """Where its body begins and ends along, without plugged connectors."""
        return self.start + self.block.shell(-1), self.end - self.block.shell(1)

    @property
    def low(self) -> int:
        """Where its room begins across."""
        return min(self.rows) - self.block.before

    @property
    def high(self) -> int:
        """Where its room ends across."""
        return max(self.rows) + self.block.after

    def at(self, port: Port) -> Point:
        """Return where wires hold on to a port: along, across."""
        return (self.start if port.side < 0 else self.end), float(self.rows[port.row])


@dataclass(frozen=True, slots=True)
class Trace:
    """A wire's path in viewBox coordinates; ``own`` is the part it shares with no other."""

    wire: str
    path: tuple[Point, ...]
    own: tuple[Point, ...]


@dataclass(frozen=True)
class Layout:
    """A drawing's positions.

    Attributes
    ----------
    view : left, top, width and height of the viewBox.
    placed : parts, in-line connectors and grounds, in (along, across).
    traces, dots, handles, labels : in viewBox coordinates.
    handles : where each test point lies, in whichever setting it is exposed.
    """

    direction: Direction
    view: tuple[float, float, float, float]
    placed: tuple[Placed, ...]
    traces: tuple[Trace, ...]
    dots: tuple[tuple[Point, str], ...]
    handles: Mapping[str, Point]
    labels: tuple[Label, ...]

    def xy(self, along: float, across: float) -> Point:
        """Return viewBox coordinates."""
        return (along, across) if self.direction == "across" else (across, along)


@lru_cache(maxsize=64)
def lay_out(circuit: Circuit, direction: Direction = "across") -> Layout:
    """Return the layout of a circuit's drawing."""
    metrics = METRICS[direction]
    grid = grid_of(circuit, blocks_of(circuit, flow_of(circuit), metrics), metrics)
    rows, channels = _settled(circuit, grid, metrics)
    return _Plan(circuit, grid, rows, channels, metrics).layout()


def _settled(
    circuit: Circuit, grid: Grid, metrics: Metrics
) -> tuple[Rows, tuple[Channel, ...]]:
    """Return rows and lanes; rows on which two wires would coincide are parted."""
    pinned = {h.part: h.row for h in circuit.hints if h.row is not None}
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


class _Plan:
    """Working out the positions along, once the rows are known."""

    def __init__(
        self,
        circuit: Circuit,
        grid: Grid,
        rows: Rows,
        channels: tuple[Channel, ...],
        metrics: Metrics,
    ) -> None:
        self.circuit, self.grid, self.rows = circuit, grid, rows
        self.channels, self.metrics = channels, metrics
        self.across = metrics.direction == "across"
        self.uses: dict[End, int] = {}
        for link in grid.links:
            for end in link.ends:
                self.uses[end] = self.uses.get(end, 0) + 1
        self.begins: list[float] = []
        self.column: list[float] = []
        self._stretch_along()
        self.placed = {name: self._place(name) for name in grid.blocks}

    def label_size(self, wire: str) -> tuple[float, float]:
        """Return how long a wire's letters are along and across."""
        lines = wire_lines(self.circuit.wire_by_name[wire], self.metrics)
        width = max(text_width(line, NOTE_SIZE) for line in lines)
        height = float(NOTE_LINE * len(lines))
        return (width, height) if self.across else (height, width)

    def _rooms(self, number: int) -> tuple[float, float]:
        """Return the room for letters on the left and on the right of a channel."""
        left = right = 0.0
        for link in self.grid.by_channel.get(number, ()):
            if any(self.grid.blocks[end[0]].sort == "passing" for end in link.ends[1:]):
                continue
            size = self.label_size(link.wire)[0] + 4
            free = [s for e, s in zip(link.ends, link.sides, strict=True) if self.uses[e] < 2]
            if -1 in free:
                right = max(right, size)
            elif 1 in free:
                left = max(left, size)
        return left, right

    def _stretch_along(self) -> None:
        """Find where each channel and each rank begins."""
        at = 0.0
        for number, channel in enumerate(self.channels):
            left, right = (max(CLEAR, room + 14 if room else 0) for room in self._rooms(number))
            self.begins.append(at)
            if not self.grid.by_channel.get(number):
                length = 0.0
            elif channel.lanes:
                length = left + right + (channel.lanes - 1) * LANE
            else:
                length = max(NARROWEST, left + right - CLEAR)
            self.left = getattr(self, "left", {})
            self.left[number] = left
            at += length
            if number < len(self.grid.order):
                names = self.grid.order[number]
                self.column.append(at)
                at += max((self.grid.blocks[n].length for n in names), default=0)
        self.begins.append(at)

    def _place(self, name: str) -> Placed:
        """Place a block in its rank: by its only side, else in the middle."""
        block, rank = self.grid.blocks[name], self.grid.rank[name]
        begin, end = self.column[rank], self.begins[rank + 1]
        sides = {port.side for port in block.ports}
        spare = end - begin - block.length
        shift = {frozenset({-1}): 0.0, frozenset({1}): spare}.get(frozenset(sides), spare // 2)
        return Placed(block, begin + shift, self.rows.rows[name])

    def _lane_x(self, number: int) -> dict[int, float]:
        """Return where each lane of a channel lies."""
        first = self.begins[number] + self.left[number]
        return {lane: first + lane * LANE for lane in range(self.channels[number].lanes)}

    def _port_point(self, end: End) -> Point:
        placed = self.placed[end[0]]
        port = next(p for p in placed.block.ports if p.node == end[1])
        along, across = placed.at(port)
        # A wire goes a little way into the connector, whose shell is drawn over it.
        return (along - port.side * INTO if port.cavity else along), across

    def _traces(self) -> dict[str, list[Point]]:
        """Return every wire's points in (along, across)."""
        paths: dict[str, list[Point]] = {}
        for number, channel in enumerate(self.channels):
            lanes = self._lane_x(number)
            for index, bus in enumerate(channel.buses):
                for link in bus.links:
                    points = [self._port_point(end) for end in link.ends]
                    if not bus.straight:
                        x = lanes[channel.lane[index]]
                        points[1:1] = [(x, points[0][1]), (x, points[1][1])]
                    paths.setdefault(link.wire, []).extend(points)
        return paths

    def layout(self) -> Layout:
        """Return the finished layout."""
        direction = self.metrics.direction
        paths = {wire: simplified(points) for wire, points in self._traces().items()}
        dots = [
            (point, channel.buses[0].links[0].wire)
            for number, channel in enumerate(self.channels)
            for point in dots_of(channel, self._lane_x(number))
        ]
        handles = self._handles()
        for placed in self.placed.values():
            for wire in placed.block.wired:
                paths[wire.name] = self._drop(placed, wire, handles)
        turn = _turner(direction)
        shown = tuple(p for p in self.placed.values() if p.block.sort != "passing")
        traces = tuple(
            Trace(w.name, _turned(paths[w.name], turn), _turned(_own(w.name, paths), turn))
            for w in self.circuit.wires
        )
        letterer = Letterer(self.circuit, self.metrics, shown, traces, handles, turn)
        labels = letterer.labels()
        known = {point.name for point in test_points(self.circuit)}
        points = {n: turn(*xy) for n, xy in handles.items() if n in known}
        placed_dots = tuple((turn(*point), wire) for point, wire in dots)
        view = _view(shown, traces, labels, points, turn)
        return Layout(direction, view, shown, traces, placed_dots, points, labels)

    def _drop(self, placed: Placed, wire: Wire, handles: dict[str, Point]) -> tuple[Point, ...]:
        """Hang the negative cable and its ground from a battery."""
        post = join(placed.block.name, "neg")
        axis = placed.start + BATTERY_AXIS[self.metrics.direction]
        first = float(placed.rows[0] + POST)
        last = first + drop_length(self.metrics)
        far = wire.end if wire.start == post else wire.start
        handles[post], handles[far] = (axis, first), (axis, last)
        return (axis, first), (axis, last)

    def _handles(self) -> dict[str, Point]:
        """Return where the test points lie, in (along, across)."""
        found: dict[str, Point] = {}
        for placed in self.placed.values():
            for port in placed.block.ports:
                found.update(self._port_handles(placed, port))
        return found

    def _port_handles(self, placed: Placed, port: Port) -> dict[str, Point]:
        along, across = placed.at(port)
        connector = self.circuit.connector_by_name.get(port.connector)
        if connector is None:
            return {port.node: (along, across)}
        inward = -port.side
        number = int(port.cavity.rpartition(".")[2])
        near, far = (connector.face(number, face) for face in connector.faces)
        return {
            port.cavity: (along + inward * SHELL / 2, across),
            near: (along + inward * FACE, across),
            far: (along + inward * (SHELL - FACE), across),
        }


def wire_lines(wire: Wire, metrics: Metrics) -> tuple[str, ...]:
    """Return a wire's letters: on one line, or on two beside a wire that runs down."""
    if metrics.direction == "across":
        return (f"{wire.name} {wire.colour}",)
    return wire.name, wire.colour


def _turner(direction: Direction):  # type: ignore[no-untyped-def]
    return (lambda u, v: (u, v)) if direction == "across" else (lambda u, v: (v, u))


def _turned(path: tuple[Point, ...], turn) -> tuple[Point, ...]:  # type: ignore[no-untyped-def]
    return tuple(turn(*point) for point in path)


def _own(wire: str, paths: Mapping[str, tuple[Point, ...]]) -> tuple[Point, ...]:
    """Return the longest run of a wire's path that no other wire shares."""
    others = [
        piece for name, path in paths.items() if name != wire for piece in pieces(path)
    ]
    best: tuple[Point, ...] = ()
    run: list[Point] = []
    for piece in pieces(paths[wire]):
        left = _uncovered(piece, others)
        if left is None:
            run = []
            continue
        if run and run[-1] == left[0]:
            run.append(left[1])
        else:
            run = list(left)
        if left[1] != piece[1]:
            best, run = max(best, tuple(run), key=_length), []
        best = max(best, tuple(run), key=_length)
    return best or paths[wire]


def _length(path: tuple[Point, ...]) -> float:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pieces(path))


def _uncovered(
    piece: tuple[Point, Point], others: list[tuple[Point, Point]]
) -> tuple[Point, Point] | None:
    """Return the longest stretch of a piece on which no other piece lies."""
    axis = 0 if piece[0][1] == piece[1][1] else 1
    fixed = piece[0][1 - axis]
    low, high = sorted((piece[0][axis], piece[1][axis]))
    cuts = [(low, low), (high, high)]
    for a, b in others:
        if a[1 - axis] == b[1 - axis] == fixed:
            start, end = sorted((a[axis], b[axis]))
            if start < high and end > low:
                cuts.append((max(start, low), min(end, high)))
    gaps, reach = [], low
    for start, end in sorted(cuts):
        if start > reach:
            gaps.append((reach, start))
        reach = max(reach, end)
    if not gaps:
        return None
    start, end = max(gaps, key=lambda gap: gap[1] - gap[0])
    if piece[0][axis] > piece[1][axis]:
        start, end = end, start
    return (start, fixed) if axis == 0 else (fixed, start), (end, fixed) if axis == 0 else (
        fixed,
        end,
    )


def _view(shown, traces, labels, handles, turn):  # type: ignore[no-untyped-def]
    """Return the viewBox around everything."""
    points = [turn(p.start, p.low) for p in shown] + [turn(p.end, p.high) for p in shown]
    points += [point for trace in traces for point in trace.path]
    points += list(handles.values())
    for label in labels:
        points += [(label.x, label.y), (label.x + label.width, label.y + label.height)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    left, top = min(xs) - MARGIN, min(ys) - MARGIN
    return left, top, max(xs) + MARGIN - left, max(ys) + MARGIN - top


def crossings(layout: Layout) -> int:
    """Return how often wires cross in a drawing."""
    runs = [(t.wire, piece) for t in layout.traces for piece in pieces(t.path)]
    found: set[Point] = set()
    for number, (wire, piece) in enumerate(runs):
        for other, against in runs[:number]:
            if wire != other:
                spot = _crossing(piece, against)
                if spot:
                    found.add(spot)
    return len(found)


def _crossing(one: tuple[Point, Point], other: tuple[Point, Point]) -> Point | None:
    flat, steep = (one, other) if one[0][1] == one[1][1] else (other, one)
    if flat[0][1] != flat[1][1] or steep[0][0] != steep[1][0]:
        return None
    x, y = steep[0][0], flat[0][1]
    x_low, x_high = sorted((flat[0][0], flat[1][0]))
    y_low, y_high = sorted((steep[0][1], steep[1][1]))
    return (x, y) if x_low < x < x_high and y_low < y < y_high else None


__all__ = ["LEAST_SCALE", "LEAST_TARGET_PX", "Layout", "Placed", "Trace", "crossings", "lay_out"]
_ = wired_node

"""Letters: what is written in a drawing and where, so that nothing lies on anything."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from circuits.blocks import POST
from circuits.model import Circuit
from circuits.shapes import (
    NOTE_LINE,
    NOTE_SIZE,
    SHELL,
    TITLE_LINE,
    TITLE_SIZE,
    Metrics,
    Port,
    text_width,
    wrapped,
)

if TYPE_CHECKING:
    from circuits.layout import Placed, Trace

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Anchor = Literal["start", "middle", "end"]
LONG = 300
"""A wire longer than this carries its letters at both ends."""
GAP = 3
RING = 6


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text in a box of viewBox units; ``kind`` tells titles from notes."""

    lines: tuple[str, ...]
    kind: Literal["title", "note", "wire"]
    owner: str
    x: float
    y: float
    width: float
    height: float
    anchor: Anchor = "start"

    @property
    def size(self) -> float:
        """The size of the letters."""
        return TITLE_SIZE if self.kind == "title" else NOTE_SIZE

    @property
    def box(self) -> Box:
        """Left, top, right and bottom."""
        return self.x, self.y, self.x + self.width, self.y + self.height


class Letterer:
    """Writes titles, cavity numbers and wire letters where there is room."""

    def __init__(
        self,
        circuit: Circuit,
        metrics: Metrics,
        placed: "Sequence[Placed]",
        traces: "Sequence[Trace]",
        handles: Mapping[str, Point],
        turn: Callable[[float, float], Point],
    ) -> None:
        self.circuit, self.metrics, self.placed = circuit, metrics, placed
        self.traces, self.handles, self.turn = traces, handles, turn
        self.across = metrics.direction == "across"

    def labels(self) -> tuple[Label, ...]:
        """Return every label of the drawing."""
        found: list[Label] = []
        for placed in self.placed:
            found += self._of_block(placed)
        return (*found, *self._wire_labels(found))

    # --- parts

    def _of_block(self, placed: "Placed") -> list[Label]:
        block = placed.block
        if block.sort == "ground":
            return [self._ground_name(placed)]
        found = [self._title(placed)]
        if block.sort == "inline":
            return found + self._inline_numbers(placed)
        if block.sort == "battery":
            found += self._battery_notes(placed)
        for name in dict.fromkeys(p.connector for p in block.ports if p.connector):
            found += self._connector_names(placed, name)
        for port in block.ports:
            found += self._port_notes(placed, port)
        return found

    def _label(self, lines, kind, owner, spot, anchor="middle", base="middle"):  # type: ignore[no-untyped-def]
        """Return a label at a point; ``base`` says which edge of its box lies there."""
        size, line = (TITLE_SIZE, TITLE_LINE) if kind == "title" else (NOTE_SIZE, NOTE_LINE)
        width = max(text_width(text, size) for text in lines)
        height = line * len(lines)
        x = spot[0] - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        y = spot[1] - {"top": 0.0, "middle": height / 2, "bottom": height}[base]
        return Label(tuple(lines), kind, owner, x, y, width, height, anchor)

    def _title(self, placed: "Placed") -> Label:
        block, rows = placed.block, placed.rows
        low, high = placed.body
        middle = (low + high) / 2
        kind, name = "title", block.name
        if block.sort == "splice":
            spot = (middle, rows[0] - 6) if self.across else (rows[0] + 9, middle)
            anchor = "middle" if self.across else "start"
            base = "bottom" if self.across else "middle"
            return self._label(block.title, "note", name, spot, anchor, base)
        if self.across:
            if block.sort == "battery":
                return self._label(
                    block.title, kind, name, (placed.start, rows[0] - 15), "start", "bottom"
                )
            lift = {"inline": 14, "relay": 19, "switch": 19 if block.contacts else 15}.get(
                block.sort, 15
            )
            return self._label(
                block.title, kind, name, (middle, min(rows) - lift), "middle", "bottom"
            )
        centre = (min(rows) + max(rows)) / 2
        if block.sort == "battery":
            spot = (rows[0] + 30, placed.start)
            return self._label(block.title, kind, name, spot, "middle", "top")
        if block.sort == "box":
            return self._label(block.title, kind, name, (centre, middle), "middle", "middle")
        if len({p.side for p in block.ports}) == 1:
            end = high if block.ports[0].side < 0 else low + TITLE_LINE * len(block.title)
            return self._label(block.title, kind, name, (centre, end), "middle", "bottom")
        aside = {"inline": 17, "relay": 26, "switch": 26 if block.contacts else 16}.get(block.sort, 18)
        return self._label(block.title, kind, name, (max(rows) + aside, middle), "start", "middle")

    def _ground_name(self, placed: "Placed") -> Label:
        block, port = placed.block, placed.block.ports[0]
        along, across = placed.at(port)
        spot: Point
        if self.across:
            spot = (along - port.side * 8, across - 5)
            anchor = "start" if port.side < 0 else "end"
            return self._label(block.title, "note", block.name, spot, anchor, "bottom")
        inset = 0 if port.side < 0 else 20
        spot = (across + inset + 12, along - port.side * 14)
        return self._label(block.title, "note", block.name, spot, "start", "middle")

    def _inline_numbers(self, placed: "Placed") -> list[Label]:
        found = []
        for port in placed.block.ports:
            along, across = placed.at(port)
            spot = self.turn(along - port.side * 14, across)
            found.append(self._label((port.pin,), "note", placed.block.name, spot))
        return found

    def _battery_notes(self, placed: "Placed") -> list[Label]:
        if not placed.block.wired:
            return []
        name = placed.block.wired[0].name
        trace = next(t for t in self.traces if t.wire == name)
        far = trace.path[-1]
        if self.across:
            spot = (far[0] + 13, far[1] + 10)
            return [self._label(("Body",), "note", "BODY", spot, "start", "middle")]
        return [self._label(("Body",), "note", "BODY", (far[0] + 8, far[1] - 5), "start", "bottom")]

    def _connector_names(self, placed: "Placed", name: str) -> list[Label]:
        found = []
        for side in (-1, 1):
            ports = [p for p in placed.block.ports if p.connector == name and p.side == side]
            if not ports:
                continue
            first = min(placed.rows[p.row] for p in ports)
            edge = placed.start if side < 0 else placed.end
            middle = edge - side * SHELL / 2
            if self.across:
                spot, anchor, base = (middle, first - 13), "middle", "bottom"
            else:
                spot, anchor, base = (first - 14, middle), "end", "middle"
            found.append(self._label((name,), "title", name, spot, anchor, base))
        return found

    def _port_notes(self, placed: "Placed", port: Port) -> list[Label]:
        block = placed.block
        number = port.cavity.rpartition(".")[2]
        low, high = placed.body
        edge = low if port.side < 0 else high
        row = placed.rows[port.row]
        inward = -port.side
        if block.sort == "box":
            return self._box_notes(placed, port, number)
        text = number or (port.pin if block.order == "turn" and len(block.rows) > 1 else "")
        if not text or (not number and block.sort not in ("relay", "switch")):
            return []
        if self.across:
            spot = (edge + inward * (GAP if number else 8), row - 4)
            anchor = "start" if inward > 0 else "end"
            return [self._label((text,), "note", block.name, spot, anchor, "bottom")]
        spot = (row + 4, edge + inward * (GAP if number else 8))
        base = "top" if inward > 0 else "bottom"
        return [self._label((text,), "note", block.name, spot, "start", base)]

    def _box_notes(self, placed: "Placed", port: Port, number: str) -> list[Label]:
        low, high = placed.body
        edge = low if port.side < 0 else high
        row, inward = placed.rows[port.row], -port.side
        name = placed.block.name
        found = []
        if self.across:
            anchor = "start" if inward > 0 else "end"
            if number:
                found.append(self._label((number,), "note", name, (edge + inward * 4, row), anchor))
            lines = wrapped(port.words, 66, NOTE_SIZE)
            spot = (edge + inward * (15 if number else 7), row)
            return [*found, self._label(lines, "note", name, spot, anchor)]
        base = "top" if inward > 0 else "bottom"
        lines = wrapped(port.words, 54, NOTE_SIZE)
        both = [number, *lines] if inward > 0 else [*lines, number]
        return [
            self._label(
                tuple(t for t in both if t), "note", name, (row, edge + inward * 4), "middle", base
            )
        ]

    # --- wires

    def _wire_labels(self, labels: list[Label]) -> list[Label]:
        taken = [label.box for label in labels]
        taken += [self._room(placed) for placed in self.placed]
        taken += [(x - RING, y - RING, x + RING, y + RING) for x, y in map(self._xy, self.handles)]
        runs = {t.wire: [_run_box(a, b) for a, b in pairwise(t.path)] for t in self.traces}
        found: list[Label] = []
        for trace in self.traces:
            wanted = 2 if _length(trace.path) > LONG else 1
            blocked = taken + [box for runs_ in runs.values() for box in runs_]
            for label in self._candidates(trace):
                if wanted and not any(_touch(label.box, box) for box in blocked):
                    if any(_near(label, other) for other in found if other.owner == trace.wire):
                        continue
                    found.append(label)
                    taken.append(label.box)
                    blocked.append(label.box)
                    wanted -= 1
        return found

    def _xy(self, name: str) -> Point:
        return self.turn(*self.handles[name])

    def _room(self, placed: "Placed") -> Box:
        # Beside the cable that hangs from a battery there is room for its letters.
        high = placed.rows[0] + POST if placed.block.wired else placed.high
        (a, b), (c, d) = (
            self.turn(placed.start, placed.low),
            self.turn(placed.end, high),
        )
        return min(a, c), min(b, d), max(a, c), max(b, d)

    def _candidates(self, trace: "Trace") -> list[Label]:
        """Return places for a wire's letters, the best first: at its ends, then along it."""
        wire = self.circuit.wire_by_name[trace.wire]
        one, two = (f"{wire.name} {wire.colour}",), (wire.name, wire.colour)
        found: list[Label] = []
        for a, b in _by_length(trace.own):
            flat = a[1] == b[1]
            lines = one if flat else two
            width = max(text_width(text, NOTE_SIZE) for text in lines)
            size = width if flat else float(NOTE_LINE * len(lines))
            found += self._along_run(trace.wire, lines, (a, b), size)
        return found

    def _along_run(
        self, wire: str, lines: tuple[str, ...], run: tuple[Point, Point], size: float
    ) -> list[Label]:
        axis = 0 if run[0][1] == run[1][1] else 1
        low, high = sorted((run[0][axis], run[1][axis]))
        middles = _places(low, high, size)
        fixed = run[0][1 - axis]
        found = []
        for middle in middles:
            if axis == 0:
                places = [((middle, fixed - GAP), "middle", "bottom")]
                places.append(((middle, fixed + GAP), "middle", "top"))
            else:
                places = [((fixed + 4, middle), "start", "middle")]
                places.append(((fixed - 4, middle), "end", "middle"))
            found += [self._label(lines, "wire", wire, *place) for place in places]
        return found


def _places(low: float, high: float, size: float) -> list[float]:
    """Return the middles at which letters of a size stand along a run: ends, then between."""
    inset = size / 2 + 12
    if high - low < size + 6:
        return []
    if high - low < size + 24:
        return [(low + high) / 2, low + 4 + size / 2, high - 4 - size / 2]
    ends = [high - inset, low + inset, (low + high) / 2]
    step = max(size / 2, 12)
    count = int((high - low) // step)
    return ends + [low + inset + step * n for n in range(1, count) if low + inset + step * n < high - inset]


def _by_length(path: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    """Return a path's pieces: its last first, then its first, then the longest."""
    runs = list(pairwise(path))
    ends = [runs[-1], runs[0]] if len(runs) > 1 else runs
    rest = sorted(runs[1:-1], key=lambda run: -_length(run))
    return ends + rest


def _length(path: Sequence[Point]) -> float:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(path))


def _run_box(a: Point, b: Point) -> Box:
    return (
        min(a[0], b[0]) - 1,
        min(a[1], b[1]) - 1,
        max(a[0], b[0]) + 1,
        max(a[1], b[1]) + 1,
    )


def _touch(one: Box, other: Box) -> bool:
    return (
        one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
    )


def _near(one: Label, other: Label) -> bool:
    return abs(one.x - other.x) + abs(one.y - other.y) < LONG / 2

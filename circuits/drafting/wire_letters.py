"""Letters of wires: name and colour near the ends, where nothing else lies."""

from collections.abc import Iterator, Mapping, Sequence

from circuits.drafting.drawn import Box, Label, Placed, Point, Trace, turned_point
from circuits.drafting.lettering import GAP, Place, label_at, wire_lines
from circuits.drafting.shapes import NOTE_LINE, NOTE_SIZE, Metrics, text_width
from circuits.drafting.traces import Piece, length, pieces
from circuits.model import Wire

LONG = 300
"""A wire longer than this carries its letters at both ends."""
RING = 6
INSET = 13
"""From the end of a piece to the letters on it."""


def letters_along(wire: Wire, metrics: Metrics) -> float:
    """Return the length along that a wire's letters take."""
    if metrics.direction == "down":
        return 2.0 * NOTE_LINE
    return text_width(wire_lines(wire, flat=True)[0], NOTE_SIZE)


def wire_labels(
    wires: Mapping[str, Wire],
    traces: Sequence[Trace],
    obstacles: Sequence[Box],
) -> list[Label]:
    """Return the labels of wires, each clear of obstacles, of all traces and of each other."""
    taken = list(obstacles)
    taken += [_run_box(piece) for trace in traces for piece in pieces(trace.path)]
    # Those with the least room choose first, and none twice before all have chosen.
    shown = sorted((t for t in traces if t.wire in wires), key=lambda t: length(t.own))
    found: list[Label] = []
    for trace in [*shown, *(t for t in shown if length(t.path) > LONG)]:
        mine = [label for label in found if label.owner == trace.wire]
        for label in _candidates(wires[trace.wire], trace):
            near = any(_near(label, other) for other in mine)
            if not near and not any(_touch(label.box, box) for box in taken):
                found.append(label)
                taken.append(label.box)
                break
    return found


def obstacles_of(
    placed: Sequence[Placed], labels: Sequence[Label], handles: Sequence[Point], metrics: Metrics
) -> list[Box]:
    """Return the boxes that letters of wires must keep clear of."""
    found = [label.box for label in labels]
    found += [_room(block, metrics) for block in placed]
    return found + [(x - RING, y - RING, x + RING, y + RING) for x, y in handles]


def _room(placed: Placed, metrics: Metrics) -> Box:
    a, b = turned_point(metrics.direction, (placed.start, placed.low))
    c, d = turned_point(metrics.direction, (placed.end, placed.high))
    if metrics.direction == "across":
        return a - GAP, b, c + GAP, d
    return a, b - GAP, c, d + GAP


def _candidates(wire: Wire, trace: Trace) -> Iterator[Label]:
    """Yield places for a wire's letters, the best first."""
    for piece in _by_worth(pieces(trace.own)):
        flat = piece[0][1] == piece[1][1]
        lines = wire_lines(wire, flat=flat)
        for place in _beside(piece, lines, flat=flat):
            yield label_at(lines, "wire", wire.name, place)


def _by_worth(runs: list[Piece]) -> list[Piece]:
    """Return a path's pieces: its last first, then its first turned round, then the longest."""
    ends = [runs[-1], runs[0][::-1]] if len(runs) > 1 else runs
    return ends + sorted(runs[1:-1], key=length, reverse=True)


def _beside(piece: Piece, lines: tuple[str, ...], *, flat: bool) -> Iterator[Place]:
    axis = 0 if flat else 1
    start, end = piece[0][axis], piece[1][axis]
    fixed = piece[0][1 - axis]
    size = max(text_width(t, NOTE_SIZE) for t in lines) if flat else float(NOTE_LINE * len(lines))
    for middle in _middles(start, end, size):
        if flat:
            yield (middle, fixed - GAP), "middle", "bottom"
            yield (middle, fixed + GAP), "middle", "top"
        else:
            yield (fixed + GAP + 1, middle), "start", "middle"
            yield (fixed - GAP - 1, middle), "end", "middle"


def _middles(start: float, end: float, size: float) -> list[float]:
    """Return where letters of a size stand along a piece: at its end, its start, between."""
    way = 1 if end > start else -1
    run, middle = abs(end - start), (start + end) / 2
    if run < size + GAP:
        return []
    if run < size + 2 * INSET:
        return [middle, middle - 4, middle + 4, middle - 8, middle + 8]
    first, last = start + way * (INSET + size / 2), end - way * (INSET + size / 2)
    steps = int(abs(last - first) // 12)
    return [last, first, middle, *(first + way * 12 * n for n in range(1, steps + 1))]


def _run_box(piece: Piece) -> Box:
    (a, b), (c, d) = piece
    return min(a, c) - 1, min(b, d) - 1, max(a, c) + 1, max(b, d) + 1


def _touch(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _near(one: Label, other: Label) -> bool:
    return abs(one.x - other.x) + abs(one.y - other.y) < LONG / 2

"""Letters of parts: titles, cavity numbers, words at the pins of a box."""

from collections.abc import Iterator, Sequence
from typing import Literal

from circuits.drafting.blocks import ground_words, hanging_length
from circuits.drafting.boxes import words_length, words_of
from circuits.drafting.drawn import (
    BATTERY_AXIS,
    Anchor,
    Label,
    LabelKind,
    Placed,
    Point,
    turned_point,
)
from circuits.drafting.shapes import (
    NOTE_LINE,
    NOTE_SIZE,
    POST,
    SHELL,
    TITLE_LINE,
    TITLE_SIZE,
    Metrics,
    Port,
    text_width,
)
from circuits.model import Wire
from circuits.spec import join

Base = Literal["top", "middle", "bottom"]
Place = tuple[Point, Anchor, Base]
"""A point, and which edge of the letters' box lies at it."""
GAP = 3
BOLD = 1.1


def label_at(lines: Sequence[str], kind: LabelKind, owner: str, place: Place) -> Label:
    """Return a label at a place."""
    (x, y), anchor, base = place
    if kind == "title":
        width = BOLD * max(text_width(text, TITLE_SIZE) for text in lines)
        height = float(TITLE_LINE * len(lines))
    else:
        width = max(text_width(text, NOTE_SIZE) for text in lines)
        height = float(NOTE_LINE * len(lines))
    x -= {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    y -= {"top": 0.0, "middle": height / 2, "bottom": height}[base]
    return Label(tuple(lines), kind, owner, x, y, width, height, anchor)


def wire_lines(wire: Wire, *, flat: bool) -> tuple[str, ...]:
    """Return a wire's letters: on one line, or on two beside a wire that runs down."""
    return (f"{wire.name} {wire.colour}",) if flat else (wire.name, wire.colour)


def part_labels(placed: Placed, metrics: Metrics) -> Iterator[Label]:
    """Yield what is written at a block."""
    block = placed.block
    across = metrics.direction == "across"
    kind: LabelKind = "note" if block.sort in ("ground", "splice") else "title"
    yield label_at(block.title, kind, block.name, _title_place(placed, metrics))
    if block.sort == "inline":
        yield from _inline_numbers(placed, metrics)
        return
    if block.wired:
        yield from _hung_labels(placed, metrics)
    yield from _connector_names(placed, across=across)
    for port in block.ports:
        yield from (_box_notes if block.sort == "box" else _port_notes)(placed, port, metrics)


# --- titles


def _title_place(placed: Placed, metrics: Metrics) -> Place:
    across = metrics.direction == "across"
    if placed.block.sort == "ground":
        return _ground_place(placed, across=across)
    return _wide_place(placed) if across else _tall_place(placed, metrics)


def _wide_place(placed: Placed) -> Place:
    """Return where a title stands on a wide page: above its part."""
    block, first = placed.block, min(placed.rows)
    low, high = placed.body
    if block.sort == "battery":
        return (placed.start, first - 15), "start", "bottom"
    housing = block.housing[0]
    lift = {"inline": 14, "splice": 6}.get(block.sort, housing + 2 if housing else 15)
    return ((low + high) / 2, first - lift), "middle", "bottom"


def _tall_place(placed: Placed, metrics: Metrics) -> Place:
    """Return where a title stands on a tall page: beside its part, or in or under it."""
    block, rows = placed.block, placed.rows
    low, high = placed.body
    middle, centre = (low + high) / 2, (min(rows) + max(rows)) / 2
    if block.sort == "battery":
        return (rows[0] + POST / 2, placed.start), "middle", "top"
    if block.sort == "box":
        near, far = (words_length(block.ports, side, metrics) for side in (-1, 1))
        return (centre, (low + near + high - far) / 2), "middle", "middle"
    if len({port.side for port in block.ports}) == 1:
        if block.ports[0].side < 0:
            return (centre, high), "middle", "bottom"
        return (centre, low), "middle", "top"
    housing = block.housing[1]
    aside = {"inline": 17, "splice": 9}.get(block.sort, housing + 4 if housing else 18)
    return (max(rows) + aside, middle), "start", "middle"


def _ground_place(placed: Placed, *, across: bool) -> Place:
    port = placed.block.ports[0]
    along, row = placed.at(port)
    if across:
        return (along - port.side * 8, row - 5), "start" if port.side < 0 else "end", "bottom"
    inset = 0 if port.side < 0 else 20
    return (row + inset + 12, along - port.side * 14), "start", "middle"


def _hung_labels(placed: Placed, metrics: Metrics) -> Iterator[Label]:
    """Yield the letters of the cable that hangs from a battery, and of its ground."""
    wire, post = placed.block.wired[0], join(placed.block.name, "neg")
    far = wire.end if wire.start == post else wire.start
    axis = placed.start + BATTERY_AXIS[metrics.direction]
    row, length = placed.rows[0] + POST, hanging_length(wire, metrics)
    if metrics.direction == "across":
        letters: Place = ((axis + 4, row + length / 2), "start", "middle")
        name: Place = ((axis + 13, row + length + 11), "start", "middle")
    else:
        letters = ((row + length / 2, axis - GAP), "middle", "bottom")
        name = ((row + length + 8, axis - 5), "start", "bottom")
    lines = wire_lines(wire, flat=metrics.direction == "down")
    yield label_at(lines, "wire", wire.name, letters)
    yield label_at((ground_words(far),), "note", far, name)


# --- connectors and pins


def _connector_names(placed: Placed, *, across: bool) -> Iterator[Label]:
    block = placed.block
    for name in dict.fromkeys(port.connector for port in block.ports if port.connector):
        for side in (-1, 1):
            rows = [
                placed.rows[p.row] for p in block.ports if p.connector == name and p.side == side
            ]
            if not rows:
                continue
            middle = (placed.start if side < 0 else placed.end) - side * SHELL / 2
            place: Place = ((middle, min(rows) - 13), "middle", "bottom")
            if not across:
                place = ((min(rows) - 14, middle), "end", "middle")
            yield label_at((name,), "title", name, place)


def _inline_numbers(placed: Placed, metrics: Metrics) -> Iterator[Label]:
    for port in placed.block.ports:
        along, row = placed.at(port)
        spot = turned_point(metrics.direction, (along - port.side * 14, row))
        yield label_at((port.pin,), "note", placed.block.name, (spot, "middle", "middle"))


def _number(port: Port) -> str:
    return port.cavity.rpartition(".")[2]


def _port_notes(placed: Placed, port: Port, metrics: Metrics) -> Iterator[Label]:
    """Yield the cavity's number inside a part, or its terminal's name inside a housing."""
    block, number = placed.block, _number(port)
    text = number or (port.pin if block.contacts or block.sort == "relay" else "")
    if not text:
        return
    edge, row = placed.inner(port)
    inset = edge - port.side * (GAP if number else 8)
    place: Place = ((inset, row - GAP), "start" if port.side < 0 else "end", "bottom")
    if metrics.direction == "down":
        place = ((row + 4, inset), "start", "top" if port.side < 0 else "bottom")
    yield label_at((text,), "note", block.name, place)


def _box_notes(placed: Placed, port: Port, metrics: Metrics) -> Iterator[Label]:
    """Yield a cavity's number and its words inside a box."""
    name, number = placed.block.name, _number(port)
    edge, row = placed.inner(port)
    lines = words_of(port, metrics)
    if metrics.direction == "across":
        anchor: Anchor = "start" if port.side < 0 else "end"
        if number:
            yield label_at((number,), "note", name, ((edge - port.side * 4, row), anchor, "middle"))
        inset = edge - port.side * (16 if number else 8)
        yield label_at(lines, "note", name, ((inset, row), anchor, "middle"))
        return
    numbers = (number,) if number else ()
    both = (*numbers, *lines) if port.side < 0 else (*lines, *numbers)
    spot = (row, edge - port.side * (4 if number else 8))
    yield label_at(both, "note", name, (spot, "middle", "top" if port.side < 0 else "bottom"))

"""From a circuit's parts and in-line connectors to the blocks of its drawing."""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

from circuits.drafting.boxes import box, relay, switch
from circuits.drafting.drawn import BATTERY_AXIS
from circuits.drafting.flow import Flow, grounded, wired_node
from circuits.drafting.grids import heater_grid
from circuits.drafting.ports import port_of, shells, sides_of, straight
from circuits.drafting.shapes import (
    NOTE_SIZE,
    OFF_POST,
    POST,
    SIDES,
    TITLE_LINE,
    TITLE_SIZE,
    Block,
    Inside,
    Metrics,
    Port,
    Side,
    text_width,
    title_of,
    widest,
    wrapped,
)
from circuits.model import Circuit, Connector, Part, Wire
from circuits.points import cable_ends
from circuits.spec import BODY, join


def ground_words(name: str) -> str:
    """Return the words at a ground: its name, or that it is the body."""
    return "Body" if name == BODY else name


def blocks_of(circuit: Circuit, flow: Flow, metrics: Metrics) -> tuple[Block, ...]:
    """Return the blocks of a drawing: parts in the file's order, in-line connectors, body."""
    found = [
        _spread(
            circuit, _with_spares(circuit, _made(circuit, part, flow, metrics), metrics), metrics
        )
        for part in circuit.parts
        if not grounded(circuit, part.name)
    ]
    found += [
        _spread(circuit, _inline(c, flow, metrics), metrics) for c in circuit.connectors if c.inline
    ]
    hung = {
        wired_node(circuit, end)
        for block in found
        for wire in block.wired
        for end in (wire.start, wire.end)
    }
    sides = {port.node: port.side for block in found for port in block.ports}
    names = [part.name for part in circuit.parts if grounded(circuit, part.name)]
    found += [_ground(circuit, name, sides, metrics) for name in (*names, BODY) if name not in hung]
    return tuple(found)


def _made(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    maker = _MAKERS.get(part.spec.sort)
    if maker:
        return maker(circuit, part, flow, metrics)
    plain = len(part.spec.terminals()) == 2
    return (_two if plain else box)(circuit, part, flow, metrics)


def _with_spares(circuit: Circuit, block: Block, metrics: Metrics) -> Block:
    """Return the block with a row for each cavity that no terminal of the part is behind."""
    has = {port.cavity for port in block.ports}
    for connector in circuit.plugged_in(block.name):
        sides = [p.side for p in block.ports if p.connector == connector.name]
        side: Side = 1 if sum(sides) > 0 else -1
        for number in connector.cavities():
            cavity = f"{connector.name}.{number}"
            if cavity not in has:
                node = connector.face(number, connector.faces[0])
                port = Port(node, "", side, len(block.rows), cavity)
                rows = (*block.rows, block.rows[-1] + metrics.pitch)
                block = replace(block, ports=(*block.ports, port), rows=rows)
    return block


def _spread(circuit: Circuit, block: Block, metrics: Metrics) -> Block:
    """Return the block with its rows so far apart that the letters of its wires fit between."""
    if metrics.direction == "across" or not block.stretch:
        return block
    nodes = {port.node for port in block.ports}
    letters = [
        text_width(wire.colour, NOTE_SIZE)
        for wire in circuit.wires
        if nodes & {wired_node(circuit, wire.start), wired_node(circuit, wire.end)}
    ]
    columns = [sorted(block.rows[p.row] for p in block.side_ports(side)) for side in SIDES]
    steps = [b - a for rows in columns for a, b in pairwise(rows)]
    spread = metrics.up(max(letters, default=0) + 7) / min(steps, default=math.inf)
    return replace(block, rows=tuple(round(row * max(1, spread)) for row in block.rows))


def _two(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    """Return a part with two terminals, on one row unless both are on one side."""
    pins = part.spec.terminals()
    sides = sides_of(circuit, part, flow, (pins[0], pins[1]))
    if sides[0] == sides[1]:
        return _bent(circuit, part, sides[0], metrics)
    ports = [port_of(circuit, part, p, s, 0) for p, s in zip(pins, sides, strict=True)]
    return straight(part, tuple(ports), metrics)


def _bent(circuit: Circuit, part: Part, side: Side, metrics: Metrics) -> Block:
    """Return a load with both terminals on one side, the symbol between them."""
    pins = part.spec.terminals()
    ports = tuple(port_of(circuit, part, pin, side, row) for row, pin in enumerate(pins))
    lines = wrapped(title_of(part), 60, TITLE_SIZE)
    width = round(widest(lines, TITLE_SIZE)) + 2
    across = metrics.direction == "across"
    high = TITLE_LINE * len(lines)
    return Block(
        part.name,
        part.spec.sort,
        ports,
        (0, 2 * metrics.pitch),
        before=metrics.up(15 + high) if across else metrics.grid,
        after=metrics.grid,
        length=(max(46, width) if across else 46 + high) + shells(ports),
        title=lines,
        stretch=True,
        order="turn",
    )


def _splice(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    pins = ("in", "out")
    sides = sides_of(circuit, part, flow, pins)
    ports = tuple(port_of(circuit, part, p, s, 0) for p, s in zip(pins, sides, strict=True))
    lines, room = (title_of(part),), metrics.grid
    after = room if metrics.direction == "across" else metrics.up(10 + widest(lines, TITLE_SIZE))
    return Block(part.name, "splice", ports, (0,), room, after, 30, lines)


def _battery(circuit: Circuit, part: Part, metrics: Metrics) -> Block:
    lines = wrapped(title_of(part), 92, TITLE_SIZE)
    across = metrics.direction == "across"
    wire = _hanging(circuit, part)
    ports = [port_of(circuit, part, "pos", 1, 0)]
    rows: tuple[int, ...] = (0,)
    if wire is None:
        ports.append(port_of(circuit, part, "neg", 1, 1))
        rows, after = (0, POST), metrics.up(OFF_POST[1] + metrics.grid)
    else:
        after = metrics.up(POST + hanging_length(wire, metrics) + (30 if across else 42))
    length = max(70, round(widest(lines, TITLE_SIZE)) + 8) if across else 62
    return Block(
        part.name,
        "battery",
        tuple(ports),
        rows,
        before=metrics.up(15 + TITLE_LINE * len(lines)) if across else metrics.up(30),
        after=after,
        length=length,
        title=lines,
        wired=(wire,) if wire else (),
        inside=tuple(_cable_end(circuit, part, metrics, None if wire else length)),
    )


def _cable_end(circuit: Circuit, part: Part, metrics: Metrics, end: int | None) -> Iterator[Inside]:
    """Yield where the negative cable's end lies when it is off its post.

    It is beside a cable that hangs, else under the post at the ``end`` of the block.
    """
    aside, along = OFF_POST
    post = join(part.name, "neg")
    if post not in cable_ends(circuit):
        return
    if end is not None:
        yield Inside(cable_ends(circuit)[post], end, POST + along)
        return
    way = -1 if metrics.direction == "across" else 1
    axis = BATTERY_AXIS[metrics.direction]
    yield Inside(cable_ends(circuit)[post], axis + way * aside, POST + along)


def hanging_length(wire: Wire, metrics: Metrics) -> int:
    """Return the length of the negative cable that hangs straight from the battery."""
    if metrics.direction == "across":
        return 45
    return max(60, round(text_width(f"{wire.name} {wire.colour}", NOTE_SIZE)) + 26)


def _hanging(circuit: Circuit, part: Part) -> Wire | None:
    """Return the battery's negative cable if it alone joins the post to a ground."""
    post = join(part.name, "neg")
    here = list(_wires_at(circuit, post))
    if len(here) != 1:
        return None
    far = here[0].end if here[0].start == post else here[0].start
    alone = len(list(_wires_at(circuit, far))) == 1
    return here[0] if grounded(circuit, far) and alone else None


def _wires_at(circuit: Circuit, terminal: str) -> Iterator[Wire]:
    return (w for w in circuit.wires if terminal in (w.start, w.end))


def _inline(connector: Connector, flow: Flow, metrics: Metrics) -> Block:
    near, far = connector.faces
    total = sum(flow.by_node.get(connector.face(n, near), 0) for n in connector.cavities())
    sides: tuple[Side, Side] = (-1, 1) if total <= 0 else (1, -1)
    ports = tuple(
        Port(connector.face(n, face), str(n), side, n - 1)
        for face, side in zip((near, far), sides, strict=True)
        for n in connector.cavities()
    )
    across = metrics.direction == "across"
    name = text_width(connector.name, TITLE_SIZE)
    return Block(
        connector.name,
        "inline",
        ports,
        tuple(n * metrics.pitch for n in range(len(connector.labels))),
        before=2 * metrics.grid if across else metrics.grid,
        after=metrics.grid if across else metrics.up(18 + name),
        length=60,
        title=(connector.name,),
        stretch=True,
        order="free",
    )


def _ground(circuit: Circuit, name: str, sides: dict[str, Side], metrics: Metrics) -> Block:
    """Return a ground point or the body, on the side from which its wires come."""
    ends = [
        wired_node(circuit, wire.start if wire.end == name else wire.end)
        for wire in _wires_at(circuit, name)
    ]
    side: Side = -1 if sum(sides.get(node, 1) for node in ends) >= 0 else 1
    words = ground_words(name)
    width = text_width(words, TITLE_SIZE)
    port = Port(name, "", side, 0)
    if metrics.direction == "across":
        after, length = metrics.up(28), round(max(28, 12 + width))
    else:
        after, length = metrics.up((0 if side < 0 else 20) + 16 + width), 30
    return Block(name, "ground", (port,), (0,), metrics.grid, after, length, (words,))


_MAKERS: dict[str, Callable[[Circuit, Part, Flow, Metrics], Block]] = {
    "battery": lambda circuit, part, _, metrics: _battery(circuit, part, metrics),
    "fuse": _two,
    "heater grid": heater_grid,
    "relay": relay,
    "splice": _splice,
    "switch": switch,
}

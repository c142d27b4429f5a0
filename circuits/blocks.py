"""From a circuit's parts and in-line connectors to the blocks of its drawing."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from circuits.model import Circuit, Connector, Hint, Part, Wire
from circuits.parts.switching import Switch
from circuits.shapes import (
    NOTE_LINE,
    NOTE_SIZE,
    TITLE_LINE,
    TITLE_SIZE,
    Block,
    Flow,
    Metrics,
    Port,
    Side,
    grounded,
    text_width,
    title_of,
    widest,
    wired_node,
    wrapped,
)
from circuits.spec import BODY, join

SYMBOL = 56
"""The length of a two-terminal symbol with its leads."""
POST = 60
"""From a battery's positive row to its negative post, across."""
BUS = 12
"""Between two lines inside a switch, along."""
HOUSING = {"across": 17, "down": 22}
"""From the outer contact of a switch or relay to its housing, across."""
LOADS = ("lamp", "bell", "motor", "resistor", "diode", "heater", "sender")


def blocks_of(circuit: Circuit, flow: Flow, metrics: Metrics) -> tuple[Block, ...]:
    """Return the blocks of a drawing: parts in the file's order, in-line connectors, body."""
    found = []
    for part in circuit.parts:
        if not grounded(circuit, part.name):
            maker = _MAKERS.get(part.spec.sort) or _other
            found.append(maker(circuit, part, flow, metrics))
    for connector in circuit.connectors:
        if connector.inline:
            found.append(_inline(connector, flow, metrics))
    dropped = {wired_node(circuit, w.end) for b in found for w in b.wired}
    dropped |= {wired_node(circuit, w.start) for b in found for w in b.wired}
    sides = {p.node: p.side for b in found for p in b.ports}
    names = [p.name for p in circuit.parts if grounded(circuit, p.name)]
    for name in [*names, BODY]:
        if name not in dropped:
            found.append(_ground(circuit, name, sides, metrics))
    return tuple(found)


def _hint(circuit: Circuit, part: str) -> Hint:
    return next((h for h in circuit.hints if h.part == part), Hint(part))


def _port(circuit: Circuit, part: Part, pin: str, side: Side, row: int) -> Port:
    node = wired_node(circuit, join(part.name, pin))
    cavity = node.partition("@")[0] if "@" in node else ""
    return Port(node, pin, side, row, cavity)


def _shells(ports: Sequence[Port]) -> int:
    return sum(Block("", "", tuple(ports), (), 0, 0, 0).shell(side) for side in (-1, 1))


def _sided(circuit: Circuit, part: Part, flow: Flow, pins: tuple[str, str]) -> tuple[Side, Side]:
    """Return the sides of two terminals; both the same when both are fed or both feed."""
    hint = _hint(circuit, part.name)
    for number, pin in enumerate(pins):
        if pin in hint.left or pin in hint.right:
            left_first = (pin in hint.left) == (number == 0)
            return (-1, 1) if left_first else (1, -1)
    first, second = flow.of(part.name, pins[0]), flow.of(part.name, pins[1])
    if first * second > 0 and part.spec.sort in LOADS:
        return (-1, -1) if first < 0 else (1, 1)
    return (-1, 1) if first <= second else (1, -1)


def _two(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    pins = part.spec.terminals()
    sides = _sided(circuit, part, flow, (pins[0], pins[1]))
    if sides[0] == sides[1]:
        return _bent(circuit, part, sides[0], metrics)
    ports = tuple(_port(circuit, part, p, s, 0) for p, s in zip(pins, sides, strict=True))
    return _straight(part, ports, metrics, SYMBOL)


def _straight(part: Part, ports: tuple[Port, ...], metrics: Metrics, length: int) -> Block:
    """Return a block whose terminals face each other on one row."""
    title, room = title_of(part), metrics.grid
    shells = _shells(ports)
    if metrics.direction == "across":
        lines = wrapped(title, 84, TITLE_SIZE)
        length = max(length, round(widest(lines, TITLE_SIZE)) + 2)
        before, after = metrics.up(15 + 15 * len(lines)), room
    else:
        lines = wrapped(title, 46, TITLE_SIZE)
        before, after = room, metrics.up(18 + widest(lines, TITLE_SIZE))
    return Block(part.name, part.spec.sort, ports, (0,), before, after, length + shells, lines)


def _bent(circuit: Circuit, part: Part, side: Side, metrics: Metrics) -> Block:
    """Return a load with both terminals on one side, the symbol between them."""
    pins = part.spec.terminals()
    ports = tuple(_port(circuit, part, pin, side, row) for row, pin in enumerate(pins))
    lines = wrapped(title_of(part), 60, TITLE_SIZE)
    width = round(widest(lines, TITLE_SIZE)) + 2
    across = metrics.direction == "across"
    before = metrics.up(15 + TITLE_LINE * len(lines)) if across else metrics.grid
    body = max(46, width) if across else 46 + TITLE_LINE * len(lines)
    return Block(
        part.name,
        part.spec.sort,
        ports,
        (0, 2 * metrics.pitch),
        before,
        metrics.grid,
        body + _shells(ports),
        lines,
        stretch=True,
        order="turn",
    )


def _splice(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    sides = _sided(circuit, part, flow, ("in", "out"))
    ports = tuple(
        _port(circuit, part, p, s, 0) for p, s in zip(("in", "out"), sides, strict=True)
    )
    lines, room = (title_of(part),), metrics.grid
    after = room if metrics.direction == "across" else metrics.up(10 + widest(lines, TITLE_SIZE))
    return Block(part.name, "splice", ports, (0,), room, after, 30, lines)


def _battery(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    lines = wrapped(title_of(part), 92, TITLE_SIZE)
    across = metrics.direction == "across"
    wire = _drop_wire(circuit, part)
    ports = [_port(circuit, part, "pos", 1, 0)]
    rows: tuple[int, ...] = (0,)
    after = metrics.up(POST + drop_length(metrics) + 30)
    if wire is None:
        ports.append(_port(circuit, part, "neg", 1, 1))
        rows, after = (0, POST), metrics.grid
    before = metrics.up(15 + TITLE_LINE * len(lines)) if across else metrics.up(30)
    body = max(70, round(widest(lines, TITLE_SIZE)) + 8) if across else 62
    wired = (wire,) if wire else ()
    return Block(part.name, "battery", tuple(ports), rows, before, after, body, lines, wired=wired)


def drop_length(metrics: Metrics) -> int:
    """Return the length of the negative cable that hangs straight from the battery."""
    return 45 if metrics.direction == "across" else 60


def _drop_wire(circuit: Circuit, part: Part) -> Wire | None:
    """Return the battery's negative cable if it alone joins the post to a ground."""
    post = join(part.name, "neg")
    here = [w for w in circuit.wires if post in (w.start, w.end)]
    if len(here) != 1:
        return None
    far = here[0].end if here[0].start == post else here[0].start
    there = [w for w in circuit.wires if far in (w.start, w.end)]
    return here[0] if grounded(circuit, far) and len(there) == 1 else None


def _switch(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    spec = part.spec
    if not isinstance(spec, Switch) or not spec.contacts:
        return _other(circuit, part, flow, metrics)
    first = tuple(dict.fromkeys(c.a for c in spec.contacts))
    second = tuple(t for t in dict.fromkeys(c.b for c in spec.contacts) if t not in first)
    sides: tuple[Side, Side] = (-1, 1)
    if flow.of(part.name, *first) > flow.of(part.name, *second):
        sides = (1, -1)
    hint = _hint(circuit, part.name)
    if set(first) & set(hint.right) or set(second) & set(hint.left):
        sides = (1, -1)
    if len(spec.contacts) == 1:
        ports = tuple(
            _port(circuit, part, p, s, 0) for p, s in zip((*first, *second), sides, strict=True)
        )
        return _straight(part, ports, metrics, SYMBOL)
    levels = {
        **_levels(spec, first),
        **_levels(spec, second),
    }
    rows = sorted({round(x * metrics.pitch) for x in (*levels.values(), *range(len(spec.contacts)))})
    ports = tuple(
        _port(circuit, part, t, side, rows.index(round(levels[t] * metrics.pitch)))
        for group, side in zip((first, second), sides, strict=True)
        for t in group
    )
    inner = 40 + BUS * (len(first) + len(second))
    contacts = tuple(rows.index(n * metrics.pitch) for n in range(len(spec.contacts)))
    return replace(_housed(part, ports, tuple(rows), inner, metrics), contacts=contacts)


def _levels(spec: Switch, terminals: tuple[str, ...]) -> dict[str, float]:
    """Return where terminals lie among the contacts, counted in contacts, one apart."""
    wish = {
        t: [n for n, c in enumerate(spec.contacts) if t in (c.a, c.b)] for t in terminals
    }
    ordered = sorted(terminals, key=lambda t: sum(wish[t]) / len(wish[t]))
    found: dict[str, float] = {}
    least = -1.0
    for number, terminal in enumerate(ordered):
        room = len(spec.contacts) - len(ordered) + number
        level = max(least + 1, min(sum(wish[terminal]) / len(wish[terminal]), room))
        found[terminal] = least = round(level * 2) / 2
    return found


def _housed(
    part: Part, ports: tuple[Port, ...], rows: tuple[int, ...], inner: int, metrics: Metrics
) -> Block:
    """Return a block with a dashed housing around more than one contact."""
    across = metrics.direction == "across"
    lines = wrapped(title_of(part), 110 if across else 72, TITLE_SIZE)
    width = round(widest(lines, TITLE_SIZE)) + 2
    before = metrics.up(19 + TITLE_LINE * len(lines)) if across else metrics.up(24)
    after = metrics.grid * 2 if across else metrics.up(HOUSING["down"] + 6 + width)
    length = max(inner, width) if across else inner
    return Block(
        part.name,
        part.spec.sort,
        ports,
        rows,
        before,
        after,
        length + _shells(ports),
        lines,
        order="turn",
    )


def _relay(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    coil = _sided(circuit, part, flow, ("86", "85"))
    contact = _sided(circuit, part, flow, ("30", "87"))
    pitch = metrics.pitch
    has_break = "87a" in part.spec.terminals()
    rows = (0, pitch, 3 * pitch) if has_break else (0, 2 * pitch)
    ports = [
        _port(circuit, part, "30", contact[0], 0),
        _port(circuit, part, "87", contact[1], 0),
    ]
    if has_break:
        ports.append(_port(circuit, part, "87a", contact[1], 1))
    ports.append(_port(circuit, part, "86", coil[0], len(rows) - 1))
    ports.append(_port(circuit, part, "85", coil[1], len(rows) - 1))
    return replace(_housed(part, tuple(ports), rows, 96, metrics), stretch=True)


def _other(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    """Return a box: a controller, or any part with more than two terminals."""
    if len(part.spec.terminals()) == 2:
        return _two(circuit, part, flow, metrics)
    across = metrics.direction == "across"
    ports: list[Port] = []
    rows: list[int] = []
    words: dict[Side, list[tuple[str, ...]]] = {-1: [], 1: []}
    level: dict[Side, int] = {-1: 0, 1: 0}
    for side, group in _box_groups(circuit, part, flow):
        if level[side]:
            level[side] += metrics.grid
        for node, pin, cavity, label in group:
            ports.append(Port(node, pin, side, len(rows), cavity, label))
            rows.append(level[side])
            level[side] += metrics.box_pitch
            words[side].append(wrapped(label, 66 if across else 54, NOTE_SIZE))
    lines = wrapped(title_of(part), 150, TITLE_SIZE)
    length = sum(_words_length(w, across=across) for w in words.values() if w)
    title = round(widest(lines, TITLE_SIZE)) + 4 if across else 0
    length = max(length + 12 if across else length + 10 + TITLE_LINE * len(lines), title, 60)
    return Block(
        part.name,
        "box",
        tuple(ports),
        tuple(rows),
        metrics.up(15 + TITLE_LINE * len(lines)) if across else metrics.up(40),
        metrics.grid if across else metrics.up(34),
        length + _shells(ports),
        lines,
        stretch=True,
    )


def _words_length(words: list[tuple[str, ...]], *, across: bool) -> int:
    if across:
        return round(max(widest(w, NOTE_SIZE) for w in words)) + 22
    return NOTE_LINE * (max(len(w) for w in words) + 1) + 8


def _box_groups(
    circuit: Circuit, part: Part, flow: Flow
) -> list[tuple[Side, list[tuple[str, str, str, str]]]]:
    """Return ``(side, [(node, pin, cavity, words)])`` for each connector and loose terminal."""
    hint = _hint(circuit, part.name)
    groups: list[tuple[Side, list[tuple[str, str, str, str]]]] = []
    plugged: set[str] = set()
    for connector in circuit.plugged_in(part.name):
        group = []
        for number, pin in enumerate(connector.pins, start=1):
            node = connector.face(number, connector.faces[0])
            cavity = f"{connector.name}.{number}"
            group.append((node, pin, cavity, connector.labels[number - 1]))
            plugged.add(pin)
        total = sum(flow.by_node.get(node, 0) for node, *_ in group)
        groups.append((_box_side(hint, connector.name, total), group))
    for pin in part.spec.terminals():
        if pin not in plugged:
            node = join(part.name, pin)
            side = _box_side(hint, pin, flow.of(part.name, pin))
            groups.append((side, [(node, pin, "", part.spec.terminal_title(pin))]))
    return groups


def _box_side(hint: Hint, name: str, total: int) -> Side:
    if name in hint.left or name in hint.right:
        return -1 if name in hint.left else 1
    return -1 if total <= 0 else 1


def _inline(connector: Connector, flow: Flow, metrics: Metrics) -> Block:
    near, far = connector.faces
    total = sum(flow.by_node.get(connector.face(n, near), 0) for n in connector.cavities())
    sides: tuple[Side, Side] = (-1, 1) if total <= 0 else (1, -1)
    ports = tuple(
        Port(connector.face(n, face), str(n), side, n - 1)
        for face, side in zip((near, far), sides, strict=True)
        for n in connector.cavities()
    )
    rows = tuple(n * metrics.pitch for n in range(len(connector.labels)))
    across = metrics.direction == "across"
    name = text_width(connector.name, TITLE_SIZE)
    return Block(
        connector.name,
        "inline",
        ports,
        rows,
        2 * metrics.grid if across else metrics.grid,
        metrics.grid if across else metrics.up(18 + name),
        60,
        (connector.name,),
        stretch=True,
        order="free",
    )


def _ground(
    circuit: Circuit, name: str, sides: dict[str, Side], metrics: Metrics
) -> Block:
    wires = [w for w in circuit.wires if name in (w.start, w.end)]
    ends = [wired_node(circuit, w.start if w.end == name else w.end) for w in wires]
    total = sum(sides.get(node, 1) for node in ends)
    side: Side = -1 if total >= 0 else 1
    words = "Body" if name == BODY else name
    width = text_width(words, TITLE_SIZE)
    port = Port(name, "", side, 0)
    if metrics.direction == "across":
        before, after, length = metrics.grid, metrics.up(28), round(max(28, 12 + width))
    else:
        inset = 0 if side < 0 else 20
        before, after, length = metrics.grid, metrics.up(inset + 16 + width), 30
    return Block(name, "ground", (port,), (0,), before, after, length, (words,))


_MAKERS: dict[str, Callable[[Circuit, Part, Flow, Metrics], Block]] = {
    "battery": _battery,
    "fuse": _two,
    "splice": _splice,
    "switch": _switch,
    "relay": _relay,
    **dict.fromkeys(LOADS, _two),
}


"""Blocks of parts with more than two terminals: switches, relays, controllers."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from circuits.drafting.flow import Flow
from circuits.drafting.ports import hint_of, port_of, shells, sides_of, straight
from circuits.drafting.shapes import (
    BUS,
    HOUSING,
    NOTE_LINE,
    NOTE_SIZE,
    TITLE_LINE,
    TITLE_SIZE,
    Block,
    Metrics,
    Port,
    Side,
    text_width,
    title_of,
    widest,
    wrapped,
)
from circuits.model import Circuit, Hint, Part
from circuits.parts.switching import Switch
from circuits.spec import join

ARM_ROOM = 44
"""The length of a contact with its terminals, between the lines inside a switch."""
NUMBER_INSET = 18
WORDS_WIDTH = {"across": 66, "down": 54}
"""The width at which a cavity's words are wrapped."""
INSIDE = {"lamp cluster": 42}
"""Room along in a box for what is drawn inside it, by the trade's name of the part."""


def switch(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    """Return a switch: one contact on a row, or several in a housing, a row each."""
    spec = part.spec
    if not isinstance(spec, Switch) or not spec.contacts:
        return box(circuit, part, flow, metrics)
    firsts = tuple(dict.fromkeys(c.a for c in spec.contacts))
    seconds = tuple(t for t in dict.fromkeys(c.b for c in spec.contacts) if t not in firsts)
    groups = (firsts, seconds)
    sides = _switch_sides(circuit, part, flow, groups)
    if len(spec.contacts) == 1:
        pins = (*firsts, *seconds)
        ports = [port_of(circuit, part, p, s, 0) for p, s in zip(pins, sides, strict=True)]
        return straight(part, tuple(ports), metrics)
    bare = [t for t in (*firsts, *seconds) if not port_of(circuit, part, t, -1, 0).cavity]
    pitch = metrics.pitch
    if metrics.direction == "down" and bare:
        wide = max(text_width(t, NOTE_SIZE) for t in bare) + 10
        # Half of it must still be on the grid.
        pitch = max(pitch, 2 * metrics.up(wide / 2))
    levels = {**_levels(spec, firsts), **_levels(spec, seconds)}
    contacts = [n * pitch for n in range(len(spec.contacts))]
    rows = sorted({round(level * pitch) for level in levels.values()} | set(contacts))
    ports = [
        port_of(circuit, part, t, side, rows.index(round(levels[t] * pitch)))
        for group, side in zip(groups, sides, strict=True)
        for t in group
    ]
    insets = _insets(ports, metrics)
    inner = ARM_ROOM + BUS * (len(firsts) + len(seconds) - 2) + sum(insets)
    made = _housed(part, tuple(ports), tuple(rows), inner, metrics)
    return replace(made, contacts=tuple(rows.index(row) for row in contacts), insets=insets)


def _switch_sides(
    circuit: Circuit, part: Part, flow: Flow, groups: tuple[tuple[str, ...], tuple[str, ...]]
) -> tuple[Side, Side]:
    hint = hint_of(circuit, part.name)
    firsts, seconds = groups
    if set(firsts) & set(hint.right) or set(seconds) & set(hint.left):
        return (1, -1)
    turned = flow.of(part.name, *firsts) > flow.of(part.name, *seconds)
    return (1, -1) if turned and not set(firsts) & set(hint.left) else (-1, 1)


def _levels(spec: Switch, terminals: tuple[str, ...]) -> dict[str, float]:
    """Return where terminals lie among the contacts, counted in contacts, one apart.

    A terminal is level with a contact only if the contact is its own: another's lead would
    run along its own.
    """
    uses = {t: [n for n, c in enumerate(spec.contacts) if t in (c.a, c.b)] for t in terminals}
    wish = {t: sum(used) / len(used) for t, used in uses.items()}
    halves = [n + 0.5 for n in range(-1, len(spec.contacts) + len(terminals))]
    found: dict[str, float] = {}
    least = -0.5
    for number, terminal in enumerate(sorted(terminals, key=lambda t: wish[t])):
        greatest = len(spec.contacts) - len(terminals) + number
        allowed = [x for x in (*uses[terminal], *halves) if x >= least]
        allowed = [x for x in allowed if x <= greatest] or allowed
        outward = -1 if number else 1
        level = min(allowed, key=lambda x: (abs(x - wish[terminal]), outward * x))
        found[terminal] = level
        least = level + 1
    return found


def _insets(ports: list[Port], metrics: Metrics) -> tuple[int, int]:
    """Return the room for terminal names on the near and the far side."""
    return _inset(ports, -1, metrics), _inset(ports, 1, metrics)


def _inset(ports: list[Port], side: Side, metrics: Metrics) -> int:
    bare = [p.pin for p in ports if p.side == side and not p.cavity]
    if not bare or metrics.direction == "down":
        return NUMBER_INSET + (6 if bare else 0)
    return max(NUMBER_INSET, round(max(text_width(t, NOTE_SIZE) for t in bare)) + 14)


def _housed(
    part: Part, ports: tuple[Port, ...], rows: tuple[int, ...], inner: int, metrics: Metrics
) -> Block:
    """Return a block with a dashed housing around more than one contact."""
    across = metrics.direction == "across"
    lines = wrapped(title_of(part), 110 if across else 72, TITLE_SIZE)
    width = round(widest(lines, TITLE_SIZE)) + 2
    first = last = HOUSING[metrics.direction]
    if not across:
        # Names stand on the right of their leads.
        names = [text_width(p.pin, NOTE_SIZE) for p in ports if not p.cavity]
        last = max(last, math.ceil(max(names, default=0)) + 8)
    return Block(
        part.name,
        part.spec.sort,
        ports,
        rows,
        before=metrics.up(first + 2 + TITLE_LINE * len(lines)) if across else metrics.up(first),
        after=metrics.up(last) if across else metrics.up(last + 6 + width),
        length=(max(inner, width) if across else inner) + shells(ports),
        title=lines,
        order="turn",
        housing=(first, last),
    )


def relay(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    """Return a relay: its contact on one row, its coil on another."""
    coil = sides_of(circuit, part, flow, ("86", "85"))
    contact = sides_of(circuit, part, flow, ("30", "87"))
    pitch = metrics.pitch
    breaks = "87a" in part.spec.terminals()
    rows = (0, pitch, 3 * pitch) if breaks else (0, 2 * pitch)
    last = len(rows) - 1
    wanted = [("30", contact[0], 0), ("87", contact[1], 0), ("86", coil[0], last)]
    wanted += [("85", coil[1], last), *([("87a", contact[1], 1)] if breaks else [])]
    ports = tuple(port_of(circuit, part, *where) for where in wanted)
    return replace(_housed(part, ports, rows, 100, metrics), stretch=True)


@dataclass(frozen=True, slots=True)
class _Pin:
    """A cavity or a bare terminal of a box, with the words for it."""

    node: str
    name: str
    cavity: str
    words: str


def box(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    """Return a box with its cavities in their order: a controller, or any other part."""
    across = metrics.direction == "across"
    ports: list[Port] = []
    rows: list[int] = []
    level: dict[Side, int] = {-1: 0, 1: 0}
    for side, pins in _groups(circuit, part, flow):
        if level[side]:
            level[side] += metrics.grid
        for pin in pins:
            ports.append(Port(pin.node, pin.name, side, len(rows), pin.cavity, pin.words))
            rows.append(level[side])
            level[side] += metrics.box_pitch
    lines = wrapped(title_of(part), 150, TITLE_SIZE)
    high = TITLE_LINE * len(lines)
    title = round(widest(lines, TITLE_SIZE)) + 4 if across else 0
    words = sum(words_length(ports, side, metrics) for side in (-1, 1))
    words += INSIDE.get(part.spec.sort, 0) if across else 0
    return Block(
        part.name,
        "box",
        tuple(ports),
        tuple(rows),
        before=metrics.up(15 + high) if across else metrics.up(40),
        after=metrics.grid if across else metrics.up(34),
        length=max(words + (12 if across else 10 + high), title, 60) + shells(ports),
        title=lines,
        stretch=True,
    )


def words_length(ports: Sequence[Port], side: int, metrics: Metrics) -> int:
    """Return the length along that the words on one side of a box take."""
    words = [words_of(port, metrics) for port in ports if port.side == side]
    if not words:
        return 0
    if metrics.direction == "across":
        return round(max(widest(lines, NOTE_SIZE) for lines in words)) + 22
    return NOTE_LINE * (max(len(lines) for lines in words) + 1) + 8


def words_of(port: Port, metrics: Metrics) -> tuple[str, ...]:
    """Return the words at a cavity or terminal of a box, in lines."""
    return wrapped(port.words, WORDS_WIDTH[metrics.direction], NOTE_SIZE)


def _groups(circuit: Circuit, part: Part, flow: Flow) -> Iterator[tuple[Side, list[_Pin]]]:
    """Yield a box's connectors and its bare terminals with the side they face."""
    hint = hint_of(circuit, part.name)
    plugged: set[str] = set()
    for connector in circuit.plugged_in(part.name):
        pins = []
        for number, (pin, words) in enumerate(
            zip(connector.pins, connector.labels, strict=True), start=1
        ):
            node = connector.face(number, connector.faces[0])
            pins.append(_Pin(node, pin, f"{connector.name}.{number}", words))
            plugged.add(pin)
        total = sum(flow.by_node.get(pin.node, 0) for pin in pins)
        yield _side(hint, connector.name, total), pins
    for name in part.spec.terminals():
        if name not in plugged:
            words = part.spec.terminal_title(name).replace("_", " ")
            bare = _Pin(join(part.name, name), name, "", words)
            yield _side(hint, name, flow.of(part.name, name)), [bare]


def _side(hint: Hint, name: str, total: int) -> Side:
    if name in hint.left or name in hint.right:
        return -1 if name in hint.left else 1
    return -1 if total <= 0 else 1

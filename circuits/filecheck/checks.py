"""What the entries of a circuit say of each other: names, places, terminals, connectors.

Each check yields a sentence per problem. They decide what is joined to what, so the graph
checks wait until none of them finds anything.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import chain

from circuits.filecheck.draft import UNREAD, Draft, problem, shown, unknown
from circuits.filecheck.terminals import Terminals
from circuits.model import Connector, Part
from circuits.spec import BODY, Circumstance

NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
TERMINAL = re.compile(r"[A-Za-z0-9][A-Za-z0-9_]*")
MAX_NAME = 40
MAX_CAVITIES = 60
MAX_POSITIONS = 24


def structure(draft: Draft) -> Iterator[str]:
    """Yield what is wrong with names and with what names what."""
    bad_names = any(not _good_name(named.name) for named in draft.names)
    # What names an entry whose own name must change first is not judged yet.
    named, draft = draft, replace(draft, nameless=draft.nameless or bad_names)
    return chain(
        _names(named),
        _places(draft),
        _parts(draft),
        _connectors(draft),
        _pins(draft),
        _wire_ends(draft),
        _live_wire(draft),
    )


def _good_name(name: str) -> bool:
    return bool(NAME.fullmatch(name)) and len(name) <= MAX_NAME and name != BODY


def _names(draft: Draft) -> Iterator[str]:
    first: dict[tuple[bool, str], str] = {}
    for named in draft.names:
        if named.name == BODY:
            yield f"{named.where} > name: {BODY} is the vehicle's body; accepted: another name"
        elif not _good_name(named.name):
            wanted = f"a letter, then letters, digits and _, up to {MAX_NAME}"
            yield problem(f"{named.where} > name", named.name, wanted)
        key = (named.table == "places", named.name)
        if key in first:
            wanted = f"a name that nothing else has, and {first[key]} has this one"
            yield problem(f"{named.where} > name", named.name, wanted)
        first.setdefault(key, named.where)


def _places(draft: Draft) -> Iterator[str]:
    known = draft.circuit.place_by_name
    for table in ("parts", "connectors"):
        for where, entry in draft.entries(table):
            if entry.place not in known and not draft.in_doubt(entry.place):
                yield unknown(f"{where} > place", entry.place, known)


def _parts(draft: Draft) -> Iterator[str]:
    known = draft.circuit.part_by_name
    for where, part in draft.entries("parts"):
        yield from (f"{where}: {what}" for what in _inner(part))
        followed = part.spec.follows()
        if followed and followed not in known and not draft.in_doubt(followed):
            yield unknown(f"{where} > follows", followed, known)


def _inner(part: Part) -> Iterator[str]:
    """Yield what is wrong within a part: its terminals, its contacts, its elements."""
    terminals = part.spec.terminals()
    if not terminals:
        yield "found no terminals; accepted: at least one contact"
    for terminal, times in Counter(terminals).items():
        if times > 1:
            yield f"terminal {shown(terminal)} is there {times} times; accepted: once"
        if terminal and not TERMINAL.fullmatch(terminal):
            yield f"terminal {shown(terminal)}; accepted: letters, digits and _"
    positions = getattr(part.spec, "positions", ())
    for position, times in Counter(positions).items():
        if times > 1 or not position:
            yield f"positions: found {shown(position)} {times} times; accepted: each named once"
    if len(positions) > MAX_POSITIONS:
        yield problem("positions", positions, f"up to {MAX_POSITIONS}")
    else:
        yield from _elements(part, positions)


def _elements(part: Part, positions: Iterable[str]) -> Iterator[str]:
    told = set()
    for position in ("", *positions):
        try:
            elements = part.spec.elements(part.name, Circumstance(position=position))
        except ArithmeticError:
            yield "its numbers cannot be computed with; accepted: usual sizes"
            return
        names = Counter(element.name for element in elements)
        told |= {f"{shown(n)} is there twice; accepted: once" for n in names if names[n] > 1}
        for element in elements:
            if element.a == element.b:
                told.add(f"{shown(element.name)} joins {element.a} to itself; accepted: two ends")
    yield from sorted(told)


def _connectors(draft: Draft) -> Iterator[str]:
    for where, connector in draft.entries("connectors"):
        first, second = connector.faces
        if first == second:
            yield problem(f"{where} > faces", first, "two names that differ")
        for face in connector.faces:
            if not NAME.fullmatch(face):
                yield problem(f"{where} > faces", face, "a letter, then letters, digits and _")
        if not 0 < len(connector.labels) <= MAX_CAVITIES:
            yield problem(f"{where} > labels", connector.labels, f"1 to {MAX_CAVITIES} labels")
        yield from _pin_count(where, connector)
        if not connector.inline:
            yield from _plug(draft, where, connector)


def _pin_count(where: str, connector: Connector) -> Iterator[str]:
    wanted = f"as many as labels, {len(connector.labels)}"
    if connector.inline:
        wanted = "no pins in an in-line connector, or the part that it plugs into"
    if len(connector.pins) != (0 if connector.inline else len(connector.labels)):
        yield problem(f"{where} > pins", connector.pins, wanted)


def _plug(draft: Draft, where: str, connector: Connector) -> Iterator[str]:
    if connector.part not in draft.circuit.part_by_name:
        if not draft.in_doubt(connector.part):
            yield unknown(f"{where} > part", connector.part, draft.circuit.part_by_name)
        return
    terminals = draft.circuit.part_by_name[connector.part].spec.terminals()
    for number, pin in enumerate(connector.pins, start=1):
        if pin and pin not in terminals:
            yield unknown(f"{where} > pins > no. {number}", pin, terminals)
    if connector.pins and not any(connector.pins):
        yield f"{where} > pins: found only spares; accepted: a terminal of {connector.part}"


def _pins(draft: Draft) -> Iterator[str]:
    first: dict[tuple[str, str], str] = {}
    for where, connector in draft.entries("connectors"):
        for number, pin in enumerate(connector.pins, start=1):
            key = (connector.part, pin)
            if pin and connector.part and key in first:
                wanted = f"a terminal that is plugged once, and {first[key]} has this one"
                yield problem(f"{where} > pins > no. {number}", pin, wanted)
            first.setdefault(key, f"{connector.name} cavity {number}")


def _wire_ends(draft: Draft) -> Iterator[str]:
    terminals = Terminals.of(draft.circuit)
    for where, wire in draft.entries("wires"):
        wrong = False
        for key, end in (("start", wire.start), ("end", wire.end)):
            if end not in terminals.wired and not draft.in_doubt(end):
                wrong = True
                yield terminals.refuse(f"{where} > {key}", end)
        node = draft.circuit.node
        if not wrong and node(wire.start) == node(wire.end):
            yield problem(f"{where} > end", wire.end, f"another terminal than {wire.start}")


def _live_wire(draft: Draft) -> Iterator[str]:
    found = draft.circuit.live_wire
    terminals = Terminals.of(draft.circuit)
    if found != UNREAD and found not in terminals.wired and not draft.in_doubt(found):
        yield terminals.refuse("live_wire", found)

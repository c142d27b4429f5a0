"""What the entries of a circuit say of each other: names, places, terminals, connectors.

Each check yields a sentence per problem. Those in ``STRUCTURE`` decide what is joined to
what: the graph checks wait until they are content. Those in ``VALUES`` do not matter there.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import chain, pairwise

from circuits.filecheck.draft import Draft, problem, shown, unknown
from circuits.filecheck.terminals import Terminals
from circuits.model import Connector, Hint, Part
from circuits.spec import BODY, Circumstance

NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
TERMINAL = re.compile(r"[A-Za-z0-9][A-Za-z0-9_]*")
MAX_NAME = 40
MAX_CAVITIES = 60


def structure(draft: Draft) -> Iterator[str]:
    """Yield what is wrong with names and with what names what."""
    return chain(
        _names(draft),
        _places(draft),
        _parts(draft),
        _connectors(draft),
        _pins(draft),
        _wire_ends(draft),
        _live_wire(draft),
    )


def _names(draft: Draft) -> Iterator[str]:
    first: dict[tuple[bool, str], str] = {}
    for named in draft.names:
        if named.name == BODY:
            yield f"{named.where} > name: {BODY} is the vehicle's body; accepted: another name"
        elif not NAME.fullmatch(named.name) or len(named.name) > MAX_NAME:
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
    for where, part in draft.entries("parts"):
        yield from (f"{where}: {what}" for what in _inner(part))


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
    if found and found not in terminals.wired and not draft.in_doubt(found):
        yield terminals.refuse("live_wire", found)


def values(draft: Draft) -> Iterator[str]:
    """Yield what is wrong with sizes, colours, titles, bundles and hints."""
    return chain(_titles(draft), _sizes(draft), _colours(draft), _bundles(draft), _hints(draft))


def _titles(draft: Draft) -> Iterator[str]:
    circuit = draft.circuit
    lines = [("title", circuit.title, 80), ("summary", circuit.summary, 400)]
    for table in ("places", "parts", "connectors"):
        lines += [(f"{where} > title", entry.title, 80) for where, entry in draft.entries(table)]
    for where, connector in draft.entries("connectors"):
        for number, label in enumerate(connector.labels, start=1):
            lines.append((f"{where} > labels > no. {number}", label, 60))
    for where, line, longest in lines:
        if not line or len(line) > longest or "\n" in line:
            yield problem(where, line, f"one line of 1 to {longest} characters")


def _sizes(draft: Draft) -> Iterator[str]:
    for where, place in draft.entries("places"):
        yield from _within(f"{where} > minutes", place.minutes, 0, 600)
    for where, connector in draft.entries("connectors"):
        yield from _within(f"{where} > columns", connector.columns, 1, MAX_CAVITIES)
    for where, wire in draft.entries("wires"):
        yield from _size(f"{where} > area_mm2", wire.area_mm2, 0.05, 300)
        # Below a centimetre a wire is a joint: it would be shorter than its own terminals.
        yield from _size(f"{where} > length_m", wire.length_m, 0.01, 200)
    for where, hint in draft.entries("hints"):
        yield from _within(f"{where} > rank", hint.rank or 0, 0, 400)
        yield from _within(f"{where} > row", hint.row or 0.0, -400, 400)


def _size(where: str, found: float, least: float, most: float) -> Iterator[str]:
    if found <= 0:
        yield problem(where, found, "above 0")
    else:
        yield from _within(where, found, least, most)


def _within(where: str, found: float, least: float, most: float) -> Iterator[str]:
    if not least <= found <= most:
        yield problem(where, found, f"{least:g} to {most:g}")


COLOURS = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR")
"""The letter codes of IEC 60757:2021, as quoted in an extract."""


def _colours(draft: Draft) -> Iterator[str]:
    for where, wire in draft.entries("wires"):
        found = wire.colour
        codes = [found[:2], found[2:]] if len(found) > 2 else [found]
        if set(codes) == {"GN", "YE"}:
            wanted = "other codes: GNYE is kept for protective conductors"
        elif not set(codes) <= set(COLOURS):
            wanted = f"one or two codes of {', '.join(COLOURS)}"
        elif len(set(codes)) < len(codes):
            wanted = f"{codes[0]}, or two codes that differ"
        else:
            continue
        yield problem(f"{where} > colour", found, wanted)


def _bundles(draft: Draft) -> Iterator[str]:
    known = draft.circuit.wire_by_name
    for where, wires in draft.entries("bundles"):
        for number, wire in enumerate(wires, start=1):
            if wire not in known and not draft.in_doubt(wire):
                yield unknown(f"{where} > wires > no. {number}", wire, known)
        if len(wires) < 2:
            yield problem(f"{where} > wires", wires, "two wires or more")
        if any(a == b for a, b in pairwise(sorted(wires))):
            yield f"{where} > wires: found a wire twice; accepted: each once"


def _hints(draft: Draft) -> Iterator[str]:
    circuit = draft.circuit
    inline = {connector.name: () for connector in circuit.connectors if connector.inline}
    known = {**{part.name: Terminals.sides(circuit, part) for part in circuit.parts}, **inline}
    seen = set()
    for where, hint in draft.entries("hints"):
        if hint.part in seen:
            yield problem(f"{where} > part", hint.part, "one hint for each part")
        seen.add(hint.part)
        if hint.part in known:
            yield from _sides(where, hint, known[hint.part])
        elif not draft.in_doubt(hint.part):
            yield unknown(f"{where} > part", hint.part, known)


def _sides(where: str, hint: Hint, known: tuple[str, ...]) -> Iterator[str]:
    for key, side in (("left", hint.left), ("right", hint.right)):
        for name in side:
            if name not in known:
                yield unknown(f"{where} > {key}", name, known)
            elif key == "right" and name in hint.left:
                yield problem(f"{where} > {key}", name, "each terminal on one side")

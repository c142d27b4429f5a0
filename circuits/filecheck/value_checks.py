"""What the entries of a circuit say that has no bearing on what is joined to what."""

from collections.abc import Iterator
from itertools import chain, pairwise

from circuits.filecheck.draft import NAMED_TABLES, Draft, problem, unknown
from circuits.filecheck.terminals import Terminals
from circuits.model import Hint

MAX_CAVITIES = 60

MOST_UNSURE = 0.6
"""What is less sure than that says nothing: with three parts in five either way, a value may
be four times another."""


def values(draft: Draft) -> Iterator[str]:
    """Yield what is wrong with sizes, colours, titles, bundles, mirror, unsure and hints."""
    return chain.from_iterable(
        check(draft) for check in (_titles, _sizes, _colours, _bundles, _mirror, _unsure, _hints)
    )


def _titles(draft: Draft) -> Iterator[str]:
    circuit = draft.circuit
    yield from _within("lesson", circuit.lesson, 0, 999)
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
            wanted = "codes other than GNYE, which is kept for protective conductors"
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


def _mirror(draft: Draft) -> Iterator[str]:
    circuit, seen = draft.circuit, set[str]()
    names = [entry.name for table in ("places", *NAMED_TABLES) for _, entry in draft.entries(table)]
    known = {
        *names,
        *(f"{c.name}.{number}" for c in circuit.connectors for number in c.cavities()),
        *(word for name in names for word in name.split("_")),
    }
    for where, pair in draft.entries("mirror"):
        for number, name in enumerate(pair, start=1):
            if name in seen:
                yield problem(f"{where} > pair > no. {number}", name, "each name once")
            elif name not in known and not draft.in_doubt(name):
                yield unknown(f"{where} > pair > no. {number}", name, known)
            seen.add(name)


def _unsure(draft: Draft) -> Iterator[str]:
    circuit, seen = draft.circuit, set[str]()
    known = {*(part.name for part in circuit.parts), *(wire.name for wire in circuit.wires)}
    for where, one in draft.entries("unsure"):
        if one.name in seen:
            yield problem(f"{where} > name", one.name, "each name once")
        elif one.name not in known and not draft.in_doubt(one.name):
            yield unknown(f"{where} > name", one.name, known)
        seen.add(one.name)
        yield from _within(f"{where} > share", one.share, 0.0, MOST_UNSURE)


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

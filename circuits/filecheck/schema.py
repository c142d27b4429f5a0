"""Plain data to a ``Draft``: keys and types of every entry, told all at once.

Pydantic builds the frozen classes of ``circuits.model`` and ``circuits.parts`` strictly: a
number in quotes is refused, so is a key that the class lacks. No other module uses it.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from circuits.filecheck.draft import (
    NAMED_TABLES,
    TABLES,
    UNREAD,
    Draft,
    Named,
    cut,
    entry_place,
    problem,
    shown,
)
from circuits.filecheck.field_words import accepted, field_names, limits, type_at
from circuits.filecheck.plain_data import Loc, Told, place_of, plain, value_at
from circuits.model import Circuit, Connector, Hint, Part, Place, Unsure, Views, Wire
from circuits.parts.kinds import KINDS
from circuits.points import nearest

MAX_TOLD = 12
"""Problems told of one entry at most: a stranger's file may hold ten thousand keys."""

NO_VIEWS = Views()
NEEDED = ("places", "parts", "wires")


@dataclass(frozen=True, slots=True)
class Heading:
    """The keys of a circuit file outside its tables."""

    title: str
    summary: str
    live_wire: str
    lesson: int = 0
    views: Views = NO_VIEWS


@dataclass(frozen=True, slots=True)
class PartHeading:
    """The keys that every part has, whatever its kind."""

    name: str
    title: str
    place: str
    kind: str
    short: str = ""


@dataclass(frozen=True, slots=True)
class Bundle:
    """An entry of ``bundles``."""

    wires: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Mirror:
    """An entry of ``mirror``."""

    pair: tuple[str, str]


ROWS: Mapping[str, type] = {
    "places": Place,
    "connectors": Connector,
    "wires": Wire,
    "bundles": Bundle,
    "mirror": Mirror,
    "unsure": Unsure,
    "hints": Hint,
}


@dataclass(frozen=True, slots=True)
class Row:
    """An entry of a table: where it stands, its name if it has one, what was read of it."""

    table: str
    where: str
    name: str
    value: Any = None
    """None where the entry could not be read."""


@dataclass(frozen=True, slots=True)
class Source:
    """The data as found and as cleaned, and the places that cleaning has told of."""

    found: Mapping[str, Any]
    clean: Mapping[str, Any]
    told: frozenset[Loc]

    def sentences(self, errors: Told, base: Loc) -> Iterator[str]:
        """Yield the sentences of errors below a place, but for what was told before."""
        for loc, what in errors:
            full = (*base, *loc)
            if not any(full[:steps] in self.told for steps in range(len(full) + 1)):
                yield f"{place_of(full, self.found)}: {what}"


def draft_from(data: Mapping[str, Any], *, name: str) -> tuple[Draft, list[str]]:
    """Return what can be read of a circuit file's data, and a sentence per problem."""
    told: Told = []
    clean = plain(data, (), told)
    source = Source(data, clean, frozenset(loc for loc, _ in told))
    problems = [f"{place_of(loc, data)}: {what}" for loc, what in told]
    rest = {key: value for key, value in clean.items() if key not in TABLES}
    heading, errors = _built(Heading, rest, more_keys=TABLES)
    problems += source.sentences(errors, ())
    rows: dict[str, list[Row]] = {}
    for table in TABLES:
        rows[table], more = _table(table, source)
        problems += more
    heading = heading or _unread(rest)
    return _draft(heading, rows, name), problems


def _unread(rest: Mapping[str, Any]) -> Heading:
    """Return a heading of what can be read; what cannot has been told, and is not again."""
    title, summary, live_wire = (
        rest[key] if isinstance(rest.get(key), str) else UNREAD
        for key in ("title", "summary", "live_wire")
    )
    return Heading(title, summary, live_wire)


def _draft(heading: Heading, rows: Mapping[str, list[Row]], name: str) -> Draft:
    good = {table: [row for row in rows[table] if row.value is not None] for table in TABLES}
    kept = {table: tuple(row.value for row in good[table]) for table in TABLES}
    circuit = Circuit(
        name=name,
        title=heading.title,
        summary=heading.summary,
        places=kept["places"],
        parts=kept["parts"],
        connectors=kept["connectors"],
        wires=kept["wires"],
        live_wire=heading.live_wire,
        lesson=heading.lesson,
        bundles=tuple(bundle.wires for bundle in kept["bundles"]),
        mirror=tuple(entry.pair for entry in kept["mirror"]),
        unsure=kept["unsure"],
        views=heading.views,
        hints=kept["hints"],
    )
    named = [row for table in ("places", *NAMED_TABLES) for row in rows[table]]
    broken = [row for row in named if row.value is None]
    return Draft(
        circuit=circuit,
        where={table: tuple(row.where for row in good[table]) for table in TABLES},
        names=tuple(Named(row.table, row.where, row.name) for row in named if row.name),
        doubtful=frozenset(row.name for row in broken),
        nameless=any(not row.name for row in broken) or not all(rows[t] for t in NEEDED),
    )


def _table(table: str, source: Source) -> tuple[list[Row], list[str]]:
    found = source.clean.get(table, [])
    if (table,) in source.told:
        return [], []
    if not isinstance(found, list):
        return [], [problem(table, found, "a list of tables")]
    if not found and table in NEEDED:
        return [], [f"{table}: missing; accepted: at least one entry"]
    rows: list[Row] = []
    problems: list[str] = []
    for index, entry in enumerate(found):
        value, errors = _entry(table, entry)
        problems += source.sentences(errors, (table, index))
        name = entry.get("name") if isinstance(entry, dict) else None
        name = name if isinstance(name, str) else ""
        rows.append(Row(table, entry_place(table, index + 1, name), name, value))
    return rows, problems


def _entry(table: str, entry: Any) -> tuple[Any, Told]:
    if not isinstance(entry, dict):
        return None, [((), f"found {shown(entry)}; accepted: a table")]
    return _part(entry) if table == "parts" else _built(ROWS[table], entry)


def _part(entry: Mapping[str, Any]) -> tuple[Part | None, Told]:
    common = field_names(PartHeading)
    own = {key: value for key, value in entry.items() if key not in common}
    heading, told = _built(PartHeading, {k: v for k, v in entry.items() if k in common})
    kind = entry.get("kind")
    if "kind" not in entry:
        return None, [(loc, _listing_kinds(loc, what)) for loc, what in told]
    if not isinstance(kind, str):
        return None, told
    if kind not in KINDS:
        return None, [*told, (("kind",), f"found {shown(kind)}{nearest(cut(kind), KINDS)}")]
    spec, more = _built(KINDS[kind], own, more_keys=common)
    if heading is None or spec is None:
        return None, told + more
    return Part(heading.name, heading.title, heading.place, spec, heading.short), told + more


def _listing_kinds(loc: Loc, what: str) -> str:
    return f"missing; accepted: {', '.join(sorted(KINDS))}" if loc == ("kind",) else what


def _built(cls: type, row: Mapping[str, Any], more_keys: tuple[str, ...] = ()) -> tuple[Any, Told]:
    """Return an instance of a class made from a row, or None and what is wrong with it.

    ``more_keys`` are keys that are accepted beside the class's own, but read elsewhere.
    """
    try:
        return _adapter(cls).validate_json(json.dumps(row), strict=True, extra="forbid"), []
    except ValidationError as error:
        found = error.errors(include_url=False)[:MAX_TOLD]
        return None, [(what["loc"], _what(cls, row, what, more_keys)) for what in found]
    except ArithmeticError:
        return None, [((), "its numbers cannot be computed with; accepted: usual sizes")]


@lru_cache(maxsize=64)
def _adapter(cls: type) -> TypeAdapter[Any]:
    return TypeAdapter(cls)


def _what(
    cls: type, row: Mapping[str, Any], error: Mapping[str, Any], more_keys: tuple[str, ...]
) -> str:
    kind, loc = error["type"], error["loc"]
    wanted = type_at(cls, loc)
    if kind == "unexpected_keyword_argument":
        known = (*field_names(type_at(cls, loc[:-1])), *(more_keys if len(loc) == 1 else ()))
        return f"found an unknown key{nearest(cut(loc[-1]), known)}"
    if kind == "value_error":
        return str(error["ctx"]["error"])
    if kind.startswith("missing"):
        return f"missing; accepted: {accepted(wanted)}"
    found = shown(value_at(row, loc))
    if kind.startswith(("greater", "less")):
        return f"found {found}; accepted: {limits(wanted)}"
    return f"found {found}; accepted: {accepted(wanted)}"

"""The entries of a primer file, read strictly: every key and type that is wrong is told."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Annotated, Any, Literal

from annotated_types import Ge, Gt, Le
from pydantic import TypeAdapter, ValidationError

from circuits.filecheck.draft import cut, is_plain, problem, shown
from circuits.filecheck.field_words import accepted, field_names, limits, type_at
from circuits.filecheck.plain_data import Loc, place_of, value_at
from circuits.instruments import INSTRUMENTS, Instrument
from circuits.points import nearest
from exercises.primers import READING

LEAST_WORDS, MOST_WORDS = 60, 90
LONGEST: Mapping[str, int] = {"title": 60, "ask": 420, "told": 400, "says": 120}
"""The longest text of a key, in characters."""

NEEDS_READING = ("told",)

Control = Literal["battery", "connectors", "fuses", "wiggle"]
Shows = Literal["OL"]


@dataclass(frozen=True, slots=True)
class PrimerRow:
    """The keys of a primer file outside its task and its questions."""

    title: str
    order: Annotated[int, Ge(1), Le(99)]
    circuit: str
    paragraphs: tuple[str, ...]
    faults: tuple[str, ...] = ()
    controls: tuple[Control, ...] = ()
    instruments: tuple[Instrument, ...] = INSTRUMENTS


@dataclass(frozen=True, slots=True)
class TaskRow:
    """The keys of a task beside those of a step."""

    ask: str
    told: str
    least: float = 0.0
    most: float = 0.0
    shows: Shows | None = None
    points: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """An answer in words."""

    says: str
    least: float = 0.0
    most: float = 0.0
    shows: Shows | None = None


@dataclass(frozen=True, slots=True)
class QuestionRow:
    """The keys of a question beside those of a step."""

    ask: str
    told: str
    choices: tuple[ChoiceRow, ...] = ()
    others: tuple[float | Shows, ...] = ()
    within: Annotated[float, Gt(0)] | None = None
    faults: tuple[str, ...] | None = field(default=None)


def built(cls: type, row: Any, base: Loc) -> tuple[Any, list[str]]:
    """Return an entry, or None, and a sentence per problem."""
    if not isinstance(row, dict):
        return None, [problem(_where(base), row, "a table")]
    try:
        found = _adapter(cls).validate_json(json.dumps(row), strict=True, extra="forbid")
    except ValidationError as error:
        return None, list(dict.fromkeys(_sentences(cls, row, base, error)))
    wrong = list(_texts(found, base))
    return (None if wrong else found), wrong


def _sentences(cls: type, row: Any, base: Loc, error: ValidationError) -> Iterator[str]:
    for one in error.errors(include_url=False):
        # A choice between types appears in the place as a word that the file has not.
        loc = tuple(part for part in one["loc"] if part in _keys(row) or one["type"] == "missing")
        yield f"{_where((*base, *loc))}: {_what(cls, row, loc, one['type'])}"


def _keys(data: Any) -> set[str | int]:
    """Return every key and index anywhere in the data."""
    found: set[str | int] = set()
    if isinstance(data, Mapping):
        found |= set(data)
    if isinstance(data, list | tuple):
        found |= set(range(len(data)))
    for value in data.values() if isinstance(data, Mapping) else data:
        if isinstance(value, Mapping | list | tuple):
            found |= _keys(value)
    return found


def _what(cls: type, row: Any, loc: Loc, kind: str) -> str:
    wanted = type_at(cls, loc)
    if kind == "unexpected_keyword_argument":
        return f"found an unknown key{nearest(cut(loc[-1]), field_names(type_at(cls, loc[:-1])))}"
    if kind.startswith("missing"):
        return f"missing; accepted: {accepted(wanted)}"
    found = shown(value_at(row, loc))
    if kind.startswith(("greater", "less")):
        return f"found {found}; accepted: {limits(wanted)}"
    return f"found {found}; accepted: {accepted(wanted)}"


def _where(place: Loc) -> str:
    return place_of(place, {})


def _texts(entry: Any, base: Loc) -> Iterator[str]:
    for key in field_names(type(entry)):
        text = getattr(entry, key)
        if key not in LONGEST:
            continue
        if not text.strip() or len(text) > LONGEST[key]:
            yield problem(
                _where((*base, key)), cut(text), f"a text of 1 to {LONGEST[key]} characters"
            )
        elif not is_plain(text) or "{" in text.replace(READING, ""):
            yield problem(_where((*base, key)), cut(text), "plain text")
        elif key in NEEDS_READING and READING not in text:
            yield problem(_where((*base, key)), cut(text), f"a text with {READING} in it")


def paragraph_problems(paragraphs: tuple[str, ...]) -> Iterator[str]:
    """Yield what is wrong with the paragraphs: their number, their length, their signs."""
    if len(paragraphs) != 3:
        yield f"paragraphs: found {len(paragraphs)}; accepted: 3"
    for number, text in enumerate(paragraphs, start=1):
        words = len(text.split())
        where = f"paragraphs > no. {number}"
        if not LEAST_WORDS <= words <= MOST_WORDS:
            yield f"{where}: found {words} words; accepted: {LEAST_WORDS} to {MOST_WORDS}"
        if not is_plain(text) or "{" in text:
            yield f"{where}: found '{cut(text)}'; accepted: plain text"


@lru_cache(maxsize=8)
def _adapter(cls: type) -> TypeAdapter[Any]:
    return TypeAdapter(cls)

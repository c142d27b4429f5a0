"""The entries of an exercise file, read strictly: every key and type that is wrong is told.

Pydantic builds the frozen classes below, as it builds a circuit's; the words for what it
refuses are those of circuit files.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Annotated, Any

from annotated_types import Ge, Le
from pydantic import TypeAdapter, ValidationError

from circuits.faults import Condition
from circuits.filecheck.draft import cut, problem, shown
from circuits.filecheck.field_words import accepted, field_names, limits, type_at
from circuits.filecheck.plain_data import Loc, Told, place_of, plain, value_at
from circuits.instruments import INSTRUMENTS, Instrument
from circuits.points import nearest
from circuits.spec import Moment

MAX_TOLD = 12
"""Problems told of one entry at most."""

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step of the path as the file has it."""

    because: str
    set: dict[str, str] = field(default_factory=dict)
    unmate: tuple[str, ...] = ()
    pull: tuple[str, ...] = ()
    isolate: bool = False
    jumpers: tuple[Pair, ...] = ()
    wiggle: str = ""
    warm: bool = False
    moment: Moment | None = None
    volts: Pair | None = None
    ohms: Pair | None = None
    continuity: Pair | None = None
    diode: Pair | None = None
    amps: Pair | None = None
    lamp: Pair | None = None
    clamp: str | None = None
    zeroed: bool = False
    hold: bool = False
    load_w: float = 0.0
    repair: Pair | None = None


@dataclass(frozen=True, slots=True)
class Heading:
    """The keys of an exercise file outside its path."""

    title: str
    circuit: str
    slip: Annotated[int, Ge(1), Le(9999)]
    complaint: str
    level: Annotated[int, Ge(1), Le(4)]
    skill: str
    faults: tuple[str, ...]
    lesson: str
    like_case: str
    instruments: tuple[Instrument, ...] = INSTRUMENTS
    closed_places: tuple[str, ...] = ()
    shows_expected: bool = False
    asks_suspects: bool = False
    asks_expected: bool = False
    hints: Annotated[int, Ge(0), Le(3)] = 3
    severity: tuple[float, float] | None = None
    also: tuple[tuple[str, ...], ...] = ()
    conditions: tuple[Condition, ...] = ()
    either_side: bool = False
    low_meter: bool = False


LONGEST: Mapping[str, int] = {
    "title": 80,
    "complaint": 600,
    "skill": 120,
    "lesson": 600,
    "like_case": 1500,
    "because": 400,
}
"""The longest text of a key, in characters."""

_LINE_KEYS = ("title", "skill")

_WORDS: Mapping[Loc, str] = {
    ("set",): "a table of switches with their positions, as in { key = 'on' }",
    ("jumpers",): "a list of pairs of test points",
    ("severity",): "two numbers, the least and the greatest severity",
    ("also",): "a list of lists of faults",
}


@dataclass(frozen=True, slots=True)
class Rows:
    """What could be read of a file: None where an entry could not be."""

    heading: Heading | None
    steps: tuple[StepRow | None, ...]


def rows_from(data: Mapping[str, Any]) -> tuple[Rows, list[str]]:
    """Return what can be read of an exercise file's data, and a sentence per problem."""
    told: Told = []
    clean = plain(data, (), told)
    problems = [f"{place_of(loc, data)}: {what}" for loc, what in told]
    known = frozenset(loc for loc, _ in told)
    path = clean.pop("path", None)
    heading, wrong = _built(Heading, clean, (), known, more_keys=("path",))
    problems += wrong
    steps: list[StepRow | None] = []
    if not isinstance(path, list) or not path:
        if ("path",) not in known:
            problems.append(_no_path(path))
        path = []
    for index, row in enumerate(path):
        step, wrong = _built(StepRow, row, ("path", index), known)
        steps.append(step)
        problems += wrong
    return Rows(heading, tuple(steps)), problems


def _no_path(found: Any) -> str:
    if found is None:
        return "path: missing; accepted: at least one step"
    return problem("path", found, "a list of tables, at least one step")


def _built(
    cls: type, row: Any, base: Loc, told: frozenset[Loc], *, more_keys: tuple[str, ...] = ()
) -> tuple[Any, list[str]]:
    """Return an entry, or None and the sentences of what is wrong and was not told before."""
    if not isinstance(row, dict):
        return None, [] if base in told else [problem(_where(base), row, "a table")]
    try:
        found = _adapter(cls).validate_json(json.dumps(row), strict=True, extra="forbid")
    except ValidationError as error:
        errors = error.errors(include_url=False)[:MAX_TOLD]
        places = [(*base, *one["loc"]) for one in errors]
        sentences = [
            f"{_where(place)}: {_what(cls, row, one, more_keys)}"
            for place, one in zip(places, errors, strict=True)
            if not any(place[:steps] in told for steps in range(len(place) + 1))
        ]
        return None, sentences
    wrong = list(_texts(found, base))
    return (None if wrong else found), wrong


def _where(place: Loc) -> str:
    return place_of(place, {})


def _texts(entry: Heading | StepRow, base: Loc) -> Iterator[str]:
    for key in field_names(type(entry)):
        text = getattr(entry, key)
        if key not in LONGEST:
            continue
        if not text or len(text) > LONGEST[key] or (key in _LINE_KEYS and "\n" in text):
            one = "one line" if key in _LINE_KEYS else "a text"
            wanted = f"{one} of 1 to {LONGEST[key]} characters"
            yield problem(_where((*base, key)), text, wanted)


@lru_cache(maxsize=8)
def _adapter(cls: type) -> TypeAdapter[Any]:
    return TypeAdapter(cls)


def _what(
    cls: type, row: Mapping[str, Any], error: Mapping[str, Any], more_keys: tuple[str, ...]
) -> str:
    kind, loc = error["type"], error["loc"]
    if kind == "unexpected_keyword_argument":
        return f"found an unknown key{nearest(cut(loc[-1]), (*field_names(cls), *more_keys))}"
    found = shown(value_at(row, loc))
    if loc[:1] == ("instruments",) and len(loc) > 1:
        return f"found {found}{nearest(cut(value_at(row, loc)), INSTRUMENTS)}"
    wanted = _WORDS.get(loc[:1]) or accepted(type_at(cls, loc))
    if kind.startswith("missing"):
        return f"missing; accepted: {wanted}"
    if kind.startswith(("greater", "less")):
        return f"found {found}; accepted: {limits(type_at(cls, loc))}"
    return f"found {found}; accepted: {wanted}"

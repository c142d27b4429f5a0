"""What happened in an attempt: events, the chain that holds them, and their file.

An attempt *is* its events. Each carries the digest of the one before it, so a line that was
changed, dropped or moved afterwards no longer fits.

::

    EventsError
    ├── NotJson     a value that cannot be kept as JSON
    └── BadEvents   events, or a file of them, that do not hold together
"""

import hashlib
import json
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

_DEEPEST = 50
_LARGEST = 2**63 - 1
_LONE_SURROGATE = re.compile("[\ud800-\udfff]")
_JSON = "text, finite numbers, true, false, null, lists and objects with text keys"


class EventsError(Exception):
    """Something about events cannot be; the message is one sentence for a person."""


class NotJson(EventsError):  # noqa: N818 - says itself what is wrong
    """A value cannot be kept as JSON."""


class BadEvents(EventsError):  # noqa: N818 - says itself what is wrong
    """Events do not hold together."""


@dataclass(frozen=True, slots=True)
class Draft:
    """An event that is not kept yet: what happened, without its place in the attempt."""

    kind: str
    body: Mapping[str, Any] = field(hash=False)


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened in an attempt, as it is kept.

    Attributes
    ----------
    seq : place in the attempt, from 1, without gaps.
    key : UUID of the press that made it; the same press is kept once.
    at : UTC, milliseconds since 1970.
    digest : sha256 over the previous digest, the attempt, seq, kind, body and at.
    """

    seq: int
    key: str
    kind: str
    body: Mapping[str, Any] = field(hash=False)
    at: int
    digest: str


def canonical(value: object) -> str:
    """Return the one JSON text of a value: sorted keys, no spaces, only finite numbers.

    Equal values give equal text, also after reading the text back, so that digests hold.
    A lone surrogate stays an escape: UTF-8 and databases refuse it raw.

    Raises
    ------
    NotJson
        Naming the place, what was found and what is accepted.
    """
    text = json.dumps(
        _plain(value, ()),
        sort_keys=True,
        allow_nan=False,
        ensure_ascii=False,
        separators=(",", ":"),
    )
    return _LONE_SURROGATE.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def digest_of(value: object) -> str:
    """Return the sha256 of a value's canonical JSON, in hexadecimal."""
    return hashlib.sha256(canonical(value).encode()).hexdigest()


def chained(attempt_id: str, last: Event | None, draft: Draft, *, key: str, at: int) -> Event:
    """Return the draft as the event that follows ``last`` (None: as the first).

    Raises
    ------
    NotJson
        If the body is not an object of JSON values.
    """
    if not isinstance(draft.body, Mapping):
        raise NotJson(f"body: found {_kind(draft.body)}; accepted: an object with named fields.")
    seq = last.seq + 1 if last else 1
    body = json.loads(canonical(draft.body))
    previous = last.digest if last else ""
    digest = digest_of([previous, attempt_id, seq, draft.kind, body, at])
    return Event(seq=seq, key=key, kind=draft.kind, body=body, at=at, digest=digest)


def check_chain(attempt_id: str, events: Iterable[Event]) -> None:
    """Check that the events are an attempt from its first on, unchanged.

    Raises
    ------
    BadEvents
        Naming the first event that does not follow from those before it.
    """
    last: Event | None = None
    for event in events:
        if problem := _misfit(attempt_id, last, event):
            raise BadEvents(f"event {event.seq}: {problem}")
        last = event


def events_to_jsonl(attempt_id: str, events: Iterable[Event]) -> str:
    """Return the events as a file: a line of JSON each, then a closing line.

    The closing line counts the events, so that a file cut off between two lines shows.
    """
    kept = tuple(events)
    rows = [
        {"attempt": attempt_id, **{name: getattr(event, name) for name in _EVENT_FIELDS}}
        for event in kept
    ]
    last = kept[-1].digest if kept else ""
    closing = {"attempt": attempt_id, "events": len(kept), "digest": last}
    return "".join(canonical(row) + "\n" for row in [*rows, closing])


def events_from_jsonl(text: str) -> tuple[Event, ...]:
    """Read the events from a file that ``events_to_jsonl`` wrote.

    Raises
    ------
    BadEvents
        Naming the line, what was found and what is accepted.
    """
    # splitlines() would also cut at U+2028 and U+0085, which may stand inside JSON text
    lines = text.removeprefix("\ufeff").rstrip().split("\n") if text.strip() else []
    events: list[Event] = []
    for number, line in enumerate(lines, start=1):
        row = _row(line, number, is_last=number == len(lines))
        if "events" in row:
            _check_closing(row, number, events, is_last=number == len(lines))
            return tuple(events)
        last = events[-1] if events else None
        event = Event(**{name: row[name] for name in _EVENT_FIELDS})
        if problem := _misfit(row["attempt"], last, event):
            raise BadEvents(f"line {number}: {problem}")
        events.append(event)
    raise BadEvents(
        f"line {len(lines) + 1}: the file ends after {len(events)} events without its closing "
        "line, so it was cut off; accepted: the whole file as it was exported."
    )


_EVENT_FIELDS: Mapping[str, type] = {
    "seq": int,
    "key": str,
    "kind": str,
    "body": dict,
    "at": int,
    "digest": str,
}
_EVENT_ROW: Mapping[str, type] = {"attempt": str, **_EVENT_FIELDS}
_CLOSING_ROW: Mapping[str, type] = {"attempt": str, "events": int, "digest": str}
_TYPE_NAMES = {int: "a whole number", str: "text", dict: "an object"}


def _row(line: str, number: int, *, is_last: bool) -> dict[str, Any]:
    """Return one line of a file as the fields it must have."""
    try:
        row = json.loads(line, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        cut = " (the file may be cut off here)" if is_last else ""
        raise BadEvents(
            f"line {number}: found {_short(line)}{cut}; accepted: one event as JSON."
        ) from error
    if not isinstance(row, dict):
        raise BadEvents(f"line {number}: found {_kind(row)}; accepted: an object, one event.")
    wanted = _CLOSING_ROW if "events" in row else _EVENT_ROW
    if set(row) != set(wanted):
        found = ", ".join(sorted(row)) or "no field"
        raise BadEvents(
            f"line {number}: found the fields {_short(found, 120)}; accepted: {', '.join(wanted)}."
        )
    for name, accepted in wanted.items():
        if type(row[name]) is not accepted:  # a bool is an int to isinstance
            raise BadEvents(
                f"line {number}: {name} is {_kind(row[name])}; accepted: {_TYPE_NAMES[accepted]}."
            )
    return row


def _check_closing(row: dict[str, Any], number: int, events: list[Event], *, is_last: bool) -> None:
    digest = events[-1].digest if events else ""
    if not is_last:
        raise BadEvents(f"line {number + 1}: found more after the closing line; accepted: nothing.")
    if row["events"] != len(events):
        raise BadEvents(
            f"line {number}: the file holds {len(events)} events; accepted: the {row['events']} "
            "that its closing line counts."
        )
    if row["digest"] != digest:
        raise BadEvents(
            f"line {number}: the closing digest is {_short(row['digest'])}; accepted: that of the "
            f"last event, {_short(digest)}."
        )


def _misfit(attempt_id: str, last: Event | None, event: Event) -> str:
    """Say why an event cannot follow ``last``; empty when it can."""
    wanted = last.seq + 1 if last else 1
    if event.seq != wanted:
        return f"seq is {event.seq}, out of order; accepted: {wanted}."
    draft = Draft(event.kind, event.body)
    try:
        digest = chained(attempt_id, last, draft, key=event.key, at=event.at).digest
    except NotJson as error:
        return str(error)
    if event.digest != digest:
        return (
            f"the chain is broken: digest is {_short(event.digest)} and the events up to here "
            f"give {_short(digest)}; accepted: events unchanged since they were kept."
        )
    return ""


def _plain(value: object, place: tuple[str, ...]) -> object:
    """Return a value in JSON's own types, or say where it cannot be."""
    if len(place) > _DEEPEST:
        raise NotJson(f"{_where(place[:3])} …: nested too deep; accepted: {_DEEPEST} levels.")
    match value:
        case None | bool():
            return value
        case str():
            return _joined(value)
        case int() if abs(value) <= _LARGEST:
            return int(value)
        case float() if math.isfinite(value):
            return float(value)
        case list() | tuple():
            return [_plain(each, (*place, f"no. {n}")) for n, each in enumerate(value, 1)]
        case Mapping():
            return {_key(key, place): _plain(value[key], (*place, str(key))) for key in value}
        case _:
            raise NotJson(f"{_where(place)}: found {_kind(value)}; accepted: {_JSON}.")


def _key(key: object, place: tuple[str, ...]) -> str:
    if not isinstance(key, str):
        raise NotJson(f"{_where(place)}: found the key {key!r:.40}; accepted: {_JSON}.")
    return _joined(key)


def _joined(text: str) -> str:
    """Join surrogate pairs as reading JSON does, so that text and value stay one."""
    if not _LONE_SURROGATE.search(text):
        return str(text)
    return text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "surrogatepass")


def _where(place: tuple[str, ...]) -> str:
    return " > ".join(place) or "the value"


def _kind(value: object) -> str:
    """Name a value for a sentence: numbers themselves, the rest by type."""
    if value is None or isinstance(value, int | float):
        return f"{value!r:.40}"
    return f"a value of type {type(value).__name__}"


def _short(text: str, longest: int = 16) -> str:
    return repr(text if len(text) <= longest else text[: longest - 1] + "…")


def _refuse_constant(name: str) -> None:
    raise ValueError(name)

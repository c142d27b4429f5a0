"""What was done, as statements of IEEE 9274.1.1-2023 (the Experience API), a JSON line each.

Actors are accounts of this lab, never mail addresses; ids are computed from the attempt, so a
statement that is sent twice is the same one. The verbs are those of the ADL vocabulary (from
memory).
"""

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid5

from exercises.events import Event
from exercises.reports.marked import Marked
from exercises.shown import shown_from_json

VERBS = {
    "initialized": "http://adlnet.gov/expapi/verbs/initialized",
    "interacted": "http://adlnet.gov/expapi/verbs/interacted",
    "passed": "http://adlnet.gov/expapi/verbs/passed",
    "failed": "http://adlnet.gov/expapi/verbs/failed",
}
ACTIVITY = "http://adlnet.gov/expapi/activities/simulation"
HOME = "urn:millrace-lab"
SPACE = UUID("5f1a7d1e-51ab-5d0c-9e3a-6f0f2e3b7c11")
"""The name space of the ids; any would do that stays the same."""

_SILENT = {"closed"}


def statements(one: Marked, events: Iterable[Event]) -> Iterator[dict[str, Any]]:
    """Yield the statements of a closed attempt, oldest first: begun, each act, the outcome."""
    for event in events:
        if event.kind not in _SILENT:
            verb = "initialized" if event.kind == "began" else "interacted"
            yield _statement(one, f"{event.seq}", verb, event.at) | _what(event)
    verdict = "passed" if one.evidenced else "failed"
    yield _statement(one, "verdict", verdict, one.closed_at) | {"result": _result(one)}


def lines(every: Iterable[Mapping[str, Any]]) -> bytes:
    """Return statements as JSON lines in UTF-8."""
    written = (
        json.dumps(one, ensure_ascii=False, allow_nan=False, sort_keys=True) for one in every
    )
    return "".join(f"{line}\n" for line in written).encode()


def _statement(one: Marked, part: str, verb: str, at: int) -> dict[str, Any]:
    moment = datetime.fromtimestamp(at / 1000, tz=UTC)
    return {
        "id": str(uuid5(SPACE, f"{one.who.attempt_id} {part}")),
        "actor": {
            "objectType": "Agent",
            "account": {"homePage": HOME, "name": one.who.learner},
        },
        "verb": {"id": VERBS[verb], "display": {"en": verb}},
        "object": {
            "objectType": "Activity",
            "id": f"{HOME}:slip:{one.slip}",
            "definition": {"type": ACTIVITY, "name": {"en": f"{one.circuit}, slip {one.slip}"}},
        },
        "context": {"registration": str(uuid5(SPACE, one.who.attempt_id))},
        "timestamp": moment.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
    }


def _what(event: Event) -> dict[str, Any]:
    """Return what an act was, and what the display showed where it gave a reading."""
    reading = event.body.get("reading")
    shown = shown_from_json(reading).text if reading else ""
    told: dict[str, Any] = {"extensions": {f"{HOME}:act": event.kind}}
    return {"result": told | ({"response": shown} if shown else {})}


def _result(one: Marked) -> dict[str, Any]:
    marks = {f"{HOME}:mark:{name}": score for name, score in one.scores.items()}
    return {
        "completion": True,
        "success": one.evidenced,
        "score": {"scaled": round(one.total, 4)},
        "duration": f"PT{60 * one.minutes:.0f}S",
        "extensions": marks | {f"{HOME}:record": one.digest, f"{HOME}:rules": one.marker},
    }

"""What a browser sends when something was touched: checked, for a browser can send anything."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, cast

Does = Literal[
    "place", "lift", "clamp", "dial", "hold", "zero", "again", "check", "renew", "expect"
]

_FIELDS: Mapping[str, tuple[str, ...]] = {
    "place": ("lead", "point"),
    "lift": ("lead",),
    "clamp": ("wire",),
    "dial": ("instrument",),
    "hold": (),
    "zero": (),
    "again": (),
    "check": ("part",),
    "renew": ("part",),
    "expect": ("words",),
}
_PARTS = {"renew": ("battery", "fuse"), "check": ("leads", "fuse")}
_MOST_WAITING = 50
_LONGEST = 80


@dataclass(frozen=True, slots=True)
class Touch:
    """One press on the bench; ``key`` is the same when the browser sends it again."""

    key: str
    does: Does
    lead: str = ""
    point: str = ""
    wire: str = ""
    instrument: str = ""
    part: str = ""
    words: str = ""
    on: bool = False


def touches(sent: object, *, bench: str) -> tuple[Touch, ...]:
    """Return the presses in what a component sent; none if it belongs to another bench.

    >>> touches({"bench": "b", "waiting": [{"key": "k", "does": "zero"}]}, bench="b")[0].does
    'zero'
    >>> touches({"bench": "b", "waiting": [{"key": "k", "does": "burn"}]}, bench="b")
    ()
    """
    if not isinstance(sent, Mapping) or sent.get("bench") != bench:
        return ()
    waiting = sent.get("waiting")
    if not isinstance(waiting, list):
        return ()
    found = (_touch(item) for item in waiting[:_MOST_WAITING])
    return tuple(touch for touch in found if touch)


def _touch(item: object) -> Touch | None:
    if not isinstance(item, Mapping):
        return None
    does, key = item.get("does"), _word(item, "key")
    if not isinstance(does, str) or does not in _FIELDS or not key:
        return None
    words = {field: _word(item, field) for field in _FIELDS[does]}
    if not all(words.values()) or words.get("lead", "red") not in {"red", "black"}:
        return None
    if does in _PARTS and words["part"] not in _PARTS[does]:
        return None
    return Touch(key, cast(Does, does), on=item.get("on") is True, **words)


def _word(item: Mapping[Any, Any], field: str) -> str:
    value = item.get(field)
    return value if isinstance(value, str) and len(value) <= _LONGEST else ""

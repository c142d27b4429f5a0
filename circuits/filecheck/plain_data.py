"""Values that a circuit may keep: finite numbers and text that any screen can show."""

import math
from collections.abc import Mapping
from typing import Any

from circuits.filecheck.draft import PLAIN, cut, entry_place, is_plain, shown

MAX_TEXT = 4000
MAX_DEPTH = 8
MAX_ENTRIES = 400
MAX_LIST = 60
LEAST_NUMBER, MOST_NUMBER = 1e-9, 1e9

Loc = tuple[str | int, ...]
"""A place in the data: keys, and indices from 0."""

Told = list[tuple[Loc, str]]
"""What is wrong, by place."""


def plain(data: Any, loc: Loc, told: Told) -> Any:
    """Return data as JSON can hold it, texts stripped; what it cannot hold is told."""
    if len(loc) > MAX_DEPTH:
        what = f"found entries nested more than {MAX_DEPTH} deep; accepted: up to {MAX_DEPTH}"
    elif isinstance(data, Mapping):
        return {str(key): plain(value, (*loc, str(key)), told) for key, value in data.items()}
    elif isinstance(data, list | tuple) and len(data) > (most := _most(loc)):
        what = f"found a list of {len(data)}; accepted: up to {most}"
    elif isinstance(data, list | tuple):
        return [plain(value, (*loc, index), told) for index, value in enumerate(data)]
    else:
        what = _wrong(data)
    if not what:
        return data.strip() if isinstance(data, str) else data
    told.append((loc, what))
    return {"?": None}  # no field takes this, so the entry cannot pass for a good one


def _most(loc: Loc) -> int:
    return MAX_ENTRIES if len(loc) == 1 else MAX_LIST


def _wrong(value: object) -> str:
    if isinstance(value, str):
        return _wrong_text(value)
    if isinstance(value, int | float):
        return _wrong_number(value)
    return f"found {shown(value)}; accepted: text, a number, true, false, a list or a table"


def _wrong_text(text: str) -> str:
    if len(text) > MAX_TEXT:
        return f"found {len(text)} characters; accepted: up to {MAX_TEXT}"
    return "" if is_plain(text) else f"found {shown(text)}; accepted: {PLAIN}"


def _wrong_number(number: float) -> str:
    if number == 0 or LEAST_NUMBER <= abs(number) <= MOST_NUMBER:
        return ""
    finite = isinstance(number, int) or math.isfinite(number)
    accepted = "0, or a size from 1e-9 to 1e9" if finite else "a finite number"
    return f"found {shown(number)}; accepted: {accepted}"


def content(data: Any) -> Any:
    """Return data in the one form of which a digest is taken: 5 and 5.0 are the same."""
    if isinstance(data, Mapping):
        return {str(key): content(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [content(value) for value in data]
    if isinstance(data, str):
        return data.strip()
    is_number = isinstance(data, int | float) and not isinstance(data, bool)
    return data + 0.0 if is_number else data  # and -0.0 becomes 0.0


def place_of(loc: Loc, data: Any) -> str:
    """Return a place in the data in words.

    >>> place_of(("wires", 0, "colour"), {"wires": [{"name": "W1", "colour": 5}]})
    'wires > no. 1 (W1) > colour'
    """
    words: list[str] = []
    for step in loc:
        data = value_at(data, (step,))
        if isinstance(step, str):
            words.append(cut(step))
            continue
        name = data.get("name") if isinstance(data, Mapping) else ""
        words.append(entry_place("", step + 1, name).removeprefix(" > "))
    return " > ".join(words) or "the file"


def value_at(data: Any, loc: Loc) -> Any:
    """Return what is at a place in the data, None if nothing is."""
    for step in loc:
        if isinstance(data, Mapping):
            data = data.get(step)
        elif isinstance(data, list | tuple) and isinstance(step, int) and step < len(data):
            data = data[step]
        else:
            return None
    return data

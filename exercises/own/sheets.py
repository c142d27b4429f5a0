"""A circuit as tables that somebody edits row by row: cells are text, as typed."""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import tomli_w

Row = Mapping[str, str]

COLUMNS: Mapping[str, tuple[str, ...]] = {
    "places": ("name", "title", "minutes"),
    "parts": ("name", "kind", "title", "place", "values"),
    "connectors": ("name", "title", "place", "part", "faces"),
    "cavities": ("connector", "number", "label", "pin"),
    "wires": ("name", "start", "end", "area_mm2", "length_m", "colour", "unsure"),
}
"""The tables and their columns. ``values`` of a part are ``rating_a = 10, ...``; ``unsure``
is how many percent a wire's length or thickness may be off."""


@dataclass(frozen=True)
class Sheets:
    """The tables, and what of the circuit they do not hold: title, views, bundles, hints."""

    tables: Mapping[str, tuple[Row, ...]]
    rest: Mapping[str, Any] = field(default_factory=dict)


def sheets_of(body: Mapping[str, Any]) -> Sheets:
    """Return the tables of a circuit file's content."""
    unsure = {row["name"]: row["share"] for row in body.get("unsure", [])}
    tables = {
        "places": tuple(_cells("places", row) for row in body["places"]),
        "parts": tuple(_part_cells(row) for row in body["parts"]),
        "connectors": tuple(_connector_cells(row) for row in body.get("connectors", [])),
        "cavities": tuple(_cavity_rows(body.get("connectors", []))),
        "wires": tuple(_wire_cells(row, unsure) for row in body["wires"]),
    }
    held = {"places", "parts", "connectors", "wires"}
    wires = {row["name"] for row in body["wires"]}
    rest = {key: value for key, value in body.items() if key not in held | {"unsure"}}
    rest["unsure"] = [row for row in body.get("unsure", []) if row["name"] not in wires]
    return Sheets(tables, rest)


def _cells(table: str, row: Mapping[str, Any]) -> dict[str, str]:
    return {name: _shown(row[name]) if name in row else "" for name in COLUMNS[table]}


def _shown(value: object) -> str:
    return f"{value:g}" if isinstance(value, int | float) else str(value)


def _part_cells(row: Mapping[str, Any]) -> dict[str, str]:
    common = ("name", "kind", "title", "place")
    values = {key: value for key, value in row.items() if key not in common}
    return _cells("parts", row) | {"values": values_text(values)}


def values_text(values: Mapping[str, Any]) -> str:
    """Return values as one line: ``rating_a = 10, short = "Fuse"``.

    >>> values_text({"volt": 12.6, "positions": ["off", "on"]})
    'volt = 12.6, positions = ["off", "on"]'
    """
    return ", ".join(f"{key} = {_inline(value)}" for key, value in values.items())


def _inline(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + values_text(value) + " }"
    if isinstance(value, list | tuple):
        return f"[{', '.join(_inline(each) for each in value)}]"
    return tomli_w.dumps({"v": value}).removeprefix("v = ").strip()


def _connector_cells(row: Mapping[str, Any]) -> dict[str, str]:
    return _cells("connectors", row) | {"faces": ", ".join(row.get("faces", []))}


def _cavity_rows(connectors: Iterable[Mapping[str, Any]]) -> Iterator[dict[str, str]]:
    for row in connectors:
        pins = row.get("pins", [""] * len(row["labels"]))
        for number, (label, pin) in enumerate(zip(row["labels"], pins, strict=True), start=1):
            cells = (row["name"], str(number), label, pin)
            yield dict(zip(COLUMNS["cavities"], cells, strict=True))


def _wire_cells(row: Mapping[str, Any], unsure: Mapping[str, float]) -> dict[str, str]:
    share = unsure.get(row["name"])
    return _cells("wires", row) | {"unsure": "" if share is None else f"{100 * share:g}"}


def values_of(text: str) -> dict[str, Any]:
    """Return the values in a line that ``values_text`` makes.

    Raises
    ------
    ValueError
        With one sentence, if it is no such line.
    """
    if "\n" in text or "\r" in text:
        raise ValueError("found more than one line; accepted: as in rating_a = 10")
    try:
        found = tomllib.loads(f"v = {{ {text.strip().rstrip(',')} }}")["v"]
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise ValueError(f"found {text[:40]!r}; accepted: as in rating_a = 10") from error
    return dict(found)

"""Tables to a circuit; what is wrong is told beside the row that it stands in.

A row whose cells are all empty is no row.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from circuits.files import circuit_from
from circuits.model import Circuit, CircuitError
from exercises.own.sheets import COLUMNS, Row, Sheets, values_of

Where = tuple[str, int]
"""A table and the number of a row in it, from 1; ``("", 0)`` is the circuit as a whole."""

WHOLE: Where = ("", 0)

_NUMBERS = {"minutes", "area_mm2", "length_m"}
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_ENTRY = re.compile(r"(\w+) > no\. (\d+)(?: \([^)]*\))?(?: > (?:labels|pins) > no\. (\d+))?")


@dataclass(frozen=True)
class Made:
    """What tables make: a circuit with its file's content, or the problems beside their rows."""

    circuit: Circuit | None
    body: Mapping[str, Any]
    problems: Mapping[Where, tuple[str, ...]]


@dataclass
class _Places:
    """Which row each entry of the circuit's data came from."""

    rows: dict[tuple[str, int], Where] = field(default_factory=dict)
    cavities: dict[tuple[int, int], int] = field(default_factory=dict)
    problems: dict[Where, tuple[str, ...]] = field(default_factory=dict)

    def tell(self, where: Where, sentence: str) -> None:
        self.problems[where] = (*self.problems.get(where, ()), sentence)

    def beside(self, sentence: str, *, name: str) -> None:
        """Keep a sentence of the circuit's check beside the row that it is about."""
        told = sentence.removeprefix(f"{name}.toml: ")
        found = _ENTRY.match(told)
        if found is None:
            self.tell(WHOLE, told)
            return
        table, place = found[1], int(found[2])
        cavity = self.cavities.get((place, int(found[3] or 0)))
        where = ("cavities", cavity) if cavity else self.rows.get((table, place), WHOLE)
        self.tell(where, told[found.end() :].lstrip(" >:"))


def made(sheets: Sheets, *, name: str) -> Made:
    """Return the circuit that tables make, or what is wrong with them, beside the rows."""
    places = _Places()
    body = _body(sheets, places)
    circuit = None
    try:
        circuit = circuit_from(body, name=name)
    except CircuitError as error:
        for sentence in error.problems:
            places.beside(sentence, name=name)
    return Made(None if places.problems else circuit, body, places.problems)


def _body(sheets: Sheets, places: _Places) -> dict[str, Any]:
    cavities = dict[str, list[tuple[int, Row]]]()
    for number, row in _rows(sheets, "cavities"):
        cavities.setdefault(row["connector"], []).append((number, row))
    body: dict[str, Any] = {key: value for key, value in sheets.rest.items() if key != "unsure"}
    for table in ("places", "parts", "wires"):
        body[table] = [
            _entry(table, number, place, row, places)
            for place, (number, row) in enumerate(_rows(sheets, table), start=1)
        ]
    body["connectors"] = [
        _connector(number, place, row, cavities.pop(row["name"], []), places)
        for place, (number, row) in enumerate(_rows(sheets, "connectors"), start=1)
    ]
    for name, lost in cavities.items():
        for number, _ in lost:
            places.tell(("cavities", number), f"connector: found {name!r}; accepted: one above.")
    body["unsure"] = list(sheets.rest.get("unsure", ()))
    for number, entry in _unsure(sheets):
        body["unsure"].append(entry)
        places.rows["unsure", len(body["unsure"])] = ("wires", number)
    return body


def _rows(sheets: Sheets, table: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield the rows that hold something, with their numbers and every column."""
    for number, row in enumerate(sheets.tables.get(table, ()), start=1):
        cells = {column: row.get(column, "").strip() for column in COLUMNS[table]}
        if any(cells.values()):
            yield number, cells


def _entry(table: str, number: int, place: int, row: Row, places: _Places) -> dict[str, Any]:
    places.rows[table, place] = (table, number)
    entry = {
        key: _number(cell) if key in _NUMBERS else cell
        for key, cell in row.items()
        if cell and key not in {"values", "unsure"}
    }
    try:
        return entry | values_of(row.get("values", ""))
    except ValueError as error:
        places.tell((table, number), f"values: {error}.")
        return entry


def _number(cell: str) -> float | str:
    """Return a number; text that is none stays, and the check of the circuit tells of it."""
    return float(cell.replace(",", ".")) if _NUMBER.fullmatch(cell) else cell


def _connector(
    number: int, place: int, row: Row, cavities: list[tuple[int, Row]], places: _Places
) -> dict[str, Any]:
    places.rows["connectors", place] = ("connectors", number)
    entry: dict[str, Any] = {key: cell for key, cell in row.items() if cell and key != "faces"}
    faces = [word.strip() for word in row["faces"].split(",")]
    if row["faces"]:
        entry["faces"] = faces
    in_order = []
    for wanted, (line, cavity) in enumerate(sorted(cavities, key=_cavity), start=1):
        places.cavities[place, wanted] = line
        if cavity["number"] != str(wanted):
            told = f"number: found {cavity['number']!r}; accepted: {wanted}, for the next cavity."
            places.tell(("cavities", line), told)
        in_order.append(cavity)
    entry["labels"] = [cavity["label"] for cavity in in_order]
    if row["part"]:
        entry["pins"] = [cavity["pin"] for cavity in in_order]
    return entry


def _cavity(numbered: tuple[int, Row]) -> tuple[float, int]:
    line, row = numbered
    number = _number(row["number"])
    return (number if isinstance(number, float) else float("inf"), line)


def _unsure(sheets: Sheets) -> Iterator[tuple[int, dict[str, Any]]]:
    for number, row in _rows(sheets, "wires"):
        if row["unsure"]:
            share = _number(row["unsure"])
            off = share / 100 if isinstance(share, float) else share
            yield number, {"name": row["name"], "share": off}

"""Tables of a circuit: there and back without a change, and what is wrong beside its row."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuits.filecheck.toml_text import data_of
from circuits.files import LIBRARY, circuit_from, circuit_names
from exercises.own.filling import Answers, filled
from exercises.own.making import WHOLE, made
from exercises.own.sheets import COLUMNS, Row, Sheets, sheets_of, values_of, values_text
from exercises.own.templates import template, template_names


def plain() -> Sheets:
    return sheets_of(filled(template("plain_load"), Answers()))


def changed(sheets: Sheets, table: str, number: int, /, **cells: str) -> Sheets:
    """Return the tables with cells of one row changed."""
    rows = list(sheets.tables[table])
    rows[number - 1] = {**rows[number - 1], **cells}
    return Sheets({**sheets.tables, table: tuple(rows)}, sheets.rest)


def added(sheets: Sheets, table: str, /, **cells: str) -> Sheets:
    """Return the tables with a row more."""
    return Sheets({**sheets.tables, table: (*sheets.tables[table], cells)}, sheets.rest)


@pytest.mark.parametrize("name", circuit_names())
def test_a_circuit_of_the_library_comes_back_from_its_tables(name: str) -> None:
    body = data_of((LIBRARY / f"{name}.toml").read_text(encoding="utf-8"), file=name)
    back = made(sheets_of(body), name=name)
    assert not back.problems
    wanted = circuit_from(body, name=name)
    assert back.circuit is not None
    for what in ("places", "parts", "wires", "bundles", "hints", "views"):
        assert getattr(back.circuit, what) == getattr(wanted, what)
    assert [c.pins for c in back.circuit.connectors] == [c.pins for c in wanted.connectors]


@pytest.mark.parametrize("name", template_names())
def test_a_template_comes_back_from_its_tables_as_unsure_as_before(name: str) -> None:
    body = filled(template(name), Answers())
    back = made(sheets_of(body), name="own")
    assert back.circuit is not None
    assert back.circuit.unsure_share == pytest.approx(circuit_from(body, name="own").unsure_share)


@pytest.mark.parametrize(
    ("table", "number", "cells", "told"),
    [
        ("wires", 2, {"length_m": "two"}, "length_m: found 'two'; accepted: a number"),
        ("wires", 2, {"length_m": "-3"}, "length_m: found -3.0; accepted: above 0"),
        ("wires", 3, {"end": "CX.1"}, "end: found 'CX.1'"),
        ("wires", 3, {"name": "W2"}, "found 'W2'"),
        ("wires", 2, {"unsure": "95"}, "share: found 0.95; accepted: 0 to 0.6"),
        ("parts", 2, {"values": "rating_a ="}, "values: found 'rating_a ='"),
        ("parts", 2, {"values": 'rating_a = "ten"'}, "rating_a: found 'ten'"),
        ("parts", 4, {"kind": "lamb"}, "kind: found 'lamb'"),
        ("cavities", 2, {"number": "1"}, "number: found '1'; accepted: 2"),
        ("cavities", 2, {"connector": "CQ"}, "connector: found 'CQ'"),
        ("cavities", 2, {"pin": "zz"}, "found 'zz'"),
    ],
)
def test_what_is_wrong_is_told_beside_its_row(
    table: str, number: int, cells: dict[str, str], told: str
) -> None:
    problems = made(changed(plain(), table, number, **cells), name="own").problems
    assert any(told in sentence for sentence in problems.get((table, number), ())), problems


def test_empty_rows_are_no_rows_and_do_not_move_what_is_told() -> None:
    sheets = plain()
    rows = ({}, *sheets.tables["wires"], {"name": " "})
    spaced = Sheets({**sheets.tables, "wires": rows}, sheets.rest)
    assert made(spaced, name="own").circuit is not None
    broken = changed(spaced, "wires", 3, length_m="x")
    assert list(made(broken, name="own").problems) == [("wires", 3)]


def test_a_circuit_without_ground_is_refused_as_a_whole() -> None:
    sheets = plain()
    wires = tuple(row for row in sheets.tables["wires"] if "BODY" not in row.values())
    told = made(Sheets({**sheets.tables, "wires": wires}, sheets.rest), name="own")
    assert told.circuit is None
    assert told.problems


@given(
    table=st.sampled_from(sorted(COLUMNS)),
    row=st.dictionaries(
        st.sampled_from(sorted({c for cs in COLUMNS.values() for c in cs})), st.text(max_size=30)
    ),
)
def test_nothing_that_is_typed_ends_in_anything_but_sentences(table: str, row: Row) -> None:
    told = made(added(plain(), table, **row), name="own")
    assert told.circuit is not None or told.problems
    for sentences in told.problems.values():
        assert all(sentences)


@pytest.mark.parametrize("text", ["a = 1\nb = 2", "a = [[[[", "a = 1 }\nx = { b = 2"])
def test_values_take_one_line_of_values_and_nothing_else(text: str) -> None:
    with pytest.raises(ValueError, match="accepted: as in rating_a = 10"):
        values_of(text)


def test_values_come_back_from_their_line() -> None:
    values = {"positions": ["off", "on"], "contacts": [{"name": "c", "closed": ["on"]}], "ohm": 4.5}
    assert values_of(values_text(values)) == values
    assert WHOLE == ("", 0)

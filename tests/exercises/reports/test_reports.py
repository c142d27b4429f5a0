"""What leaves the lab: numbers that can be computed again, texts that do nothing but be read."""

import io
import json
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime

import openpyxl
import pypdf
import pytest

from exercises.actions import (
    Action,
    ChooseRepair,
    CloseJob,
    NameFault,
    PlaceLead,
)
from exercises.desk import Desk, begin, method_of, rebuilt
from exercises.marking import COLUMNS, mark
from exercises.marking.weights import Weights, weighed
from exercises.plans.typeset import PAPERS, Paper
from exercises.reports.attempt_sheet import attempt_pdf
from exercises.reports.csv_text import csv_text
from exercises.reports.marked import HEADINGS, Marked, Who, marked, row_of
from exercises.reports.spreadsheet import xlsx
from exercises.reports.statements import lines, statements
from exercises.store import SqlStore, open_store
from tests.screens.jobs import LEFT_FEED_OPEN, entry

FORMULAS = ("=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", '=HYPERLINK("x")')
"""Texts that spreadsheets take for formulas (OWASP, *CSV Injection*; the last two from memory)."""

MADE = datetime(2026, 11, 28, tzinfo=UTC)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SqlStore]:
    file = tmp_path_factory.mktemp("lab") / "lab.db"
    with closing(open_store(f"sqlite:///{file}")) as store:
        yield store


@pytest.fixture(scope="module")
def job(kept: SqlStore) -> tuple[Desk, Marked]:
    chosen = entry(LEFT_FEED_OPEN)
    attempt = begin(kept, chosen, seed=0, key="first", at=1_800_000_000_000)
    desk = Desk(kept, attempt)
    acts: tuple[Action, ...] = (
        PlaceLead("red", "C1.2"),
        PlaceLead("black", "BODY"),
        NameFault("W4", "open"),
        ChooseRepair("W4", "renew_wire"),
        CloseJob(),
    )
    for number, act in enumerate(acts):
        desk.press(act, key=f"press {number}", at=1_800_000_001_000 + number)
    made = desk.debriefed(at=1).mark
    last = kept.events(attempt)[-1]
    return (
        desk,
        marked(
            Who("=Ada", "Red", attempt),
            desk.attempt,
            made,
            closed_at=last.at,
            digest=last.digest,
            weights=Weights(),
            method=method_of(made),
        ),
    )


def row(one: Marked) -> dict[str, str | float]:
    return row_of(one, closed="2027-01-15 08:00")


def test_every_number_of_a_line_comes_back_from_the_events(job: tuple[Desk, Marked]) -> None:
    desk, one = job
    events = desk.store.events(one.who.attempt_id)
    again = rebuilt(events)
    made = mark(again)
    assert one.scores == {name: made.score(name) for name in COLUMNS}
    assert one.total == pytest.approx(weighed(made))
    assert one.minutes == again.minutes
    assert one.digest == events[-1].digest


@pytest.mark.parametrize("text", FORMULAS)
def test_no_name_becomes_a_formula_in_a_workbook(job: tuple[Desk, Marked], text: str) -> None:
    _, one = job
    cells = row(one) | {"learner": text}
    sheet = openpyxl.load_workbook(io.BytesIO(xlsx(HEADINGS, [cells]))).active
    assert sheet is not None
    cell = sheet.cell(2, 1)
    assert cell.data_type == "s"
    assert str(cell.value).endswith(text.strip())
    scores = [sheet.cell(2, 1 + list(HEADINGS).index(name)) for name in COLUMNS]
    assert [score.data_type for score in scores] == ["n"] * len(COLUMNS)


@pytest.mark.parametrize("text", [text for text in FORMULAS if text != "+1"])
def test_no_name_begins_as_a_formula_in_a_csv_file(text: str) -> None:
    written = csv_text([{"Learner": text}]).decode("utf-8-sig").split("\r\n", 1)[1]
    assert written.lstrip('"').startswith("'")


def test_statements_are_the_same_whenever_they_are_made(job: tuple[Desk, Marked]) -> None:
    desk, one = job
    events = desk.store.events(one.who.attempt_id)
    told = [json.loads(line) for line in lines(statements(one, events)).splitlines()]
    assert lines(statements(one, events)) == lines(statements(one, events))
    assert len({each["id"] for each in told}) == len(told)
    assert told[0]["verb"]["display"]["en"] == "initialized"
    assert told[-1]["verb"]["display"]["en"] in {"passed", "failed"}


def test_statements_hold_what_the_standard_asks_for(job: tuple[Desk, Marked]) -> None:
    """IEEE 9274.1.1-2023: actor, verb and object; an account, an ISO 8601 time, a scaled score."""
    desk, one = job
    for each in statements(one, desk.store.events(one.who.attempt_id)):
        assert {"id", "actor", "verb", "object", "timestamp"} <= set(each)
        assert "mbox" not in each["actor"]
        assert set(each["actor"]["account"]) == {"homePage", "name"}
        assert datetime.fromisoformat(each["timestamp"]).tzinfo is not None
        assert -1 <= each["result"].get("score", {"scaled": 0})["scaled"] <= 1


def test_the_reading_that_was_shown_is_in_its_statement(job: tuple[Desk, Marked]) -> None:
    desk, one = job
    told = list(statements(one, desk.store.events(one.who.attempt_id)))
    shown = [each["result"]["response"] for each in told if "response" in each.get("result", {})]
    assert shown == [one_entry.shown.text for one_entry in desk.attempt.entries]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_report_on_paper_holds_marks_rules_readings_and_record(
    job: tuple[Desk, Marked], paper: Paper
) -> None:
    desk, one = job
    told = desk.debriefed(at=2)
    found = attempt_pdf(one, desk.attempt, told, paper=paper, made=MADE)
    pages = pypdf.PdfReader(io.BytesIO(found)).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    for column in told.mark.columns:
        assert column.name.capitalize() in text
        assert " ".join(column.rule.split())[:40] in text
    assert "=Ada, Red" in text
    assert one.digest[:16] in text
    assert desk.attempt.entries[0].shown.text.replace(" ", "") in text.replace(" ", "")
    assert told.fault in text

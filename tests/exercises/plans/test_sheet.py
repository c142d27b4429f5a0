"""The printed sheet: every test on it, on both papers, as text that can be read out."""

import io
import re
from dataclasses import replace
from datetime import UTC, datetime

import pypdf
import pytest

from circuits.cautions import CAUTIONS
from exercises.cli import main
from exercises.plans.plan import PrintedPlan, printed_plan
from exercises.plans.sheet import MOST_PAGES, plan_pdf, shortened
from exercises.plans.symptoms import symptom_named, symptoms
from exercises.plans.typeset import PAPERS, SIZES_MM
from tests.conftest import FULL
from tests.exercises.planning.tables import table_of
from tests.exercises.plans.circuits import LAMP, lamp_table

MADE = datetime(2026, 11, 28, 9, 30, tzinfo=UTC)
POINTS_PER_MM = 72 / 25.4


@pytest.fixture(scope="module")
def plan() -> PrintedPlan:
    return printed_plan(lamp_table(), [symptom_named(LAMP, "L:dark@SW=on")])


def _read(made: bytes) -> tuple[pypdf.PdfReader, str]:
    reader = pypdf.PdfReader(io.BytesIO(made))
    text = "\n".join(page.extract_text() for page in reader.pages)
    return reader, " ".join(text.replace("\u00a0", " ").split())


def _check(plan: PrintedPlan, reader: pypdf.PdfReader, text: str) -> None:
    """Hold the text against each step that the sheet had room for."""
    assert 1 <= len(reader.pages) <= MOST_PAGES
    for number in range(1, len(reader.pages) + 1):
        assert f"Page {number} of {len(reader.pages)}" in text
    while f"All {len(plan.steps)} tests" not in text:
        plan = shortened(plan)
    place = 0
    for step in plan.steps:
        found = [step.expected] + ([step.red, step.black] if step.test.what else [])
        place = max(_after(text, place, one) for one in found if one)
        assert step.vehicle in text
        for answer, words in step.means:
            assert f"{answer[0].upper()}{answer[1:]}: {words}" in text
        for name in step.cautions:
            assert CAUTIONS[name] in text


def _after(text: str, place: int, words: str) -> int:
    found = text.find(words, place)
    assert found >= 0, f"{words!r} does not stand after {text[max(0, place - 60) : place]!r}"
    return found


@pytest.mark.parametrize("paper", PAPERS)
def test_each_test_of_the_plan_stands_on_the_sheet_in_order(plan, paper) -> None:
    reader, text = _read(plan_pdf(plan, paper=paper, made=MADE))
    _check(plan, reader, text)
    size = reader.pages[0].mediabox
    wide, high = SIZES_MM[paper]
    assert (float(size.width), float(size.height)) == pytest.approx(
        (wide * POINTS_PER_MM, high * POINTS_PER_MM), abs=1
    )


def test_the_sheet_can_be_read_out_and_is_the_same_each_time(plan) -> None:
    made = plan_pdf(plan, paper="a4", made=MADE)
    assert made == plan_pdf(plan, paper="a4", made=MADE)
    reader, text = _read(made)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == "Test plan: lamp"
    assert "Complaint: L: dark (SW On)" in text
    assert CAUTIONS["no_restraint"] in text
    fonts = {font for page in reader.pages for font in _fonts(page)}
    assert fonts
    assert all("DejaVuSans" in font for font in fonts), fonts


def _fonts(page: pypdf.PageObject) -> list[str]:
    fonts = page["/Resources"].get("/Font", {})
    return [str(font.get_object()["/BaseFont"]) for font in fonts.values()]


@pytest.mark.parametrize("title", ['#read("/etc/passwd")', "#panic()", "$ x", "*a* _b_ @c <d>"])
def test_a_title_is_printed_as_text_whatever_it_says(plan, title) -> None:
    named = replace(LAMP, title=title, digest=f"{LAMP.digest}{title}")
    _, text = _read(plan_pdf(replace(plan, circuit=named), paper="a4", made=MADE))
    assert f"Test plan: {title}" in text


def test_a_plan_without_a_file_to_write_is_refused(capsys) -> None:
    assert main(["plan", "call_bell"]) == 2
    assert re.fullmatch(r"plan: no file named; accepted: .*\n", capsys.readouterr().err)


@pytest.mark.skipif(not FULL, reason="builds tables: LAB_FULL=1")
@pytest.mark.parametrize("name", ["call_bell", "cranking", "roof_vent", "screen_wiper"])
def test_a_circuit_of_the_library_is_printed_on_both_papers(name) -> None:
    table = table_of(name)
    for complaint in ((), symptoms(table.circuit)[:1]):
        made = printed_plan(table, complaint)
        assert made.unseen < made.start
        assert all(step.means for step in made.steps)
        for paper in PAPERS:
            _check(made, *_read(plan_pdf(made, paper=paper, made=MADE)))


@pytest.mark.skipif(not FULL, reason="builds a table: LAB_FULL=1")
def test_the_command_writes_what_it_tells(capsys, tmp_path) -> None:
    file = tmp_path / "plan.pdf"
    tables = ["--tables", str(tmp_path / "tables")]
    arguments = ["plan", "call_bell", "--complaint", "bell:silent", "--paper", "letter"]
    assert main([*arguments, *tables, "-o", str(file)]) == 0
    out = capsys.readouterr().out
    _, text = _read(file.read_bytes())
    for line in re.findall(r"expected: (.*)", out):
        assert line in text

"""A case: its events, what its answers leave, what is odd, and the verdict."""

import json
import tomllib
from dataclasses import replace

import pypdf
import pytest

from circuits.files import LIBRARY, library_circuit
from circuits.instruments import Measurement, read
from circuits.model import AS_FOUND, Circuit, CircuitError, Fault, Vehicle
from circuits.settings import setting_from
from exercises.cases import case as cases
from exercises.cases.case import Case, CaseError, began, folded, read_back, seen_back
from exercises.cases.day import day_typed
from exercises.cases.notebook import Notebook, begin, case_events, opened_again
from exercises.cases.typed import TypedError
from exercises.cases.verdict import verdict, what_it_is
from exercises.cases.weighing import next_test, resting_on, weighed
from exercises.cli import main
from exercises.evidence import Evidence
from exercises.planning.allowed import AllowedTest
from exercises.planning.keep import keep
from exercises.plans.symptoms import check_in_bounds, symptom_named
from exercises.store import open_store
from tests.conftest import FULL
from tests.exercises.planning.tables import table_of
from tests.exercises.plans.circuits import LAMP, lamp_table

ON = setting_from(LAMP, positions={"SW": "on"})
OPEN_WIRE = Fault("W3", "open")
"""The wire from the switch to the lamp's connector."""


def _volts(red: str, black: str = "BODY") -> AllowedTest:
    return AllowedTest(ON, Measurement("volts", red, black))


def _begun(circuit: Circuit = LAMP) -> Case:
    dark = symptom_named(circuit, "L:dark@SW=on")
    return Case(circuit, (dark,), day_typed("0.3", "12.55 V", ""))


def _answered(case: Case, test: AllowedTest, text: str) -> Case:
    draft = read_back(case, test, text)
    what, shown = draft.body["what"], draft.body["shown"]
    evidence = Evidence(
        test.setting, cases.measurement_from_json(what), cases.shown_from_json(shown)
    )
    answer = cases.Answer(len(case.answers) + 1, evidence)
    return replace(case, answers=(*case.answers, answer))


def _places(case: Case) -> set[str]:
    return {fault.place for fault, _ in weighed(case).left}


def test_readings_lead_from_a_dark_lamp_to_its_open_wire() -> None:
    case = _begun()
    start = _places(case)
    assert {"W3", "F", "L"} <= start
    case = _answered(case, _volts("SW.out"), "12.5 V")
    assert "F" not in _places(case)
    case = _answered(case, _volts("C1.1"), "0.2 mV")
    assert "L" not in _places(case)
    assert "W3" in _places(case)
    told = verdict(case, weighed(case), None)
    assert told.heading == "It is the harness."
    assert any("between SW and C1.1" in line for line in told.stretch)
    assert any("repair or renew the wire" in line for line in told.repair)
    assert told.confirm[0] == "With SW On expect: L: bright."
    assert any("Test 2 again" in line for line in told.confirm)


def test_shares_sum_to_one_and_a_reading_never_adds_a_fault() -> None:
    case = _begun()
    for point, text in (("F.out", "12.5"), ("SW.out", "12.4"), ("C1.1", "0.0")):
        before = _places(case)
        case = _answered(case, _volts(point), text)
        left = weighed(case).left
        assert _places(case) <= before
        assert sum(share for _, share in left) == pytest.approx(1)


def test_a_reading_at_odds_with_the_others_is_named() -> None:
    """Battery volts at the lamp and none at the switch before it: one of the two is a slip."""
    case = _begun()
    for point, text in (("F.out", "12.5"), ("SW.out", "0.0"), ("C1.1", "12.4"), ("SW.in", "12.5")):
        case = _answered(case, _volts(point), text)
    found = weighed(case)
    assert found.left == ()
    assert found.misfit is not None
    assert set(found.misfit.odd) == {2, 3}
    assert "one of answers" in found.misfit.words
    for no in found.misfit.odd:
        answers = tuple(replace(a, dropped=a.no == no) for a in case.answers)
        assert weighed(replace(case, answers=answers)).left


def test_a_test_that_shows_two_things_is_taken_a_third_time_and_the_odd_one_taken_back() -> None:
    case = _answered(_answered(_begun(), _volts("SW.out"), "12.5"), _volts("SW.out"), "12.48")
    assert weighed(case).misfit is None
    case = _answered(_answered(_begun(), _volts("SW.out"), "12.5"), _volts("SW.out"), "3.1 mV")
    found = weighed(case).misfit
    assert found is not None
    assert (found.odd, found.again) == ((1, 2), _volts("SW.out"))
    assert found.words == "Answers 1 and 2 are of one test and differ: take it once more."
    case = _answered(case, _volts("SW.out"), "12.46")
    found = weighed(case).misfit
    assert found is not None
    assert (found.odd, found.again) == ((2,), None)


def test_a_verdict_that_rests_on_one_reading_says_so_until_it_is_taken_again() -> None:
    case = _answered(_answered(_begun(), _volts("SW.out"), "12.5"), _volts("C1.1"), "0.0")
    rests = [answer.no for answer in resting_on(case)]
    assert 1 in rests
    again = _answered(case, _volts("SW.out"), "12.5")
    assert 1 not in [answer.no for answer in resting_on(again)]


def test_the_next_test_is_none_that_was_taken_or_cannot_be() -> None:
    case, table = _begun(), lamp_table()
    first = next_test(case, table)
    assert first is not None
    other = next_test(replace(case, skipped=frozenset({first.test})), table)
    assert other is not None
    assert other.test != first.test


def test_a_slip_of_the_unit_counts_only_once_it_is_confirmed() -> None:
    case, test = _begun(), AllowedTest(AS_FOUND, Measurement("volts", "BAT.pos", "BODY"))
    with pytest.raises(TypedError, match=r"Did you mean 12\.5 V"):
        read_back(case, test, "12.5 mV")
    assert read_back(case, test, "12.5 mV", confirmed=True).body["shown"]["value"] == 0.0125


def test_a_motor_or_its_harness_is_told_apart_by_name_and_side() -> None:
    steps = library_circuit("side_steps")
    told = {
        place: what_it_is(steps, Fault(place, kind))
        for place, kind in (
            ("left_motor.winding", "shorted_turns"),
            ("IL.1", "corroded"),
            ("W20", "open"),
            ("F1", "blown"),
            ("unit", "dead"),
            ("rocker.lamps", "contact_open"),
        )
    }
    assert told["left_motor.winding"] == "motor (Left step motor)"
    assert told["IL.1"] == "harness, left side"
    assert told["W20"] == "harness, right side"
    assert told["F1"] == "fuse (Fuse F1)"
    assert told["unit"].startswith("controller")
    assert told["rocker.lamps"].startswith("switch")


@pytest.mark.parametrize("title", ["Airbag feed", "Seat belt pre-tensioner", "Traction inverter"])
def test_restraint_and_high_voltage_circuits_are_refused(title) -> None:
    with pytest.raises(CircuitError, match="without restraint or high-voltage"):
        check_in_bounds(replace(LAMP, title=title))


# --- kept, exported, opened again


@pytest.fixture
def store(tmp_path):
    opened = open_store(f"sqlite:///{tmp_path / 'lab.db'}")
    yield opened
    opened.close()


BELL_BODY = tomllib.loads((LIBRARY / "call_bell.toml").read_text(encoding="utf-8"))
BELL = library_circuit("call_bell")
PRESSED = setting_from(BELL, positions={"push": "pressed"})


def _bell(store) -> Notebook:
    book = Notebook(store, begin(store, "call_bell", BELL_BODY, ("bell:silent",), at=1000))
    book.keep(cases.day_told(day_typed("0.2", "12.6", "0.5")), key="day", at=2000)
    test = AllowedTest(PRESSED, Measurement("volts", "C1.1", "C1.2"))
    book.keep(read_back(book.case, test, "12.3 V"), key="read", at=3000)
    watch = AllowedTest(PRESSED, None)
    book.keep(seen_back(book.case, watch, [("relay", "in")]), key="seen", at=4000)
    book.keep(cases.dropped(book.case, 1), key="drop", at=5000)
    book.keep(cases.skipped(test), key="skip", at=6000)
    return book


def test_a_case_is_the_same_after_a_restart_and_from_its_file(store) -> None:
    book = _bell(store)
    assert Notebook(store, book.case_id).case == book.case
    assert [answer.no for answer in book.case.standing] == [2]
    assert len(book.case.skipped) == 1
    other = Notebook(store, opened_again(store, book.exported(), at=9000))
    assert other.case_id != book.case_id
    assert other.case == book.case


def test_a_press_that_is_sent_again_counts_once(store) -> None:
    book = _bell(store)
    before = book.case
    draft = read_back(book.case, AllowedTest(PRESSED, Measurement("volts", "C2.1", "BODY")), "0.1")
    assert book.keep(draft, key="same", at=7000)
    assert book.keep(draft, key="same", at=7500)
    assert len(book.case.answers) == len(before.answers) + 1


def test_a_window_left_behind_is_told(store) -> None:
    one = _bell(store)
    other = Notebook(store, one.case_id)
    assert one.keep(cases.dropped(one.case, 2), key="first", at=7000)
    assert not other.keep(cases.skipped(AllowedTest(PRESSED, None)), key="second", at=7100)
    assert other.case == one.case


def test_a_file_that_was_changed_cut_off_or_is_another_is_refused(store) -> None:
    text = _bell(store).exported()
    for bad in (text.replace("12.3", "7.3", 1), text[: len(text) // 2], "", "{}", "[1]\n"):
        with pytest.raises(CaseError):
            case_events(bad)


def test_the_command_refuses_a_file_that_is_none_of_a_case(tmp_path, capsys) -> None:
    file = tmp_path / "case.jsonl"
    file.write_text("{}\n", encoding="utf-8")
    assert main(["case", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("case.jsonl: line 1")


@pytest.mark.skipif(not FULL, reason="builds a table: LAB_FULL=1")
def test_the_command_tells_what_a_case_comes_to(store, tmp_path, capsys) -> None:
    file, report = tmp_path / "case.jsonl", tmp_path / "report.pdf"
    file.write_text(_bell(store).exported(), encoding="utf-8")
    keep(tmp_path, table_of("call_bell"))
    assert main(["case", str(file), "--tables", str(tmp_path), "-o", str(report), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["next"]
    assert sum(row["share"] for row in told["left"]) == pytest.approx(1, abs=0.01)
    text = "".join(page.extract_text() for page in pypdf.PdfReader(report).pages)
    assert "Report: Call bell" in text
    assert told["verdict"] in " ".join(text.split())


def test_events_of_an_attempt_are_no_case(store) -> None:
    attempt = store.begin("job", {}, "call_bell", BELL_BODY, seed=0, engine="2", at=1)
    store.append(attempt, seen=0, draft=cases.Draft("began", {}), key="k", at=1)
    with pytest.raises(CaseError, match="accepted: 'case_began' first"):
        Notebook(store, attempt)
    with pytest.raises(CaseError, match="found no event"):
        folded(())


def test_a_case_on_a_circuit_that_cannot_do_it_is_refused() -> None:
    with pytest.raises(CircuitError, match="did you mean"):
        began("call_bell", BELL_BODY, ("bell:sings",))


def test_what_a_real_vehicle_shows_keeps_its_fault() -> None:
    """Readings of a vehicle with the fault never rule it out."""
    vehicle = Vehicle(LAMP, (OPEN_WIRE,), ON)
    case = _begun()
    for point in ("F.out", "SW.in", "SW.out", "C1.1", "C1.2"):
        test = _volts(point)
        assert test.what is not None
        case = _answered(case, test, f"{read(vehicle, test.what).exact:.2f} V")
        assert "W3" in _places(case)

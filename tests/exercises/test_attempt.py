"""An attempt is its events: folded all at once, from any point on, or one by one, it is one."""

from dataclasses import replace

import pytest

from exercises.actions import ChooseRepair, NameFault, PlaceLead, ReplaceFuse, TurnDial
from exercises.attempt import METER, Attempt, fold, step
from exercises.events import Draft, chained
from tests.exercises.learners import Learner, careful, entry, job

SHORT = "W12:chafed:0.02"


@pytest.fixture(scope="module")
def worked() -> Learner:
    """A job with everything in it: a blown fuse, slips, a wrong repair, the right one."""
    learner = Learner(job(SHORT, circuit="side_steps", shows_expected=True))
    learner.set(positions={"rocker": "deploy"})
    learner.do(ReplaceFuse("F3"))
    learner.probe("F3.in", "BODY", "ohms")
    learner.probe("BAT.pos", "BODY", "amps")
    learner.do(ReplaceFuse(METER))
    learner.set(unmated=["C1"], isolated=True)
    learner.do(NameFault("F3", "blown", "it is blown"), ChooseRepair("F3", "replace_fuse"))
    learner.do(NameFault("W12", "chafed", "ohms"), ChooseRepair("W12", "renew_wire"))
    learner.do(ReplaceFuse("F3"))
    learner.set(positions={"rocker": "deploy"})
    return learner


def test_folding_from_every_prefix_equals_folding_at_once(worked) -> None:
    exercise = worked.attempt.exercise
    for cut in range(len(worked.events) + 1):
        before = fold(exercise, worked.events[:cut])
        assert fold(exercise, worked.events[cut:], before) == worked.attempt


def test_stepping_one_by_one_equals_folding(worked) -> None:
    attempt = Attempt(worked.attempt.exercise)
    for event in worked.events:
        attempt = step(attempt, event)
    assert attempt == fold(worked.attempt.exercise, worked.events)


def test_folding_asks_no_solver(worked, monkeypatch) -> None:
    """What was shown is what was kept, whatever a later model would show."""

    def refuse(*_args, **_named):
        raise AssertionError("asked")

    for name in ("solve", "read", "observe"):
        monkeypatch.setattr(f"exercises.measuring.{name}", refuse)
    assert fold(worked.attempt.exercise, worked.events) == worked.attempt


def test_an_event_of_a_later_program_changes_nothing_but_its_number(worked) -> None:
    event = chained("A1", worked.events[-1], Draft("coffee", {"cups": 2}), key="k", at=9)
    assert step(worked.attempt, event) == replace(worked.attempt, last=event.seq)


def test_every_reading_is_a_line_of_the_log_with_its_setting(worked) -> None:
    entries = worked.attempt.entries
    assert [entry.no for entry in entries] == list(range(1, len(entries) + 1))
    ohms = next(e for e in entries if e.what.instrument == "ohms" and e.what.red == "F3.in")
    assert "rocker Deploy" in ohms.setting_words
    assert ohms.where == "F3.in to BODY"


def test_minutes_only_ever_grow(worked) -> None:
    spent = [fold(worked.attempt.exercise, worked.events[:n]).minutes for n in range(20)]
    assert spent == sorted(spent)


def test_leads_make_no_measurement_until_both_are_on() -> None:
    learner = Learner(job())
    assert learner.do(PlaceLead("red", "F1.out")).measurement() is None
    assert learner.attempt.entries == ()
    what = learner.do(PlaceLead("black", "BODY")).measurement()
    assert (what.instrument, what.red, what.black) == ("volts", "F1.out", "BODY")


def test_the_clamp_asks_for_no_leads() -> None:
    learner = Learner(job())
    learner.do(PlaceLead("red", "F1.out"), PlaceLead("black", "BODY"))
    assert learner.do(TurnDial("clamp")).measurement() is None


def test_a_reading_after_the_cure_is_no_evidence_of_the_fault() -> None:
    learner = Learner(job("G1:corroded:20"))
    learner.probe("C1.1", "BODY")
    before = learner.attempt.evidence
    learner.do(NameFault("G1", "corroded"), ChooseRepair("G1", "clean_ground"))
    learned = learner.attempt.evidence
    learner.probe("C1.2", "BODY")
    assert learned == learner.attempt.evidence == before


def test_a_reading_after_a_wrong_repair_is_evidence_still() -> None:
    learner = Learner(job("G1:corroded:20"))
    learner.do(NameFault("bell", "open"), ChooseRepair("bell", "replace_part"))
    before = len(learner.attempt.evidence)
    learner.probe("C1.2", "BODY")
    assert len(learner.attempt.evidence) > before


def test_what_a_healthy_vehicle_shows_is_told_only_where_the_exercise_says_so() -> None:
    told = Learner(job("W2:open", shows_expected=True)).probe("F1.out", "BODY")
    kept = Learner(job("W2:open")).probe("F1.out", "BODY")
    assert told.reading.expected.endswith(" V")
    assert kept.reading.expected == ""


def test_a_vehicle_of_two_faults_is_cured_when_both_are_put_right() -> None:
    learner = Learner(job("W5:open", "bell:open"))
    learner.do(NameFault("W5", "open"))
    assert not learner.do(ChooseRepair("W5", "renew_wire")).cured
    assert learner.do(ChooseRepair("bell", "replace_part")).cured


def test_a_careful_attempt_ends_closed_and_cured() -> None:
    attempt = careful(entry("W5:open")).attempt
    assert attempt.stage == "closed"
    assert attempt.cured
    assert not attempt.gave_up

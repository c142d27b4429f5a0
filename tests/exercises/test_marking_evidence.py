"""The evidence for marks: what minutes went on, a lucky guess called one, the same again later."""

import os
import subprocess
import sys

import pytest

from exercises.actions import (
    ChooseRepair,
    NameFault,
    PlaceLead,
    ReadAgain,
    ReplaceFuse,
)
from exercises.asking import TakeHint
from exercises.desk import rebuilt
from exercises.events import events_from_jsonl, events_to_jsonl
from exercises.files import library_entry, library_exercise
from exercises.marking import Mark, mark, weighed
from exercises.narrowing import could_tell, narrowing, questions
from tests.conftest import FULL
from tests.exercises.learners import ATTEMPT_ID, Learner, careful, job, lucky, name_the_truth
from tests.exercises.stores import PROJECT

NAME = "faint_bell"
_PATH = [{"because": "x", "set": {"push": "pressed"}, "volts": ["G1", "BODY"]}]


def _told(found: Mark, name: str) -> tuple[str, ...]:
    return next(column.evidence for column in found.columns if column.name == name)


def _walked(*, but: int = 0) -> Learner:
    learner = Learner(library_exercise(NAME))
    path = learner.attempt.exercise.path
    for step in path[: len(path) - but]:
        learner.take(step)
    return learner


def _named(learner: Learner) -> Mark:
    return mark(learner.do(name_the_truth(learner.attempt)))


def test_each_reading_of_a_good_path_could_tell_faults_apart() -> None:
    told = _told(_named(_walked()), "economy")
    assert told[1:] == ("Each of 3 readings could tell faults apart that were still possible.",)


def test_readings_that_could_tell_nothing_are_counted() -> None:
    """Two points of one node differ for no fault, whatever is still possible."""
    learner = _walked()
    learner.probe("BAT.pos", "F1.in")
    told = _told(_named(learner), "economy")
    assert "1 of 4 readings could tell no two faults apart." in told


def test_once_one_fault_is_left_no_reading_can_tell_anything() -> None:
    learner = _walked()
    before = len(learner.attempt.evidence)
    learner.set(positions={"push": "released"})
    learner.probe("C1.1", "BODY")
    exercise = learner.attempt.exercise
    told = could_tell(questions(exercise), learner.attempt.evidence)
    assert any(told[:before])
    assert not any(told[before:])


def test_a_reading_that_could_tell_nothing_left_what_was_possible_as_it_was() -> None:
    learner = Learner(library_exercise(NAME))
    for red, black in (("BAT.pos", "BODY"), ("F1.in", "F1.out"), ("C1.1", "BODY")):
        learner.probe(red, black)
    for step in learner.attempt.exercise.path:
        learner.take(step)
        learner.probe("BAT.pos", "BODY")
    asked, evidence = questions(learner.attempt.exercise), learner.attempt.evidence
    lefts = list(narrowing(asked, evidence))
    told = could_tell(asked, evidence)
    assert not all(told)
    for n, could in enumerate(told):
        assert could or lefts[n] == lefts[n + 1]


def test_a_reading_that_is_nonsense_could_tell_nothing() -> None:
    learner = Learner(library_exercise(NAME))
    learner.probe("BAT.pos", "BODY", "ohms")
    assert "ohms_live" in learner.attempt.reading.caution_names
    assert could_tell(questions(learner.attempt.exercise), learner.attempt.evidence) == (False,)


def test_watching_told_faults_apart_where_it_ruled_some_out() -> None:
    learner = Learner(library_exercise(NAME))
    learner.set(positions={"push": "pressed"})
    (seen,) = learner.attempt.evidence
    assert could_tell(questions(learner.attempt.exercise), [seen, seen]) == (True, False)


def test_one_repeat_makes_sure_and_a_second_is_told() -> None:
    learner = _walked()
    learner.do(ReadAgain())
    sure = _told(_named(learner), "economy")
    learner.do(ReadAgain(), ReadAgain())
    again = _told(_named(learner), "economy")
    assert not any("made sure" in sentence for sentence in sure)
    assert "2 readings repeated what had been made sure of already." in again


def test_the_same_reading_with_a_new_fuse_in_is_no_repeat() -> None:
    learner = _walked()
    for _ in range(2):
        learner.do(ReadAgain(), ReplaceFuse("F1"))
    assert not any("made sure" in told for told in _told(_named(learner), "economy"))


def test_a_repair_that_cured_nothing_is_told_where_its_minutes_count() -> None:
    learner = _walked()
    learner.do(NameFault("bell", "open"), ChooseRepair("bell", "replace_part"))
    before = _told(mark(learner.attempt), "economy")
    after = _told(_named(learner), "economy")
    assert not any("cured nothing" in told for told in before)
    assert "1 repair cured nothing." in after


def test_hints_before_naming_count_as_minutes_by_their_depth() -> None:
    learner = Learner(job("G1:corroded:7", hints=3, path=_PATH))
    learner.do(TakeHint(1, "Set it."), TakeHint(2, "Take volts."))
    for step in learner.attempt.exercise.path:
        learner.take(step)
    learner.do(TakeHint(1, "Leave it."))
    minutes = learner.attempt.minutes
    told = _told(_named(learner), "economy")
    assert told[0].startswith(f"{minutes + 4:.1f} minutes spent;")
    assert told[1] == "3 hints counted as 4 of them."
    after = mark(learner.do(TakeHint(2, "Too late.")))
    assert _told(after, "economy") == told


def test_a_right_name_without_proof_is_said_to_be_a_lucky_guess() -> None:
    guess = mark(lucky(library_exercise(NAME)).attempt)
    assert _told(guess, "proof")[-1] == "The name is right all the same: a lucky guess."
    assert not guess.evidenced
    assert weighed(guess) < 0.3


@pytest.mark.parametrize(("place", "kind"), [("W8", "open"), ("bell", "open")])
def test_a_wrong_guess_and_a_proved_name_are_no_lucky_guess(place, kind) -> None:
    wrong = mark(Learner(library_exercise(NAME)).do(NameFault(place, kind)))
    for found in (wrong, _named(_walked())):
        assert not any("lucky" in told for told in _told(found, "proof"))


def test_a_job_made_again_from_its_exported_events_has_the_same_mark() -> None:
    learner = careful(library_entry(NAME))
    learner_seeded = Learner(library_entry(NAME), seed=4)
    learner_seeded.set(positions={"push": "pressed"})
    learner_seeded.do(PlaceLead("red", "C1.1"), PlaceLead("black", "BODY"))
    learner_seeded.do(name_the_truth(learner_seeded.attempt))
    for one in (learner, learner_seeded):
        text = events_to_jsonl(ATTEMPT_ID, one.events)
        again = mark(rebuilt(events_from_jsonl(text)))
        assert again.to_json() == mark(one.attempt).to_json()


@pytest.mark.skipif(not FULL, reason="starts processes: LAB_FULL=1")
def test_another_process_makes_the_same_mark_of_the_same_events(tmp_path) -> None:
    """Whatever order sets come in there, and without any table."""
    learner = Learner(library_entry(NAME))
    learner.set(positions={"push": "pressed"})
    learner.probe("C1.1", "BODY")
    learner.do(name_the_truth(learner.attempt))
    path = tmp_path / "job.jsonl"
    path.write_text(events_to_jsonl(ATTEMPT_ID, learner.events), encoding="utf-8")
    command = [sys.executable, "-m", "exercises", "mark", str(path), "--json", "--sum"]
    told = {
        subprocess.run(
            command,
            cwd=PROJECT,
            env=os.environ | {"PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1

"""What would have been better at each step: never for the best, always for one that tells less."""

import pytest

from exercises.debrief import debrief
from exercises.files import library_exercise
from exercises.narrowing import narrowing, questions
from exercises.planning.hindsight import hindsight
from exercises.planning.hints import test_words as words_of
from exercises.planning.policy import plan_for, reference_path
from tests.conftest import FULL
from tests.exercises.learners import Learner
from tests.exercises.planning.tables import table_of

pytestmark = pytest.mark.skipif(not FULL, reason="builds a table: LAB_FULL=1")
EXERCISE = library_exercise("silent_bell")


@pytest.fixture(scope="module")
def plan():
    return plan_for(EXERCISE, table_of("call_bell"))


def test_on_the_path_worked_out_nothing_would_have_been_better(plan) -> None:
    learner = Learner(EXERCISE)
    for step in reference_path(EXERCISE, plan).steps:
        if step.test.setting != learner.attempt.setting:
            learner.set(**_parts(step.test.setting))
        if step.test.what is not None:
            learner.probe(step.test.what.red, step.test.what.black, step.test.what.instrument)
    pieces = learner.attempt.evidence
    for number, missed in enumerate(hindsight(learner.attempt, plan)):
        # What is seen on the way may make another reading better than the one set out for.
        if number == 0 or pieces[number - 1].shown is not None:
            assert missed is None


def _parts(setting) -> dict:
    return {"positions": dict(setting.positions), "isolated": setting.isolated}


def test_a_reading_that_tells_nothing_is_answered_with_one_that_does(plan) -> None:
    """With the push at rest no volts stand across its own wire, whatever is wrong."""
    learner = Learner(EXERCISE)
    learner.set(positions={"push": "pressed"})
    learner.probe("G1", "G2")
    attempt = learner.attempt
    *_, missed = hindsight(attempt, plan)
    assert missed is not None
    assert missed.of == len(list(narrowing(questions(EXERCISE), attempt.evidence))[1])
    assert 1 <= missed.leaves < missed.of
    told = debrief(attempt, plan).own_path[-1].better
    assert told.startswith(words_of(attempt.circuit, missed.test))
    assert told.endswith(f"of {missed.of}.")


def test_with_one_fault_left_nothing_would_have_been_better(plan) -> None:
    learner = Learner(EXERCISE)
    for step in EXERCISE.path:
        learner.take(step)
    learner.probe("G1", "BODY")
    *_, last = hindsight(learner.attempt, plan)
    assert last is None

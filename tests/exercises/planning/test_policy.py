"""The path worked out: proves what is hidden, costs what it says, beats halving."""

from random import Random
from statistics import mean

import pytest

from circuits.faults import all_faults
from circuits.model import Fault
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise
from exercises.files import library_exercise
from exercises.planning.allowed import permitted
from exercises.planning.choice import Plan
from exercises.planning.difficulty import BANDS, Difficulty, is_visible
from exercises.planning.policy import plan_for, reference_path
from tests.conftest import FULL
from tests.exercises.learners import Learner, job
from tests.exercises.planning.sequencing import Problem, half_split, small
from tests.exercises.planning.tables import CALL_BELL, table_of

JOBS = ("silent_bell", "faint_bell", "bell_never_stops")


def _path(exercise: Exercise, **choose):
    return reference_path(exercise, plan_for(exercise, table_of("call_bell")), **choose)


@pytest.mark.parametrize("name", JOBS)
def test_it_leaves_the_hidden_fault_alone(name) -> None:
    exercise = library_exercise(name)
    found = _path(exercise)
    assert [(f.place, f.kind) for f in found.group] == [(f.place, f.kind) for f in exercise.faults]


@pytest.mark.parametrize("name", JOBS)
def test_each_step_costs_minutes_and_never_brings_a_fault_back(name) -> None:
    found = _path(library_exercise(name))
    spent = [step.minutes for step in found.steps]
    left = [len(found.before), *(len(step.left) for step in found.steps)]
    assert spent == sorted(spent)
    assert left == sorted(left, reverse=True)
    assert found.minutes == spent[-1]
    assert len({step.test for step in found.steps}) == len(found.steps)


def test_a_learner_who_takes_its_tests_spends_its_minutes_and_is_left_with_the_same() -> None:
    exercise = library_exercise("faint_bell")
    learner = Learner(exercise)
    found = _path(exercise)
    for done in found.steps:
        if done.test.setting != learner.attempt.setting:
            learner.set(**_parts(done.test.setting))
        if done.test.what is not None:
            learner.probe(done.test.what.red, done.test.what.black, done.test.what.instrument)
            assert learner.attempt.reading.text == done.shown.text
    assert learner.attempt.minutes >= found.minutes


def _parts(setting) -> dict:
    return {
        "positions": dict(setting.positions),
        "unmated": setting.unmated,
        "pulled": setting.pulled,
        "isolated": setting.isolated,
        "moved": setting.moved,
    }


def test_where_nothing_is_at_fault_it_is_left_among_faults_too_slight_to_show() -> None:
    exercise = job()
    watching = Plan(table_of("call_bell"), lambda test: permitted(exercise, test) and not test.what)
    found = reference_path(exercise, watching)
    assert NO_FAULT in found.group
    assert ("W5", "open") not in {(f.place, f.kind) for f in found.group}


def test_it_beats_taking_the_test_that_halves_best_whatever_it_costs() -> None:
    table = table_of("call_bell")
    problems = [Problem(small(table, Random(n), candidates=10, tests=20)) for n in range(12)]
    halving = sum(problem.expected(half_split) for problem in problems)
    assert sum(problem.expected() for problem in problems) < 0.97 * halving


@pytest.mark.skipif(not FULL, reason="walks many jobs: LAB_FULL=1")
def test_it_beats_halving_on_whole_jobs() -> None:
    faults = all_faults(CALL_BELL)[::12]
    jobs = [job(f"{fault.place}:{fault.kind}") for fault in faults]
    ours = mean(_path(one).minutes for one in jobs)
    assert ours < 0.97 * mean(_path(one, choose=half_split).minutes for one in jobs)


def test_a_bell_that_is_silent_is_visible_and_a_leak_too_slight_is_not() -> None:
    assert is_visible(job("W4:open"))
    assert not is_visible(job("W8:chafed:100000"))
    assert not is_visible(job())


def test_harder_is_what_takes_longer_leaves_more_or_does_not_show() -> None:
    easy = Difficulty(4.0, 1, visible=True)
    assert easy.band == "easy"
    assert Difficulty(4.0, 8, visible=True).points > easy.points
    assert Difficulty(4.0, 1, visible=False).points > easy.points
    assert Difficulty(1000.0, 1, visible=True).band == "hard"
    assert [most for most, _ in BANDS] == sorted(most for most, _ in BANDS)


def test_the_path_knows_conditions() -> None:
    exercise = job("W5:open@moved", conditions=["moved"])
    found = _path(exercise)
    assert ("W5", "open") in {(f.place, f.kind) for f in found.group}
    assert any(step.test.setting.moved for step in found.steps)
    assert isinstance(found.group[0], Fault)

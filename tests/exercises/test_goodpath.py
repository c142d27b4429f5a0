"""The good path: walked like a learner, told when it does not solve its exercise."""

from dataclasses import replace

import pytest

from circuits.faults import parse_fault
from circuits.settings import setting_from
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise
from exercises.files import library_exercise
from exercises.goodpath import good_path, solvable
from tests.exercises.learners import Learner, job

PRESSED = {"push": "pressed"}


def _spots(faults) -> set[tuple[str, str]]:
    return {(fault.place, fault.kind) for fault in faults}


def _with_fault(exercise: Exercise, *texts: str) -> Exercise:
    return replace(exercise, faults=tuple(parse_fault(exercise.circuit, text) for text in texts))


def test_a_walked_step_shows_what_a_learner_sees_and_reads() -> None:
    exercise = library_exercise("faint_bell")
    learner = Learner(exercise)
    for walked in good_path(exercise).steps:
        attempt = learner.take(walked.step)
        assert walked.seen == attempt.seen
        if walked.shown is not None:
            assert walked.shown.text == attempt.entries[-1].shown.text


def test_it_costs_what_the_same_acts_cost_a_learner() -> None:
    for name in ("silent_bell", "faint_bell", "bell_never_stops"):
        exercise = library_exercise(name)
        learner = Learner(exercise)
        for walked in good_path(exercise).steps:
            assert learner.take(walked.step).minutes == pytest.approx(walked.minutes)


def test_it_starts_from_every_fault_and_from_none() -> None:
    before = good_path(library_exercise("faint_bell")).before
    assert NO_FAULT in before
    assert ("G1", "corroded") in _spots(before)


def test_a_path_that_ends_too_early_leaves_faults_elsewhere() -> None:
    exercise = library_exercise("faint_bell")
    shorter = replace(exercise, path=exercise.path[:-1])
    assert solvable(shorter) == ("faint_bell: its path leaves faults elsewhere: W8",)


def test_a_path_that_leaves_another_kind_at_the_same_place_solves() -> None:
    step = {"because": "x", "set": PRESSED, "volts": ["relay.30", "relay.87"]}
    exercise = job("relay.contact:contact_open", path=[step])
    assert _spots(good_path(exercise).group) == {
        ("relay.contact", "contact_open"),
        ("relay.contact", "contact_burnt"),
    }
    assert solvable(exercise) == ()


def test_a_fuse_that_goes_on_the_way_stays_blown_on_the_path() -> None:
    pressed = {"because": "x", "set": PRESSED}
    released = {"because": "x", "volts": ["F1.out", "BODY"]}
    path = good_path(job("W7:chafed:0.01", path=[pressed, released])).steps
    assert "Bell: silent" in path[0].seen
    assert path[1].shown is not None
    assert path[1].shown.value == pytest.approx(0, abs=0.01)


def test_no_fault_is_proved_by_working_every_position() -> None:
    both = [{"because": "x"}, {"because": "x", "set": PRESSED}]
    assert solvable(job(path=both)) == ()
    assert solvable(job(path=both[1:])) == ("job: its path never works push in released",)


def test_a_fault_that_shows_nowhere_need_not_be_ruled_out_where_there_is_none() -> None:
    exercise = job(path=[{"because": "x"}, {"because": "x", "set": PRESSED}])
    group = _spots(good_path(exercise).group)
    assert _spots([NO_FAULT]) < group
    assert ("W8", "open") not in group  # this one would show


def test_a_measurement_more_never_leaves_more() -> None:
    exercise = library_exercise("faint_bell")
    whole = _spots(good_path(exercise).group)
    for count in range(1, len(exercise.path)):
        shorter = replace(exercise, path=exercise.path[:count])
        assert whole <= _spots(good_path(shorter).group)


def test_getting_at_a_place_is_paid_for_once() -> None:
    exercise = library_exercise("silent_bell")
    setting = setting_from(exercise.circuit, positions=PRESSED)
    first, second = (
        now.minutes - before.minutes
        for before, now in zip(
            good_path(exercise).steps, good_path(exercise).steps[1:], strict=False
        )
    )
    assert exercise.path[1].setting == exercise.path[2].setting == setting
    assert (first, second) == (pytest.approx(4.5), pytest.approx(0.5))

"""The debrief: what it was, what cured it, and both paths side by side."""

import pytest

from exercises.actions import ChooseRepair, CloseJob, GiveUp, NameFault, ReplaceFuse
from exercises.debrief import debrief
from exercises.evidence import NO_FAULT
from exercises.files import library_exercise
from exercises.marking import mark
from tests.exercises.learners import Learner, careful, job, lucky, name_the_truth, right_repair

NAME = "faint_bell"


@pytest.fixture(scope="module")
def careful_one():
    return debrief(careful(library_exercise(NAME)).attempt)


def test_it_tells_what_it_was_with_how_bad(careful_one) -> None:
    assert careful_one.fault == "Ground G1: corroded, high resistance (7 Ω)"


def test_it_tells_what_cured_it(careful_one) -> None:
    assert careful_one.cure.startswith("Ground G1: ")
    assert careful_one.cure.endswith("That cured it.")


def test_it_holds_the_marks_of_the_attempt(careful_one) -> None:
    assert careful_one.mark == mark(careful(library_exercise(NAME)).attempt)


def test_both_paths_begin_with_the_same_number_and_end_with_the_one_fault(careful_one) -> None:
    assert careful_one.start > careful_one.own_path[0].left
    assert careful_one.own_path[-1].left == careful_one.good_path[-1].left == 1


def test_the_paths_number_of_faults_never_rises(careful_one) -> None:
    for path in (careful_one.own_path, careful_one.good_path):
        left = [row.left for row in path]
        assert left == sorted(left, reverse=True)


def test_only_the_good_path_gives_reasons(careful_one) -> None:
    assert all(row.why for row in careful_one.good_path)
    assert not any(row.why for row in careful_one.own_path)


def test_the_rows_of_a_path_are_numbered_and_tell_setting_and_reading(careful_one) -> None:
    for path in (careful_one.own_path, careful_one.good_path):
        assert [row.no for row in path] == list(range(1, len(path) + 1))
    last = careful_one.own_path[-1]
    assert last.done == "volts G1 to BODY (push Pressed)"
    assert last.showed == "4.633 V"


def test_lesson_and_like_case_are_those_of_the_exercise(careful_one) -> None:
    exercise = library_exercise(NAME)
    assert (careful_one.lesson, careful_one.like_case) == (exercise.lesson, exercise.like_case)


def test_readings_after_the_cure_are_no_part_of_the_own_path(careful_one) -> None:
    readings = [row for row in careful_one.own_path if row.done.startswith("volts")]
    assert len(readings) == len([s for s in library_exercise(NAME).path if s.measurement])


def test_a_guess_has_an_own_path_without_a_row() -> None:
    told = debrief(lucky(library_exercise(NAME)).attempt)
    assert told.own_path == ()
    assert len(told.good_path) == len(library_exercise(NAME).path)


def test_giving_up_earns_the_whole_debrief() -> None:
    learner = Learner(library_exercise(NAME))
    told = debrief(learner.do(GiveUp()))
    assert told.fault
    assert len(told.good_path) == len(library_exercise(NAME).path)
    assert told.cure == "No repair was chosen."


def test_a_repair_of_something_sound_is_told_as_no_cure() -> None:
    learner = Learner(library_exercise(NAME))
    learner.do(NameFault("W8", "open"), ChooseRepair("W8", "renew_wire"), CloseJob())
    assert debrief(learner.attempt).cure == "What was repaired did not cure it."


def test_where_nothing_was_at_fault_nothing_was_rightly_repaired() -> None:
    learner = Learner(job())
    learner.do(name_the_truth(learner.attempt), right_repair(learner.attempt), CloseJob())
    told = debrief(learner.attempt)
    assert told.fault == "No fault: it works as designed"
    assert told.cure == "Rightly nothing was repaired."


def test_a_new_fuse_and_a_reading_that_tells_nothing_are_rows_too() -> None:
    learner = Learner(job("W7:chafed:0.01"))
    learner.set(positions={"push": "pressed"})
    learner.probe("BAT.pos", "BODY", "amps")
    learner.probe("F1.out", "BODY", "amps")  # the meter's own fuse is gone
    learner.set()
    learner.do(ReplaceFuse("F1"))
    rows = debrief(learner.attempt).own_path
    assert any(row.done.startswith("new fuse F1, watched") for row in rows)
    assert {row.showed for row in rows if row.done.startswith("amps F1.out")} == {"0.000 A"}
    assert rows[-1].left > 0
    assert [row.minutes for row in rows] == sorted(row.minutes for row in rows)


def test_two_hidden_faults_are_both_told() -> None:
    learner = Learner(job("W5:open", "W8:open"))
    learner.do(NameFault(NO_FAULT.place, NO_FAULT.kind), GiveUp())
    told = debrief(learner.attempt).fault
    assert "W5" in told
    assert "W8" in told

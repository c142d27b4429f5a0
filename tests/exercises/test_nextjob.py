"""What to do next, by what went wrong: an instructor's choices, common practice, no source."""

from dataclasses import replace

import pytest

from exercises.attempt import Attempt
from exercises.exercise import Exercise
from exercises.files import exercise_names, library_exercise
from exercises.marking import COLUMNS, Column, Mark
from exercises.nextjob import NextJob, next_exercise

LIBRARY = [library_exercise(name) for name in exercise_names()]
OWN = library_exercise("left_step_dead")


def _mark(**scores: float) -> Mark:
    columns = [Column(name, scores.get(name, 1.0), "", ()) for name in COLUMNS]
    return Mark(tuple(columns), evidenced=True, up_to=1)


def _next(own: Exercise = OWN, done=(), attempt=None, **scores: float) -> NextJob:
    found = next_exercise(_mark(**scores), attempt or Attempt(own), LIBRARY, done)
    assert found is not None
    assert found.again or found.exercise.name != own.name
    assert found.reason.endswith(".")
    return found


def test_weak_proof_gets_the_same_skill_and_level_on_another_circuit() -> None:
    one = _next(proof=0.2).exercise
    assert (one.skill, one.level) == (OWN.skill, OWN.level)
    assert one.circuit.name != OWN.circuit.name


def test_a_wrong_name_gets_the_same_skill_no_harder_elsewhere() -> None:
    own = library_exercise("both_steps_slow")
    one = _next(own, diagnosis=0.0, proof=0.0).exercise
    assert one.skill == own.skill
    assert one.level <= own.level
    assert one.circuit.name != own.circuit.name


@pytest.mark.parametrize(
    ("slip", "instruments"),
    [
        ("ohms_live", {"ohms", "continuity", "diode"}),
        ("isolate_first", {"ohms", "continuity", "diode"}),
        ("amps_across_supply", {"amps", "clamp"}),
    ],
)
def test_want_of_care_gets_a_job_with_that_very_trap(slip, instruments) -> None:
    attempt = replace(Attempt(OWN), slips=("isolate_first", slip, slip))
    one = _next(attempt=attempt, care=0.5).exercise
    taken = {step.measurement.instrument for step in one.path if step.measurement}
    assert taken & instruments
    assert one.level <= OWN.level


def test_a_motor_held_at_its_stop_gets_a_motor() -> None:
    attempt = replace(Attempt(OWN), slips=("held_at_stop",))
    one = _next(attempt=attempt, care=0.75).exercise
    assert any(part.spec.sort == "motor" for part in one.circuit.parts)


def test_all_well_gets_the_next_level_and_at_the_last_another_of_it() -> None:
    assert _next().exercise.level == OWN.level + 1
    hardest = library_exercise("right_step_slow")
    assert hardest.level == 4
    assert _next(hardest).exercise.level == 4


def test_the_long_way_round_gets_the_same_level_again() -> None:
    found = _next(economy=0.3)
    assert found.exercise.level == OWN.level
    assert "long way" in found.reason


def test_economy_that_is_low_only_for_want_of_proof_is_no_long_way_round() -> None:
    assert "long way" not in _next(proof=0.7, economy=0.7).reason


def test_a_cure_that_was_not_shown_is_told_as_that() -> None:
    assert "not shown to be cured" in _next(confirmation=0.5).reason


def test_giving_up_earns_the_same_job_on_another_vehicle() -> None:
    found = _next(attempt=replace(Attempt(OWN), gave_up=True), diagnosis=0.0)
    assert found.again
    assert found.exercise.name == OWN.name


def test_what_was_done_before_comes_again_only_when_nothing_else_is_left() -> None:
    first = _next().exercise
    assert _next(done={first.name}).exercise.name != first.name
    every = {one.name for one in LIBRARY}
    assert _next(done=every).exercise == first


def test_a_library_of_this_one_alone_has_no_next() -> None:
    assert next_exercise(_mark(), Attempt(OWN), [OWN]) is None


@pytest.mark.parametrize("weak", [{}, {"proof": 0.0}, {"care": 0.0}, {"diagnosis": 0.0}], ids=str)
def test_there_is_a_next_for_every_exercise(weak) -> None:
    """Whatever a learner has done, in whichever way."""
    for own in LIBRARY:
        found = next_exercise(_mark(**weak), Attempt(own), LIBRARY)
        assert found is not None
        assert found.exercise.name != own.name

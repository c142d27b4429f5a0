"""Ambiguity groups as marked, by the path of an exercise, and as worked out from a table."""

from dataclasses import replace

import pytest

from exercises.actions import NameFault
from exercises.exercise import Exercise, Step
from exercises.files import LIBRARY, library_exercise
from exercises.goodpath import good_path
from exercises.marking import mark
from exercises.planning.groups import group_of
from exercises.planning.policy import plan_for
from tests.conftest import FULL
from tests.exercises.learners import Learner, job
from tests.exercises.planning.tables import table_of

pytestmark = pytest.mark.skipif(not FULL, reason="walks many paths: LAB_FULL=1")

SHUT = {"closed_places": ["dash", "loom"], "instruments": ["volts"]}
"""Rules under which several faults of the call bell cannot be parted."""

CIRCUITS = ("call_bell", "rear_lamps")


def _spots(faults) -> set[tuple[str, str]]:
    return {(fault.place, fault.kind) for fault in faults}


def _by_table(exercise: Exercise) -> set[tuple[str, str]]:
    (fault,) = exercise.faults
    plan = plan_for(exercise, table_of(exercise.circuit.name))
    return {(fault.place, fault.kind), *group_of(plan, fault, exercise.conditions).others}


def _with_every_test(exercise: Exercise) -> Exercise:
    """Return an exercise whose path takes every test that its rules allow."""
    plan = plan_for(exercise, table_of(exercise.circuit.name))
    path = tuple(Step(test.setting, test.what, "x") for test in plan.tests)
    return replace(exercise, path=path)


@pytest.mark.parametrize("fault", ["relay.coil:coil_open", "W5:open", "C1.1:backed_out"])
def test_whoever_names_any_of_a_group_has_diagnosis_and_proof_in_full(fault) -> None:
    """Readings together part more than any of them alone, by what they have in common; a table
    looks at each alone."""
    exercise = _with_every_test(job(fault, **SHUT))
    group = _spots(good_path(exercise).group)
    assert 1 < len(group) <= len(_by_table(exercise)) <= len(group) + 2
    assert group <= _by_table(exercise)
    learner = Learner(exercise)
    for walked in exercise.path:
        learner.take(walked)
    for place, kind in sorted(group):
        found = mark(learner.do(NameFault(place, kind)))
        assert (found.score("diagnosis"), found.score("proof")) == (1, 1)


def _jobs() -> list[Exercise]:
    found = [library_exercise(path.stem) for path in sorted(LIBRARY.glob("*.toml"))]
    return [one for one in found if one.circuit.name in CIRCUITS and len(one.faults) == 1]


@pytest.mark.parametrize("exercise", _jobs() if FULL else [], ids=lambda one: one.name)
def test_a_path_of_the_library_leaves_nothing_that_another_allowed_test_parts(exercise) -> None:
    (fault,) = exercise.faults
    left = _spots(good_path(exercise).group)
    fuses = {part.name for part in exercise.circuit.parts if part.spec.sort == "fuse"}
    if fault.place in fuses:
        # A table takes fuses as whole when found; blown and underrated have one cure.
        assert {place for place, _ in left} == {fault.place}
    else:
        assert left <= _by_table(exercise)

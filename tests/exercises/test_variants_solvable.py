"""Every variant can be solved by the path in the file: the furthest out are tried of each.

A candidate is weighed on its own, so whether the path keeps the truth is asked of the truth
alone: quick, and done for all that lie far out. That nothing else is left takes every fault of
the circuit; it is asked of the mildest variant, from which the others are hardest to tell.
"""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from exercises.candidates import Candidates
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise
from exercises.files import exercise_names, library_exercise
from exercises.goodpath import path_evidence, solvable
from exercises.narrowing import question_for
from exercises.variants import draw_variant, varied
from tests.conftest import FULL
from tests.exercises.far_variants import far_variants

EVERYDAY = ("silent_bell", "faint_bell", "left_step_dead", "depends_how_you_hold_it")
"""With and without severities and other faults, and quick to walk."""

NAMES = exercise_names() if FULL else EVERYDAY

SLOW = "charging"
"""Its regulator settles step by step: one walk takes half a minute, and a few must do."""
TRIED_OF_SLOW = {"bright_while_it_runs"}


def _draws(exercise: Exercise) -> bool:
    return bool(exercise.severity or exercise.also)


def _walked() -> Iterator[str]:
    for name in NAMES if FULL else ("faint_bell",):
        exercise = library_exercise(name)
        if _draws(exercise) and (exercise.circuit.name != SLOW or name in TRIED_OF_SLOW):
            yield name


def _ruled_out(exercise: Exercise) -> Iterator[str]:
    """Yield the hidden faults that the exercise's own path rules out."""
    for fault in exercise.faults or (NO_FAULT,):
        beside = question_for(exercise, fault).beside
        candidates = Candidates(exercise.circuit, (fault,), exercise.conditions, beside)
        for piece in path_evidence(exercise):
            candidates.weigh(piece)
        if not candidates.left():
            yield f"{fault.place}:{fault.kind}"


@pytest.mark.parametrize("name", NAMES)
def test_its_path_keeps_the_truth_on_every_variant_that_lies_far_out(name) -> None:
    exercise = library_exercise(name)
    tried = list(far_variants(exercise))
    assert len(tried) >= 2
    found = {words: list(_ruled_out(varied(exercise, variant))) for words, variant in tried}
    assert {words: faults for words, faults in found.items() if faults} == {}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", [11, 12])
def test_its_path_keeps_the_truth_on_variants_drawn(name, seed) -> None:
    exercise = library_exercise(name)
    assert list(_ruled_out(varied(exercise, draw_variant(exercise, seed)))) == []


@pytest.mark.parametrize("name", tuple(_walked()))
def test_its_path_leaves_nothing_else_where_the_fault_is_at_its_mildest(name) -> None:
    exercise = library_exercise(name)
    _, mildest = next(far_variants(exercise))
    assert solvable(varied(exercise, mildest)) == ()


def test_a_path_on_a_vehicle_without_the_fault_rules_it_out() -> None:
    """So the check can fail: what a sound bell shows does not let it be silent."""
    exercise = library_exercise("silent_bell")
    [fault] = exercise.faults
    candidates = Candidates(exercise.circuit, (fault,))
    for piece in path_evidence(replace(exercise, faults=())):
        candidates.weigh(piece)
    assert candidates.left() == ()

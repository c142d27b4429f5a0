"""Variants: another vehicle for each seed, the same one for the same seed, kept as drawn."""

import pytest

from circuits.instruments import Measurement, read
from circuits.settings import setting_from
from exercises.attempt import Attempt, fold
from exercises.desk import began, rebuilt
from exercises.events import Draft, chained
from exercises.files import library_entry, library_exercise
from exercises.goodpath import good_path
from exercises.variants import draw_variant, variant_from_json, variant_to_json, varied

NAME = "right_step_slow"


def _volts(exercise) -> str:
    setting = setting_from(exercise.circuit, positions={"rocker": "deploy"})
    vehicle = exercise.vehicle().with_setting(setting)
    return read(vehicle, Measurement("volts", "C2.3", "C2.4")).display


def test_seed_0_is_the_exercise_as_written() -> None:
    exercise = library_exercise(NAME)
    assert varied(exercise, draw_variant(exercise, 0)) == exercise


def test_the_same_seed_draws_the_same_vehicle() -> None:
    exercise = library_exercise(NAME)
    assert draw_variant(exercise, 7) == draw_variant(exercise, 7)


def test_no_two_learners_have_the_same_numbers() -> None:
    exercise = library_exercise(NAME)
    shown = {_volts(varied(exercise, draw_variant(exercise, seed))) for seed in range(1, 13)}
    assert len(shown) > 8


def test_every_part_stays_within_its_tolerance() -> None:
    exercise = library_exercise(NAME)
    scatter = dict(draw_variant(exercise, 3).scatter)
    assert len(scatter) > 50
    assert all(-1 <= at <= 1 for at in scatter.values())


def test_a_variant_survives_being_kept_as_data() -> None:
    variant = draw_variant(library_exercise(NAME), 5)
    assert variant_from_json(variant_to_json(variant)) == variant


def test_the_first_event_carries_the_variant_that_was_drawn() -> None:
    entry, exercise = library_entry(NAME), library_exercise(NAME)
    event = chained("A1", None, began(entry, 9), key="k", at=1)
    attempt = rebuilt((event,))
    assert attempt.exercise == varied(exercise, draw_variant(exercise, 9))
    assert attempt.vehicle().scatter


def test_an_attempt_from_before_variants_is_the_exercise_as_written() -> None:
    exercise = library_exercise(NAME)
    event = chained("A1", None, Draft("began", {"seed": 4}), key="k", at=1)
    assert fold(exercise, [event]) == Attempt(exercise, last=1)


@pytest.mark.parametrize("name", ["left_step_dead", "right_step_slow", "faint_bell"])
@pytest.mark.parametrize("seed", [11, 12, 13])
def test_the_good_path_keeps_the_truth_on_another_vehicle(name, seed) -> None:
    exercise = library_exercise(name)
    other = varied(exercise, draw_variant(exercise, seed))
    left = {(fault.place, fault.kind) for fault in good_path(other).group}
    assert {(fault.place, fault.kind) for fault in other.faults} <= left

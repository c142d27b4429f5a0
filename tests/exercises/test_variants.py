"""Variants: another vehicle for each seed, the same one for the same seed, kept as drawn."""

import pytest

from circuits.files import circuit_names, library_circuit
from circuits.instruments import Measurement, read, read_many
from circuits.settings import setting_from
from exercises.attempt import Attempt, fold
from exercises.desk import began, rebuilt
from exercises.events import Draft, chained
from exercises.files import exercise_names, library_entry, library_exercise
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


def _readings(name: str, seeds: range) -> list[tuple[str, ...]]:
    """Return what the measurements of an exercise's good path show, a row for each seed."""
    exercise = library_exercise(name)
    others = [varied(exercise, draw_variant(exercise, seed)) for seed in seeds]
    columns = [
        read_many([one.vehicle().with_setting(step.setting) for one in others], step.measurement)
        for step in exercise.path
        if step.measurement is not None
    ]
    return [tuple(reading.display for reading in row) for row in zip(*columns, strict=True)]


def test_no_two_of_200_seeds_show_the_same_numbers() -> None:
    """Even as the display rounds them, over the three readings of one good path."""
    rows = _readings("faint_bell", range(1, 201))
    assert len(rows) == len(set(rows)) == 200


@pytest.mark.parametrize("circuit", circuit_names())
def test_a_variant_has_a_battery_of_its_own(circuit) -> None:
    """Its volts at rest and its inner resistance, in each circuit there is."""
    name = next(n for n in exercise_names() if library_exercise(n).circuit.name == circuit)
    scatters = [dict(draw_variant(library_exercise(name), seed).scatter) for seed in (1, 2)]
    [battery] = [p.name for p in library_circuit(circuit).parts if p.spec.sort == "battery"]
    for unknown in (f"{battery}:emf", f"{battery}:ohm"):
        assert scatters[0][unknown] != scatters[1][unknown]


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

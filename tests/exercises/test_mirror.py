"""The other side of the vehicle: the same job with every name of the side changed over."""

import pytest

from circuits.faults import fault_places
from circuits.files import library_circuit
from circuits.model import AS_FOUND
from exercises.files import ExerciseFileError, library_exercise
from exercises.goodpath import good_path, solvable
from exercises.mirror import Mirror, mirrored
from exercises.variants import draw_variant, variant_from_json, variant_to_json, varied
from tests.exercises.learners import job

SIDES = ("right_step_slow", "one_brake_lamp")


@pytest.mark.parametrize("circuit", ["side_steps", "rear_lamps"])
def test_every_place_has_one_on_the_other_side_that_leads_back(circuit) -> None:
    circuit = library_circuit(circuit)
    mirror = Mirror(circuit)
    for place in fault_places(circuit):
        other = mirror.place(place.name)
        if other:  # a pair of wires across the middle has none
            assert mirror.place(other) == place.name


@pytest.mark.parametrize("circuit", ["side_steps", "rear_lamps"])
def test_a_wire_joins_on_the_other_side_what_it_joins_on_this(circuit) -> None:
    circuit = library_circuit(circuit)
    mirror = Mirror(circuit)
    for wire in circuit.wires:
        other = circuit.wire_by_name[mirror.name(wire.name)]
        assert (mirror.name(wire.start), mirror.name(wire.end)) == (other.start, other.end)
        assert wire.area_mm2 == other.area_mm2


@pytest.mark.parametrize("name", SIDES)
def test_the_path_of_the_other_side_solves_the_exercise_there(name) -> None:
    exercise = library_exercise(name)
    other = mirrored(exercise)
    assert other.faults[0].place != exercise.faults[0].place
    assert solvable(other) == ()
    assert len(good_path(other).group) == len(good_path(exercise).group)


def test_mirrored_twice_is_the_exercise_itself() -> None:
    exercise = library_exercise("right_step_slow")
    assert mirrored(mirrored(exercise)) == exercise


def test_seeds_draw_both_sides_and_the_side_is_kept_with_the_attempt() -> None:
    exercise = library_exercise("right_step_slow")
    drawn = [draw_variant(exercise, seed) for seed in range(1, 9)]
    assert {variant.faults[0].place for variant in drawn} == {
        "left_motor.winding",
        "right_motor.winding",
    }
    for variant in drawn:
        kept = varied(exercise, variant_from_json(variant_to_json(variant)))
        assert kept.path[-1].measurement.red[:2] == (
            "ML" if kept.faults[0].place.startswith("left") else "MR"
        )


def test_a_setting_of_the_middle_stays_as_it_is() -> None:
    assert Mirror(library_circuit("side_steps")).setting(AS_FOUND) == AS_FOUND


def test_a_text_that_names_a_side_is_refused() -> None:
    with pytest.raises(ExerciseFileError, match="a text says 'left'"):
        job("W4:open", circuit="side_steps", complaint="The left one is dead.", either_side=True)
    with pytest.raises(ExerciseFileError, match="a text says 'W4'"):
        job("W4:open", circuit="side_steps", lesson="Look at W4.", either_side=True)


def test_a_circuit_without_a_mirror_has_no_other_side() -> None:
    with pytest.raises(ExerciseFileError, match="call_bell has no mirror"):
        job("W5:open", either_side=True)

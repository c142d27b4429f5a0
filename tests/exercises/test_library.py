"""The exercises of the library: good files, solvable by their own rules, and discreet."""

import json
import re

import pytest

from circuits.behaviour import observe
from circuits.consequences import blown_fuses
from circuits.faultkinds import KINDS
from circuits.model import Fault, Vehicle
from circuits.operate import solve
from circuits.settings import setting_from
from exercises.cli import main
from exercises.files import LIBRARY, check_exercise_file, exercise_names, library_exercise
from exercises.goodpath import good_path, solvable
from tests.conftest import FULL

NAMES = exercise_names()
ON_FIRST_CIRCUITS = [
    name for name in NAMES if library_exercise(name).circuit.name in {"call_bell", "side_steps"}
]
EVERYDAY = ("silent_bell", "faint_bell", "left_step_stays_in", "new_fuse_blows")
WALKED = NAMES if FULL else EVERYDAY
"""Exercises whose paths are walked: few in every run, and all of them in the full run."""

DEPLOY, PRESSED = {"rocker": "deploy"}, {"push": "pressed"}
SIDES = ("left", "right")


def _both(kind: str, code: str) -> set[tuple[str, str]]:
    return {(f"{side}_{kind}", code) for side in SIDES}


# What each slip says, as settings and what is then seen or heard.
COMPLAINTS = [
    ("silent_bell", PRESSED, {("relay", "out"), ("bell", "silent")}),
    ("faint_bell", PRESSED, {("relay", "in"), ("bell", "faint")}),
    ("bell_never_stops", {}, {("relay", "in"), ("bell", "rings")}),
    ("left_step_dead", DEPLOY, {("left_motor", "still"), ("right_motor", "forward")}),
    ("left_step_dead", {}, {("left_motor", "still"), ("right_motor", "backward")}),
    ("left_step_dead", DEPLOY, _both("lamp", "bright")),
    ("both_steps_slow", DEPLOY, _both("motor", "forward_slow") | _both("lamp", "bright")),
    ("both_steps_slow", {}, _both("motor", "backward_slow")),
    (
        "steps_dead_at_the_depot",
        {"key": "off", "rocker": "deploy"},
        _both("motor", "still") | _both("lamp", "dark"),
    ),
    ("steps_dead_at_the_depot", DEPLOY, _both("motor", "forward")),
    ("right_step_stays_out", DEPLOY, _both("motor", "forward")),
    ("right_step_stays_out", {}, {("right_motor", "still"), ("left_motor", "backward")}),
    ("left_step_stays_in", DEPLOY, {("left_motor", "still"), ("right_motor", "forward")}),
    ("new_fuse_blows", DEPLOY, _both("motor", "still") | _both("lamp", "dark")),
    ("new_fuse_blows", {"rocker": "lamps"}, _both("lamp", "dark")),
    ("left_step_stays_out", DEPLOY, _both("motor", "forward")),
    ("left_step_stays_out", {}, {("left_motor", "still"), ("right_motor", "backward")}),
    ("right_step_slow", DEPLOY, {("right_motor", "forward_slow"), ("left_motor", "forward")}),
    ("right_step_slow", {}, {("right_motor", "backward_slow"), ("left_motor", "backward")}),
    ("dim_step_lamps", DEPLOY, _both("motor", "still")),
]


def _worked(name: str, positions: dict[str, str], faults: tuple[Fault, ...]) -> Vehicle:
    circuit = library_exercise(name).circuit
    fuses = frozenset()
    if name == "new_fuse_blows":  # the driver has used the rocker before the slip was written
        deployed = Vehicle(circuit, faults, setting_from(circuit, positions=DEPLOY))
        fuses = blown_fuses(deployed, solve(deployed))
        assert fuses == {"F3"}
    setting = setting_from(circuit, positions=positions)
    return Vehicle(circuit, faults, setting, fuses)


@pytest.mark.parametrize(
    ("name", "positions", "seen"),
    COMPLAINTS,
    ids=[f"{c[0]}, {c[1] or 'as found'}" for c in COMPLAINTS],
)
def test_the_vehicle_does_what_the_slip_says(name, positions, seen) -> None:
    exercise = library_exercise(name)
    severities = exercise.severity or (None,)
    for severity in severities:
        faults = exercise.faults
        if severity is not None:
            faults = (Fault(faults[0].place, faults[0].kind, severity),)
        found = {(one.part, one.code) for one in observe(_worked(name, positions, faults))}
        assert seen <= found


def test_step_lamps_only_glow_where_the_slip_says_so() -> None:
    exercise = library_exercise("dim_step_lamps")
    vehicle = _worked("dim_step_lamps", {"rocker": "lamps"}, exercise.faults)
    codes = {one.code for one in observe(vehicle) if one.part.endswith("lamp")}
    assert codes == {"glow"}


@pytest.mark.parametrize("name", NAMES)
def test_an_exercise_of_the_library_is_a_good_file(name) -> None:
    assert check_exercise_file(LIBRARY / f"{name}.toml") == ()


@pytest.mark.parametrize("name", WALKED)
def test_its_path_solves_it_and_no_step_lets_a_fault_come_back(name) -> None:
    """It leaves the true fault, and nothing that is repaired elsewhere."""
    exercise = library_exercise(name)
    path = good_path(exercise)
    counts = [len(path.before), *(len(walked.left) for walked in path.steps)]
    assert counts == sorted(counts, reverse=True)
    assert solvable(exercise) == ()


def test_there_are_twelve_exercises_and_more_on_the_first_two_circuits() -> None:
    assert len([name for name, _, _ in COMPLAINTS if name in NAMES]) == len(COMPLAINTS)
    assert len(ON_FIRST_CIRCUITS) >= 12


def test_no_two_slips_have_one_number() -> None:
    slips = [library_exercise(name).slip for name in NAMES]
    assert len(set(slips)) == len(slips)


def test_there_is_a_first_lesson_on_each_of_the_first_two_circuits() -> None:
    found = [library_exercise(name) for name in ON_FIRST_CIRCUITS]
    assert {one.circuit.name for one in found if one.level == 1} == {"call_bell", "side_steps"}
    assert all(one.shows_expected for one in found if one.level == 1)


def test_the_rules_of_at_least_two_exercises_take_something_away() -> None:
    bound = [
        name
        for name in ON_FIRST_CIRCUITS
        if library_exercise(name).closed_places or len(library_exercise(name).instruments) < 7
    ]
    assert len(bound) >= 2


def test_a_path_takes_longer_or_more_thought_at_a_higher_level() -> None:
    minutes: dict[int, list[float]] = {}
    for name in EVERYDAY:
        exercise = library_exercise(name)
        minutes.setdefault(exercise.level, []).append(good_path(exercise).minutes)
    means = [sum(minutes[level]) / len(minutes[level]) for level in sorted(minutes)]
    assert means[0] < means[-1]


@pytest.mark.parametrize("name", NAMES)
def test_what_a_learner_reads_before_the_job_does_not_name_the_fault(name) -> None:
    exercise = library_exercise(name)
    shown = f"{exercise.title} {exercise.skill} {exercise.complaint}"
    places = {place for fault in exercise.faults for place in fault.place.split("+")}
    assert not {place for place in places if re.search(rf"\b{re.escape(place)}\b", shown)}
    assert not {f.kind for f in exercise.faults if KINDS[f.kind].words in shown.lower()}


@pytest.mark.parametrize("key", ["asks_suspects", "asks_expected"])
def test_several_exercises_ask_beyond_first_lessons_and_no_first_lesson_does(key) -> None:
    asking = [
        library_exercise(name).level for name in NAMES if getattr(library_exercise(name), key)
    ]
    assert len(asking) >= 6
    assert set(asking) == {2, 3, 4}


def test_the_list_tells_no_hidden_fault(capsys) -> None:
    assert main(["list", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["exercises"]
    assert {row["name"] for row in rows} == set(NAMES)
    for row in rows:
        text = json.dumps(row)
        for fault in library_exercise(row["name"]).faults:
            assert f"{fault.place}:{fault.kind}" not in text
            assert "faults" not in row


def test_the_list_for_instructors_tells_it(capsys) -> None:
    assert main(["list", "--answers", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["exercises"]
    told = {row["name"]: row["faults"] for row in rows}
    assert told["silent_bell"] == ["relay.coil:coil_open"]
    assert told["steps_dead_at_the_depot"] == []

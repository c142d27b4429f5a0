"""A wish becomes an exercise: with a path worked out, checked, and told how hard it is."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from circuits.files import circuit_from
from circuits.model import Circuit, Fault, Setting
from circuits.settings import setting_from, switches
from exercises.authoring.symptom_words import suggested_complaint
from exercises.authoring.wish import Wish
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise, Step
from exercises.files import LibraryExercise, exercise_from
from exercises.goodpath import good_path, solvable
from exercises.planning.allowed import AllowedTest
from exercises.planning.policy import Done, plan_for, reference_path
from exercises.planning.review import Review, advice, review
from exercises.planning.table import Table
from exercises.skills import SKILLS

SLIP = 9001
"""Slips from here on are those of instructors."""

_LESSON = "The good path beside yours shows how it could be found, and what each test ruled out."
_NO_CASE = "Nobody has written down a like case yet. Tell yours in the workshop."


@dataclass(frozen=True)
class Composed:
    """An exercise that was made, and what is to be known before it is set.

    Attributes
    ----------
    problems : why it cannot be set, a sentence each; empty when it can.
    review : path, groups and difficulty.
    advice : what would make it better, a sentence each.
    """

    entry: LibraryExercise
    exercise: Exercise
    problems: tuple[str, ...]
    review: Review
    advice: tuple[str, ...]


def composed(
    wish: Wish, circuit_name: str, circuit_body: dict[str, Any], table: Table, *, number: int = 1
) -> Composed:
    """Return the exercise that a wish makes of a circuit.

    Parameters
    ----------
    table : of this circuit.
    number : tells exercises of one circuit apart.

    Raises
    ------
    CircuitError, ExerciseFileError
        If the circuit is no good one, or the wish cannot be one of its exercises: a sentence
        per problem.
    """
    circuit = circuit_from(circuit_body, name=circuit_name)
    name = f"set {circuit_name} {number}"
    bare = _body(wish, circuit, number) | {"path": [_step_row(AllowedTest(Setting(), None), "-")]}
    exercise = exercise_from(bare, circuit, name=name)
    path = reference_path(exercise, plan_for(exercise, table))
    rows = [*_worked(exercise), *_rows(path.steps, len(path.before))]
    body = {**bare, "path": rows}
    made = exercise_from(body, circuit, name=name)
    problems = solvable(made)
    found = review(made, table, good_path(made).group)
    return Composed(
        LibraryExercise(name, body, circuit_name, circuit_body),
        made,
        tuple(_without_name(problem, name) for problem in problems),
        found,
        advice(found, found.path.minutes),
    )


def _without_name(problem: str, name: str) -> str:
    return problem.removeprefix(f"{name}: ")


def _body(wish: Wish, circuit: Circuit, number: int) -> dict[str, Any]:
    body: dict[str, Any] = {
        "title": f"{circuit.title}, set by an instructor",
        "circuit": circuit.name,
        "slip": SLIP + number - 1,
        "complaint": wish.complaint.strip() or suggested_complaint(circuit, wish.faults),
        "level": wish.level,
        "skill": wish.skill or SKILLS[0].title,
        "faults": [fault_text(fault) for fault in wish.faults],
        "lesson": _LESSON,
        "like_case": _NO_CASE,
        "instruments": list(wish.instruments),
        "closed_places": list(wish.closed_places),
        "hints": wish.hints,
        "shows_expected": wish.shows_expected,
        "asks_suspects": wish.asks_suspects,
        "asks_expected": wish.asks_expected,
    }
    return body | ({"conditions": list(wish.conditions)} if wish.conditions else {})


def fault_text(fault: Fault) -> str:
    """Return a fault as exercise files write it.

    >>> fault_text(Fault("W4", "high_resistance", 2.5, "moved"))
    'W4:high_resistance:2.5@moved'
    """
    severity = f":{fault.severity!r}" if fault.severity else ""
    when = f"@{fault.when}" if fault.when else ""
    return f"{fault.place}:{fault.kind}{severity}{when}"


def _worked(exercise: Exercise) -> Iterator[dict[str, Any]]:
    """Yield, where nothing is at fault, steps that work every switch in every position."""
    if exercise.faults:
        return
    for name, spec in switches(exercise.circuit):
        for position in spec.positions:
            setting = setting_from(exercise.circuit, positions={name: position})
            yield _step_row(AllowedTest(setting, None), "Work it in every position and watch.")


def _rows(steps: tuple[Done, ...], before: int) -> Iterator[dict[str, Any]]:
    for done in steps:
        left = len(done.left)
        yield _step_row(done.test, _because(before, left))
        before = left


def _because(before: int, left: int) -> str:
    """Return why a step is taken, in what it leaves.

    >>> _because(40, 3), _because(3, 3)
    ('Of 40 things that it could be, this leaves 3.', 'It tells how bad it is.')
    """
    if left == before:
        return "It tells how bad it is."
    return f"Of {before} things that it could be, this leaves {left}."


def _step_row(test: AllowedTest, because: str) -> dict[str, Any]:
    """Return a test as a step of an exercise file."""
    row: dict[str, Any] = {"because": because, **_setting_row(test.setting)}
    what = test.what
    if what is None:
        return row
    if what.instrument == "clamp":
        row["clamp"] = what.wire
    else:
        row[what.instrument] = [what.red, what.black]
    flags: Mapping[str, Any] = {"zeroed": what.zeroed, "hold": what.hold, "load_w": what.load_w}
    return row | {name: value for name, value in flags.items() if value}


def _setting_row(setting: Setting) -> dict[str, Any]:
    row: dict[str, Any] = {
        "set": dict(setting.positions),
        "unmate": sorted(setting.unmated),
        "pull": sorted(setting.pulled),
        "isolate": setting.isolated,
        "jumpers": [[jumper.start, jumper.end] for jumper in setting.jumpers],
        "wiggle": setting.moved,
        "warm": setting.warm,
    }
    return {name: value for name, value in row.items() if value} | {"moment": setting.moment}


def steps_of(composed_one: Composed) -> tuple[Step, ...]:
    """Return the path that was worked out, as steps."""
    return composed_one.exercise.path


def with_faults(wish: Wish, *faults: Fault) -> Wish:
    """Return a wish for other faults, its complaint suggested anew."""
    real = tuple(fault for fault in faults if fault != NO_FAULT)
    return replace(wish, faults=real, complaint="")

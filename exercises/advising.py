"""What the commands that advise tell: the next test, what is left, a review of an exercise."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from circuits.model import Circuit
    from exercises.attempt import Attempt
    from exercises.exercise import Exercise
    from exercises.explaining.telling import Learned
    from exercises.goodpath import GoodPath
    from exercises.planning.groups import Group, Parting
    from exercises.planning.policy import Done
    from exercises.planning.table import Table

TABLES = Path(__file__).resolve().parent.parent / ".lab" / "tables"
"""Where tables are kept when nobody says."""


def tables_argument(sub: argparse.ArgumentParser) -> None:
    """Add where tables are kept."""
    words = "folder in which what every fault shows is kept once it is worked out"
    sub.add_argument("--tables", metavar="FOLDER", type=Path, default=TABLES, help=words)


def table_for(circuit: Circuit, folder: Path, *, workers: int = 1) -> Table:
    """Return the table of a circuit, built now if the folder does not hold it.

    Whoever watches a terminal sees how far it is.

    Raises
    ------
    OSError
        If it cannot be kept.
    """
    from exercises.planning.ahead import build_ahead  # noqa: PLC0415

    def tell(share: float) -> None:
        if sys.stderr.isatty():
            end = "\n" if share >= 1 else ""
            sys.stderr.write(f"\r{circuit.name}: {100 * share:.0f} % of its table{end}")

    return build_ahead(folder, circuit, workers=workers, progress=tell)


def tables_data(names: Iterable[str], folder: Path, *, workers: int) -> dict[str, Any]:
    """Build the tables of circuits of the library, all without names, and tell of each.

    Raises
    ------
    CircuitError
        If the library has no circuit of a name.
    OSError
        If one cannot be kept.
    """
    from circuits.files import LIBRARY, library_circuit  # noqa: PLC0415
    from exercises.planning.keep import file_of  # noqa: PLC0415

    rows = []
    for name in names or sorted(path.stem for path in LIBRARY.glob("*.toml")):
        circuit = library_circuit(name)
        table = table_for(circuit, folder, workers=workers)
        cells, tests = len(table.cells), len(table.tests)
        path = str(file_of(folder, circuit))
        rows.append({"circuit": name, "cells": cells, "tests": tests, "kept": path})
    return {"tables": rows}


def tables_lines(data: Mapping[str, Any]) -> Iterable[str]:
    """Yield a line a table."""
    for row in data["tables"]:
        yield f"{row['circuit']:<16}{row['cells']} cells in {row['tests']} tests: {row['kept']}"


def next_data(attempt: Attempt, folder: Path) -> dict[str, Any]:
    """Return the next best test of a job as it stands, and the hints to it."""
    from circuits.settings import setting_to_json  # noqa: PLC0415
    from exercises.planning.advice import hint_for  # noqa: PLC0415
    from exercises.planning.hints import DEPTHS, sound_words, test_words  # noqa: PLC0415
    from exercises.planning.policy import plan_for  # noqa: PLC0415
    from exercises.shown import measurement_to_json  # noqa: PLC0415

    plan = plan_for(attempt.exercise, table_for(attempt.circuit, folder))
    hints = [hint_for(attempt, plan, depth=depth) for depth in DEPTHS]
    choice = hints[-1].choice
    data: dict[str, Any] = {
        "exercise": attempt.exercise.name,
        "hints": [one.words for one in hints],
        "test": None,
    }
    if choice is not None:
        what = choice.test.what
        data["test"] = {
            "words": test_words(attempt.circuit, choice.test),
            "setting": setting_to_json(choice.test.setting),
            "what": None if what is None else measurement_to_json(what),
            "sound": sound_words(attempt.circuit, choice.test),
            "bits": round(choice.bits, 3),
            "minutes": round(choice.minutes, 2),
        }
    return data


def next_lines(data: Mapping[str, Any]) -> Iterable[str]:
    """Yield the next best test in words."""
    test = data["test"]
    if test is None:
        yield f"{data['exercise']}: {data['hints'][0]}"
        return
    yield f"{data['exercise']}: {test['words']}"
    yield f"  a sound vehicle: {test['sound']}"
    yield f"  it is expected to tell {test['bits']:g} bits in {test['minutes']:g} minutes"


def candidates_data(attempt: Attempt) -> dict[str, Any]:
    """Return the faults that a job's evidence leaves, likeliest first."""
    from exercises.explaining.learned import explained  # noqa: PLC0415
    from exercises.marking import words_for  # noqa: PLC0415
    from exercises.narrowing import narrowing, questions  # noqa: PLC0415
    from exercises.planning.advice import candidates_of, ranked  # noqa: PLC0415

    alone = questions(attempt.exercise)[:1]
    return {
        "exercise": attempt.exercise.name,
        "counts": [len(left) for left in narrowing(alone, attempt.evidence)],
        "left": [
            {
                "place": fault.place,
                "kind": fault.kind,
                "words": words_for(attempt.circuit, fault),
                "weight": round(weight, 4),
            }
            for fault, weight in ranked(candidates_of(attempt))
        ],
        "learned": [_learned_data(one) for one in explained(alone, attempt.evidence)],
    }


def _learned_data(learned: Learned) -> dict[str, Any]:
    return {
        "reading": learned.no,
        "setting": learned.setting,
        "found": learned.found,
        "sound": learned.sound,
        "before": learned.before,
        "left": learned.left,
        "ruled_out": [
            {"faults": [[f.place, f.kind] for f in one.faults], "reason": one.reason}
            for one in learned.ruled
        ],
        "narrowed": list(learned.narrowed),
        "told": list(learned.told),
    }


def candidates_lines(data: Mapping[str, Any]) -> Iterable[str]:
    """Yield the faults that are left in words."""
    left, counts = data["left"], data["counts"]
    yield f"{data['exercise']}: {len(left)} of {counts[0]} faults fit what was seen and read"
    if not left:
        yield "  no single fault does: doubt a reading, or think of two faults at once"
    for one in left:
        yield f"  {100 * one['weight']:5.1f} %  {one['words']}"
    for one in data["learned"]:
        yield f"  {'reading ' + str(one['reading']) if one['reading'] else 'watched'}:"
        yield from (f"    {sentence}" for sentence in one["told"])


def review_data(exercise: Exercise, folder: Path, written: GoodPath) -> dict[str, Any]:
    """Return what is worked out of an exercise: a path, groups, difficulty, advice."""
    from exercises.planning.review import advice, review  # noqa: PLC0415

    found = review(exercise, table_for(exercise.circuit, folder), written.group)
    hard = found.difficulty
    groups = zip(found.groups, found.partings, strict=True)
    return {
        "expected_minutes": round(found.path.minutes, 2),
        "worked_out": [_done_data(exercise, step) for step in found.path.steps],
        "groups": [_group_data(exercise, group, partings) for group, partings in groups],
        "difficulty": {
            "band": hard.band,
            "points": round(hard.points, 1),
            "minutes": round(hard.minutes, 2),
            "group": hard.group,
            "visible": hard.visible,
        },
        "advice": list(advice(found, written.minutes)),
    }


def _done_data(exercise: Exercise, step: Done) -> dict[str, Any]:
    from exercises.planning.hints import test_words  # noqa: PLC0415

    return {
        "done": test_words(exercise.circuit, step.test),
        "showed": step.shown.text if step.shown else "; ".join(step.seen),
        "minutes": round(step.minutes, 2),
        "left": len(step.left),
    }


def _group_data(exercise: Exercise, group: Group, partings: Iterable[Parting]) -> dict[str, Any]:
    from circuits.faults import describe  # noqa: PLC0415
    from exercises.planning.hints import test_words  # noqa: PLC0415
    from exercises.planning.review import spot_words  # noqa: PLC0415

    circuit = exercise.circuit
    return {
        "fault": describe(circuit, group.fault),
        "others": [
            {
                "place": one.spot[0],
                "kind": one.spot[1],
                "words": spot_words(circuit, one.spot),
                "parted_by": None if one.test is None else test_words(circuit, one.test),
            }
            for one in partings
        ],
    }


def review_lines(data: Mapping[str, Any]) -> Iterable[str]:
    """Yield the review of an exercise in words."""
    yield f"  worked out, it takes {data['expected_minutes']:g} minutes:"
    for number, step in enumerate(data["worked_out"], start=1):
        yield f"  {number}. {step['done']}: {step['showed']}"
        yield f"     after {step['minutes']:g} minutes {step['left']} left"
    for group in data["groups"]:
        others = [one["words"] for one in group["others"]]
        yield f"  nothing allowed parts from {group['fault']}: {'; '.join(others) or 'nothing'}"
    hard = data["difficulty"]
    shows = "shows when it is worked" if hard["visible"] else "does not show when it is worked"
    yield f"  difficulty: {hard['band']} ({hard['points']:g} points); the fault {shows}"
    yield from (f"  advice: {sentence}" for sentence in data["advice"])

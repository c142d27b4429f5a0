"""The command line: exercises listed and checked, attempts marked from their events.

A command prints its answer and returns 0, or one sentence on standard error and returns 2.
What solves is imported by the command that needs it.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from circuits.arguments import file_argument
from circuits.commands import Command, answer, tell
from circuits.model import CircuitError
from exercises import advising, record_commands, vehicle_commands

if TYPE_CHECKING:
    from exercises.attempt import Attempt
    from exercises.exercise import Exercise
    from exercises.goodpath import GoodPath
    from exercises.marking import Weights

LARGEST = 64_000_000
"""Most bytes of an events file: a long attempt has a few hundred thousand."""

MOST_LEFT = 12
"""Most faults that are named one by one in a line of text."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0, or 2 after one sentence on stderr."""
    return answer("python -m exercises", __doc__ or "", COMMANDS, argv)


LISTED = ("title", "circuit", "level", "slip", "skill", "complaint")


def _list(options: argparse.Namespace) -> int:
    """List the library by its files alone: no circuit is read for it."""
    from circuits.filecheck.toml_text import data_of  # noqa: PLC0415

    rows = []
    for path in sorted((Path(__file__).parent / "library").glob("*.toml")):
        told = data_of(path.read_text(encoding="utf-8"), file=path.name)
        row = {"name": path.stem, **{key: _joined(told[key]) for key in LISTED}}
        rows.append({**row, "faults": told["faults"]} if options.answers else row)
    rows.sort(key=lambda row: (row["level"], row["circuit"], row["slip"]))
    return tell(options, {"exercises": rows}, (_listed(row) for row in rows))


def _joined(value: Any) -> Any:
    return " ".join(value.split()) if isinstance(value, str) else value


def _listed(row: Mapping[str, Any]) -> str:
    line = f"{row['level']}  {row['name']:<26}{row['circuit']:<12}{row['title']}: {row['skill']}"
    if "faults" not in row:
        return line
    return f"{line} [{', '.join(row['faults']) or 'no fault'}]"


def _check(options: argparse.Namespace) -> int:
    from exercises.files import ExerciseFileError, exercise_of, load_entry  # noqa: PLC0415

    path: Path = options.file
    try:
        exercise = exercise_of(load_entry(path))
    except (ExerciseFileError, CircuitError) as error:
        return _problems(options, {"file": str(path), "problems": list(error.problems)})
    from exercises.goodpath import good_path, solvable  # noqa: PLC0415

    problems = solvable(exercise)
    data = {
        "file": str(path),
        "problems": list(problems),
        "solvable": not problems,
        **_path_data(exercise, good_path(exercise)),
        **advising.review_data(exercise, options.tables, good_path(exercise)),
    }
    tell(options, data, _path_lines(data))
    if problems and not options.json:
        print("\n".join(problems), file=sys.stderr)
    return 2 if problems else 0


def _problems(options: argparse.Namespace, data: Mapping[str, Any]) -> int:
    if options.json:
        print(json.dumps(data, ensure_ascii=False))
    else:
        print("\n".join(data["problems"]), file=sys.stderr)
    return 2


def _path_data(exercise: Exercise, good: GoodPath) -> dict[str, Any]:
    from circuits.settings import setting_words  # noqa: PLC0415
    from exercises.marking import words_for  # noqa: PLC0415

    circuit = exercise.circuit
    steps = []
    for walked in good.steps:
        what = walked.step.measurement
        done = f"{what.instrument} {what.where()}" if what else "watch it"
        steps.append(
            {
                "done": f"{done} ({setting_words(circuit, walked.step.setting)})",
                "showed": walked.shown.text if walked.shown else "; ".join(walked.seen),
                "because": walked.step.because,
                "minutes": round(walked.minutes, 2),
                "left": len(walked.left),
            }
        )
    return {
        "name": exercise.name,
        "level": exercise.level,
        "minutes": round(good.minutes, 2),
        "before": len(good.before),
        "steps": steps,
        "group": [
            {"place": fault.place, "kind": fault.kind, "words": words_for(circuit, fault)}
            for fault in good.group
        ],
    }


def _path_lines(data: Mapping[str, Any]) -> Iterable[str]:
    solved = "solvable" if data["solvable"] else "not solvable"
    yield f"{data['name']}: {solved}, level {data['level']}, {data['minutes']:g} minutes"
    yield f"  before the first step {data['before']} faults are possible"
    for number, step in enumerate(data["steps"], start=1):
        yield f"  {number}. {step['done']}: {step['showed']}"
        yield f"     {step['because']}"
        yield f"     after {step['minutes']:g} minutes {step['left']} left"
    yield f"  it leaves: {_few([fault['words'] for fault in data['group']])}"
    yield from advising.review_lines(data)


def _few(words: Sequence[str]) -> str:
    shown = "; ".join(words[:MOST_LEFT]) or "nothing"
    return f"{shown}; and {len(words) - MOST_LEFT} more" if len(words) > MOST_LEFT else shown


def _mark(options: argparse.Namespace) -> int:
    from exercises.marking import Weights, WeightsError, weights_from  # noqa: PLC0415

    try:
        weights = None if options.weights is None else weights_from(dict(options.weights))
    except WeightsError as error:
        raise CircuitError(f"--weights: {error}") from error
    if options.sum and weights is None:
        weights = Weights()
    data = _told_of(options.file, lambda job: _mark_data(job, weights))
    return tell(options, data, _mark_lines(data))


def _next(options: argparse.Namespace) -> int:
    data = _told_of(options.file, lambda job: advising.next_data(job, options.tables))
    return tell(options, data, advising.next_lines(data))


def _candidates(options: argparse.Namespace) -> int:
    data = _told_of(options.file, advising.candidates_data)
    return tell(options, data, advising.candidates_lines(data))


def _tables(options: argparse.Namespace) -> int:
    data = advising.tables_data(options.circuits, options.tables, workers=options.workers)
    return tell(options, data, advising.tables_lines(data))


def _text_in(path: Path) -> str:
    size = path.stat().st_size
    if size > LARGEST:
        raise CircuitError(f"{path.name}: found {size:,} bytes; accepted: up to {LARGEST:,}")
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CircuitError(
            f"{path.name}: byte {error.start + 1} is not UTF-8; accepted: text saved as UTF-8"
        ) from None


def _told_of(path: Path, tell_of: Callable[[Attempt], dict[str, Any]]) -> dict[str, Any]:
    """Return what is told of the attempt in an events file, and the file.

    Raises
    ------
    CircuitError
        If the file does not hold an attempt.
    """
    from exercises.attempt import AttemptError  # noqa: PLC0415
    from exercises.desk import rebuilt  # noqa: PLC0415
    from exercises.events import EventsError, events_from_jsonl  # noqa: PLC0415
    from exercises.files import ExerciseFileError  # noqa: PLC0415

    file, text = path.name, _text_in(path)
    try:
        return {"file": str(path), **tell_of(rebuilt(events_from_jsonl(text)))}
    except (EventsError, AttemptError) as error:
        raise CircuitError(f"{file}: {error}") from error
    except ExerciseFileError as error:
        raise CircuitError(*error.problems) from error
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        # Bodies are kept as they are: one made by hand may hold anything.
        raise CircuitError(
            f"{file}: its events cannot be read; accepted: events as this program writes them"
        ) from error


def _mark_data(attempt: Attempt, weights: Weights | None = None) -> dict[str, Any]:
    from exercises.marking import mark, weighed, words_for  # noqa: PLC0415
    from exercises.narrowing import questions, still_possible  # noqa: PLC0415

    made = mark(attempt)
    named = attempt.named[-1] if attempt.named else None
    until = named.evidence if named else len(attempt.evidence)
    left = still_possible(questions(attempt.exercise), attempt.evidence[:until])
    data = {
        "exercise": attempt.exercise.name,
        "stage": attempt.stage,
        "named": words_for(attempt.circuit, named.fault) if named else "",
        **made.to_json(),
        "left": [words_for(attempt.circuit, fault) for fault in left],
    }
    if weights is not None:
        data |= {"weights": weights.to_json(), "sum": weighed(made, weights)}
    return data


def _mark_lines(data: Mapping[str, Any]) -> Iterable[str]:
    verdict = "found and proved" if data["evidenced"] else "not proved"
    yield f"{data['exercise']}: {verdict}"
    yield f"  named: {data['named'] or 'nothing'}"
    for name, column in data["marks"].items():
        yield f"  {name:<14}{100 * column['score']:.0f} of 100"
        yield from (f"      {sentence}" for sentence in column["evidence"])
        yield f"      rule: {column['rule']}"
    if "sum" in data:
        told = ", ".join(f"{name} {100 * worth:.0f}" for name, worth in data["weights"].items())
        yield f"  sum {100 * data['sum']:.0f} of 100 ({told}; scaled by proof)"
    when = "at naming" if data["named"] else "at the end"
    yield f"  {len(data['left'])} left {when}: {_few(data['left'])}"


def _list_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--answers", action="store_true", help="the hidden faults too")


def _job_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="EVENTS.jsonl", type=Path)


def _mark_arguments(sub: argparse.ArgumentParser) -> None:
    _job_arguments(sub)
    sub.add_argument("--sum", action="store_true", help="a weighted sum too")
    words = "the sum by weights of your own, such as diagnosis=3 proof=2; one left out is 0"
    sub.add_argument("--weights", metavar="COLUMN=NUMBER", nargs="+", type=_weight, help=words)


def _weight(text: str) -> tuple[str, float]:
    name, _, number = text.partition("=")
    try:
        return name, float(number)
    except ValueError:
        found = f"found {text!r:.60}; accepted: a column and a number, such as proof=2"
        raise argparse.ArgumentTypeError(found) from None


def _next_arguments(sub: argparse.ArgumentParser) -> None:
    _job_arguments(sub)
    advising.tables_argument(sub)


def _check_arguments(sub: argparse.ArgumentParser) -> None:
    file_argument(sub)
    advising.tables_argument(sub)


def _tables_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("circuits", metavar="CIRCUIT", nargs="*", help="all without one")
    words = "processes side by side (default: one a core)"
    sub.add_argument("--workers", metavar="N", type=int, default=os.cpu_count() or 1, help=words)
    advising.tables_argument(sub)


COMMANDS: Mapping[str, Command] = {
    "list": (_list, "the exercises of the library, without what is wrong", _list_arguments),
    "check": (
        _check,
        "every problem of an exercise file, what its path leaves, and how hard it is",
        _check_arguments,
    ),
    "mark": (_mark, "the marks of an attempt from its exported events", _mark_arguments),
    "next": (_next, "the next best test of an attempt, from its exported events", _next_arguments),
    "candidates": (
        _candidates,
        "the faults that still fit an attempt's evidence, likeliest first",
        _job_arguments,
    ),
    "tables": (
        _tables,
        "work out ahead what every fault shows in every allowed test, and keep it",
        _tables_arguments,
    ),
    "plan": (
        vehicle_commands.plan,
        "a plan of tests to print and take to a real vehicle",
        vehicle_commands.plan_arguments,
    ),
    "case": (
        vehicle_commands.case,
        "what the readings of a real vehicle come to, from a case's file",
        vehicle_commands.case_arguments,
    ),
    "backup": (
        record_commands.backup,
        "write the whole record to one file",
        record_commands.backup_arguments,
    ),
    "restore": (
        record_commands.restore,
        "put a backup into a database without rows, SQLite or PostgreSQL",
        record_commands.backup_arguments,
    ),
    "export": (
        record_commands.export,
        "write all that is kept of one learner to a file",
        record_commands.export_arguments,
    ),
    "erase": (
        record_commands.erase,
        "erase one learner with all that they did",
        record_commands.learner_arguments,
    ),
}

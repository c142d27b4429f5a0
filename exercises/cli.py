"""The command line: exercises listed and checked, attempts marked from their events.

A command prints its answer and returns 0, or one sentence on standard error and returns 2.
What solves is imported by the command that needs it, so that a list comes at once.
"""

from __future__ import annotations

import argparse
import json
import sys
import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from circuits.arguments import Parser
from circuits.model import CircuitError
from circuits.points import nearest
from exercises.events import EventsError

if TYPE_CHECKING:
    from exercises.exercise import Exercise
    from exercises.goodpath import GoodPath

MOST_EVENTS_BYTES = 50_000_000
WIDTH = 96


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0, or 2 after one sentence on stderr."""
    from exercises.attempt import AttemptError  # noqa: PLC0415
    from exercises.files import ExerciseFileError  # noqa: PLC0415

    arguments = list(sys.argv[1:] if argv is None else argv)
    try:
        first = arguments[0] if arguments else ""
        if first not in COMMANDS and first not in {"-h", "--help"}:
            what = f"command {first!r}: there is none such" if first else "no command"
            raise CircuitError(f"python -m exercises: {what}{nearest(first, COMMANDS)}")
        options = _parser().parse_args(arguments)
        command: Callable[[argparse.Namespace], int] = options.run
        return command(options)
    except (CircuitError, ExerciseFileError) as error:
        more = len(error.problems) - 1
        print(error.problems[0] + (f" (and {more} more)" if more > 0 else ""), file=sys.stderr)
    except (AttemptError, EventsError) as error:
        print(str(error), file=sys.stderr)
    except BrokenPipeError:
        raise  # no reader is left to tell anything to
    except OSError as error:
        print(f"{error.filename or 'output'}: {error.strerror}", file=sys.stderr)
    return 2


def _parser() -> Parser:
    top = Parser(prog="python -m exercises", description=__doc__, allow_abbrev=False)
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    for name, (run, words, arguments) in COMMANDS.items():
        sub = commands.add_parser(name, help=words, description=words, allow_abbrev=False)
        sub.add_argument("--json", action="store_true", help="print one JSON object")
        sub.set_defaults(run=run)
        arguments(sub)
    return top


def _print(options: argparse.Namespace, data: Mapping[str, Any], lines: Iterable[str]) -> int:
    if options.json:
        print(json.dumps(data, ensure_ascii=False, allow_nan=False))
    else:
        print("\n".join(lines))
    return 0


def _list(options: argparse.Namespace) -> int:
    from exercises.files import exercise_names, library_exercise  # noqa: PLC0415

    rows = [_row(library_exercise(name), options.answers) for name in exercise_names()]
    lines = [
        f"{row['name']:28} level {row['level']}  {row['circuit']:16} {row['title']}"
        + (f"  [{', '.join(row['faults']) or 'no fault'}]" if options.answers else "")
        for row in rows
    ]
    return _print(options, {"exercises": rows}, lines)


def _row(exercise: Exercise, answers: bool) -> dict[str, Any]:
    row: dict[str, Any] = {
        "name": exercise.name,
        "title": exercise.title,
        "circuit": exercise.circuit.name,
        "level": exercise.level,
        "skill": exercise.skill,
        "complaint": exercise.complaint,
    }
    if answers:
        row["faults"] = [f"{f.place}:{f.kind}:{f.severity:g}" for f in exercise.faults]
    return row


def _list_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--answers", action="store_true", help="tell the hidden faults too")


def _check(options: argparse.Namespace) -> int:
    from exercises.files import exercise_of, load_entry  # noqa: PLC0415
    from exercises.goodpath import good_path, solvable  # noqa: PLC0415

    exercise = exercise_of(load_entry(options.file))
    path, problems = good_path(exercise), solvable(exercise)
    data = {
        "name": exercise.name,
        "level": exercise.level,
        "solvable": not problems,
        "problems": list(problems),
        "minutes": round(path.minutes, 1),
        "steps": _steps(path),
        "group": [{"place": f.place, "kind": f.kind} for f in path.group],
    }
    lines = [
        f"{exercise.name}: {'solvable by its own rules' if not problems else 'not solvable'}, "
        f"level {exercise.level}, {path.minutes:.1f} minutes",
        *problems,
        *(f"  {s['left']:4} left after: {s['because']}" for s in _steps(path)),
    ]
    return _print(options, data, lines)


def _steps(path: GoodPath) -> list[dict[str, Any]]:
    return [
        {
            "because": walked.step.because,
            "showed": walked.shown.text if walked.shown else "; ".join(walked.seen),
            "minutes": round(walked.minutes, 1),
            "left": len(walked.left),
        }
        for walked in path.steps
    ]


def _check_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE.toml", type=Path)


def _mark(options: argparse.Namespace) -> int:
    from exercises.desk import rebuilt  # noqa: PLC0415
    from exercises.marking import mark  # noqa: PLC0415

    attempt = rebuilt(_events_in(options.file))
    marked = mark(attempt)
    data = {
        "exercise": attempt.exercise.name,
        "stage": attempt.stage,
        "evidenced": marked.evidenced,
        "up_to": marked.up_to,
        "marker": marked.marker,
        "marks": {
            column.name: {
                "score": round(column.score, 3),
                "rule": column.rule,
                "evidence": list(column.evidence),
            }
            for column in marked.columns
        },
    }
    lines = [f"{attempt.exercise.name}: {'evidenced' if marked.evidenced else 'not evidenced'}"]
    for column in marked.columns:
        lines.append(f"{column.name:13} {column.score:.2f}")
        lines += [f"    {line}" for told in column.evidence for line in textwrap.wrap(told, WIDTH)]
    return _print(options, data, lines)


def _events_in(path: Path) -> Any:
    from exercises.events import BadEvents, events_from_jsonl  # noqa: PLC0415

    size = path.stat().st_size
    if size > MOST_EVENTS_BYTES:
        raise BadEvents(f"{path.name}: found {size} bytes; accepted: up to {MOST_EVENTS_BYTES}")
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise BadEvents(f"{path.name}: not UTF-8 at byte {error.start}; accepted: UTF-8") from None
    return events_from_jsonl(text)


def _mark_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="EVENTS.jsonl", type=Path)


_Command = tuple[
    Callable[[argparse.Namespace], int], str, Callable[[argparse.ArgumentParser], None]
]

COMMANDS: Mapping[str, _Command] = {
    "list": (_list, "the exercises of the library", _list_arguments),
    "check": (_check, "whether an exercise is good and solvable", _check_arguments),
    "mark": (_mark, "the marks of an attempt, from its events alone", _mark_arguments),
}

"""Primer files: TOML in, ``Primer`` out.

A primer file is TOML in UTF-8. Every key is checked; a file that is not good is refused with
all its problems at once, a sentence each: file, entry, found, accepted.

Keys at the top
---------------
==============  ================================================================
title           one line, up to 60 characters: the skill that it teaches
order           place in the list of primers, from 1
circuit         name of a circuit in the library
paragraphs      three texts of 60 to 90 words
faults          optional list of ``PLACE:KIND`` or ``PLACE:KIND:SEVERITY``
controls        optional list of *battery, connectors, fuses, wiggle*: what can be
                set besides the switches
instruments     optional list of ``circuits.instruments.INSTRUMENTS``
==============  ================================================================

``[task]``, one thing to measure
--------------------------------
==============  ================================================================
ask             what to find out
told            said of the reading when it is taken; ``{reading}`` stands for it
least, most     what the texts say of the reading, in its unit
shows           ``OL`` instead of the two
points          optional: further pairs of test points that give the same reading
==============  ================================================================

``[[questions]]``, two
----------------------
==============  ================================================================
ask, told       as of the task; the model takes the reading, which is the answer
choices         answers in words: ``says`` with ``least`` and ``most``, or ``shows``
others          or wrong values, to be told from the right one; "OL" is one
within          or how far a typed number may be off, in the reading's unit
faults          optional: the vehicle's faults, where they are not the primer's
==============  ================================================================

How the vehicle is set and what is measured is said in task and questions as in a step of an
exercise (``exercises.files``): ``set``, ``unmate``, ``isolate``, ``volts``, ``zeroed`` ...
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from circuits.faults import parse_fault
from circuits.filecheck.draft import cut, made_plain
from circuits.filecheck.field_words import field_names
from circuits.filecheck.plain_data import Told, place_of, plain
from circuits.filecheck.toml_text import data_of, text_of
from circuits.files import circuit_names, library_circuit
from circuits.instruments import check
from circuits.model import Circuit, CircuitError, Fault, Vehicle
from circuits.points import nearest
from exercises.exercise import Exercise, Step
from exercises.filerows import StepRow
from exercises.files import ExerciseFileError, exercise_from
from exercises.primer_rows import (
    ChoiceRow,
    PrimerRow,
    QuestionRow,
    TaskRow,
    built,
    paragraph_problems,
)
from exercises.primers import Band, Choice, Primer, Question, Task

PRIMERS = Path(__file__).parent / "primers"
QUESTIONS = 2
_TABLES = ("task", "questions")
_STEP_KEYS = frozenset(field_names(StepRow)) - {"because"}
_STEP = re.compile(r"path > no\. (\d+)")
_UNREAD = "unread"


class PrimerFileError(Exception):
    """A primer file is not good; ``problems`` holds one sentence each."""

    def __init__(self, *problems: str) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def primer_names() -> tuple[str, ...]:
    """Return the names of the primers in the library, in their order."""
    return _in_order(tuple(sorted(path.stem for path in PRIMERS.glob("*.toml"))))


@lru_cache(maxsize=4)
def _in_order(names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(sorted(names, key=lambda name: (_load(name).order, name)))


def library_primer(name: str) -> Primer:
    """Return a primer of the library by name.

    Raises
    ------
    PrimerFileError
        If the library has none of this name, or its file is not good.
    """
    if name not in primer_names():
        raise PrimerFileError(
            f"primer {cut(name)!r}: not in the library{nearest(cut(name), primer_names())}"
        )
    return _load(name)


@lru_cache(maxsize=64)
def _load(name: str) -> Primer:
    path = PRIMERS / f"{name}.toml"
    try:
        data = data_of(text_of(path.read_bytes(), file=path.name), file=path.name)
    except CircuitError as error:
        raise PrimerFileError(*error.problems) from error
    return primer_from(data, name=name)


def primer_from(data: Mapping[str, Any], *, name: str) -> Primer:
    """Return the primer in the data of a TOML file.

    Raises
    ------
    PrimerFileError
        With all its problems, a sentence each.
    """
    told: Told = []
    clean = plain(data, (), told)
    unread = [f"{place_of(loc, data)}: {what}" for loc, what in told]
    read = _Read({} if unread else clean)
    problems = unread or read.problems
    if problems or read.circuit is None:
        raise PrimerFileError(*(made_plain(f"{cut(name)}.toml: {one}") for one in problems))
    return _primer(name, read)


@dataclass
class _Read:
    """The entries of a file held against its circuit, and all that is wrong with them."""

    data: Mapping[str, Any]
    problems: list[str] = field(default_factory=list)
    heading: PrimerRow | None = None
    circuit: Circuit | None = None
    task: TaskRow | None = None
    questions: tuple[QuestionRow, ...] = ()
    faults: tuple[tuple[Fault, ...], ...] = ()
    practice: Exercise | None = None

    def __post_init__(self) -> None:
        rest = {key: value for key, value in self.data.items() if key not in _TABLES}
        self.heading = self._built(PrimerRow, rest, ())
        if self.heading:
            self.problems += paragraph_problems(self.heading.paragraphs)
        rows = self._steps()
        self.task = self._built(TaskRow, _own(rows[0]), ("task",))
        found = [
            self._built(QuestionRow, _own(row), ("questions", number))
            for number, row in enumerate(rows[1:])
        ]
        self.questions = tuple(one for one in found if one is not None)
        for number, one in enumerate(self.questions, start=1):
            self.problems += _question_problems(one, f"questions > no. {number}")
        self._against_circuit([_step(row) for row in rows])

    def _built(self, cls: type, row: Any, base: tuple[str | int, ...]) -> Any:
        entry, wrong = built(cls, row, base)
        self.problems += wrong
        return entry

    def _steps(self) -> list[Mapping[str, Any]]:
        task, questions = self.data.get("task"), self.data.get("questions")
        if not isinstance(questions, list) or len(questions) != QUESTIONS:
            self.problems.append(f"questions: accepted: a list of {QUESTIONS} tables")
            questions = []
        return [row if isinstance(row, Mapping) else {} for row in (task, *questions)]

    def _against_circuit(self, steps: Sequence[Mapping[str, Any]]) -> None:
        name = self.data.get("circuit")
        if name not in circuit_names():
            if name is not None:
                self.problems.append(
                    f"circuit: found {cut(name)!r}{nearest(cut(name), circuit_names())}"
                )
            return
        self.circuit = library_circuit(str(name))
        try:
            self.practice = exercise_from(
                _as_exercise(self.data, steps), self.circuit, name="primer"
            )
        except ExerciseFileError as error:
            self.problems += list(_of_primer(error.problems))
        else:
            self.problems += _unmeasured(self.practice.path)
            self.problems += self._points(self.circuit, self.practice.path[0])
            self.faults = tuple(self._faults(self.circuit, self.practice))

    def _points(self, circuit: Circuit, step: Step) -> Iterator[str]:
        for number, pair in enumerate(self.task.points if self.task else (), start=1):
            what = step.measurement
            try:
                if what:
                    check(Vehicle(circuit, (), step.setting), _moved(what, pair))
            except CircuitError as error:
                yield from (f"task > points > no. {number}: {told}" for told in error.problems)

    def _faults(self, circuit: Circuit, practice: Exercise) -> Iterator[tuple[Fault, ...]]:
        for number, question in enumerate(self.questions, start=1):
            if question.faults is None:
                yield practice.faults
                continue
            try:
                yield tuple(parse_fault(circuit, text) for text in question.faults)
            except CircuitError as error:
                place = f"questions > no. {number} > faults"
                self.problems += [f"{place}: {told}" for told in error.problems]


def _moved(what: Any, pair: tuple[str, str]) -> Any:
    return type(what)(what.instrument, *pair)


def _own(row: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in row.items() if key not in _STEP_KEYS}


def _step(row: Mapping[str, Any]) -> dict[str, Any]:
    step = {key: value for key, value in row.items() if key in _STEP_KEYS}
    return step | {"because": _UNREAD}


def _as_exercise(data: Mapping[str, Any], steps: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return a primer's circuit, faults and measurements in the form of an exercise."""
    texts = ("title", "skill", "complaint", "lesson", "like_case")
    kept = {key: data[key] for key in ("circuit", "faults", "instruments") if key in data}
    return (
        dict.fromkeys(texts, "Primer")
        | {"slip": 1, "level": 1, "faults": [], "path": list(steps)}
        | kept
    )


def _of_primer(problems: Sequence[str]) -> Iterator[str]:
    """Yield the problems of the exercise with the primer's own names for its entries."""
    for told in problems:
        yield _STEP.sub(_entry, told.removeprefix("primer.toml: "))


def _entry(found: re.Match[str]) -> str:
    number = int(found[1])
    return "task" if number == 1 else f"questions > no. {number - 1}"


def _unmeasured(path: Sequence[Step]) -> Iterator[str]:
    for number, step in enumerate(path, start=1):
        place = "task" if number == 1 else f"questions > no. {number - 1}"
        if step.measurement is None:
            yield f"{place}: measures nothing; accepted: one measurement"
        elif number > 1 and step.measurement.hold:
            yield f"{place}: hold: found true; accepted: one value for an answer"


def _question_problems(row: QuestionRow, place: str) -> Iterator[str]:
    forms = [bool(row.choices), bool(row.others), row.within is not None]
    if sum(forms) != 1:
        yield f"{place}: found {sum(forms)} of choices, others, within; accepted: one"
    for key in ("choices", "others"):
        count = len(getattr(row, key)) + (key == "others")
        if getattr(row, key) and not 3 <= count <= 4:
            yield f"{place} > {key}: makes {count} answers; accepted: 3 or 4"


def _primer(name: str, read: _Read) -> Primer:
    heading, task, practice = read.heading, read.task, read.practice
    assert heading is not None  # what is missing has been told
    assert task is not None
    assert practice is not None
    first, *rest = practice.path
    assert first.measurement is not None
    questions = zip(rest, read.questions, read.faults, strict=True)
    return Primer(
        name=name,
        title=heading.title,
        order=heading.order,
        paragraphs=tuple(_joined(text) for text in heading.paragraphs),
        task=Task(
            ask=_joined(task.ask),
            told=_joined(task.told),
            setting=first.setting,
            what=first.measurement,
            band=_band(task),
            points=task.points,
        ),
        questions=tuple(_question(*one) for one in questions),
        practice=practice,
        controls=heading.controls,
    )


def _question(step: Step, row: QuestionRow, faults: tuple[Fault, ...]) -> Question:
    assert step.measurement is not None
    return Question(
        ask=_joined(row.ask),
        told=_joined(row.told),
        setting=step.setting,
        what=step.measurement,
        faults=faults,
        choices=tuple(Choice(_joined(choice.says), _band(choice)) for choice in row.choices),
        others=tuple(None if value == "OL" else float(value) for value in row.others),
        within=row.within or 0.0,
    )


def _band(row: TaskRow | ChoiceRow) -> Band:
    return Band(row.least, row.most, over=row.shows is not None)


def _joined(text: str) -> str:
    return " ".join(text.split())

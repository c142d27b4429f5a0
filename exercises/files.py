"""Exercise files: TOML in, ``Exercise`` out. The only opener of files in this package.

Keys
----
title, skill        text
circuit             name of a circuit in the library
slip                number of the complaint slip
complaint           what the slip says
level               1 (first lesson) to 4
faults              list of ``PLACE:KIND`` or ``PLACE:KIND:SEVERITY``; empty for none
lesson, like_case   text, told in the debrief
instruments         optional list; all if left out
closed_places       optional list of places of the circuit
shows_expected      optional; whether the log shows what a healthy vehicle would
path                list of steps, a good path from complaint to proof

A step has ``because`` and, as needed, ``set`` (switch = position), ``unmate``, ``pull``,
``isolate``, ``jumpers``, ``wiggle``, ``warm``, ``moment``; and at most one measurement: ``volts``,
``ohms``, ``continuity``, ``diode``, ``amps`` or ``lamp`` with red and black, or ``clamp`` with a wire;
``zeroed``, ``hold`` and ``load_w`` go with it.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from circuits.faults import parse_fault
from circuits.files import LIBRARY as CIRCUITS
from circuits.files import circuit_from, circuit_names
from circuits.instruments import INSTRUMENTS, Instrument, Measurement, check
from circuits.model import Circuit, CircuitError, Fault, Setting, Vehicle
from circuits.points import find_point, nearest
from circuits.settings import setting_from
from circuits.spec import Moment
from exercises.exercise import Exercise, Step

LIBRARY = Path(__file__).parent / "library"
MOST_BYTES = 262_144

Text = Annotated[str, Field(min_length=1, max_length=4000)]
Pair = Annotated[list[str], Field(min_length=2, max_length=2)]


class ExerciseFileError(Exception):
    """An exercise file is not good; ``problems`` holds one sentence each."""

    def __init__(self, *problems: str) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


class _Step(_Strict):
    because: Text
    set: dict[str, str] = {}
    unmate: list[str] = []
    pull: list[str] = []
    isolate: bool = False
    jumpers: list[Pair] = []
    wiggle: str = ""
    moment: Moment | None = None
    volts: Pair | None = None
    ohms: Pair | None = None
    continuity: Pair | None = None
    diode: Pair | None = None
    amps: Pair | None = None
    lamp: Pair | None = None
    clamp: str | None = None
    zeroed: bool = False
    hold: bool = False
    load_w: float = 0.0
    warm: bool = False


class _Exercise(_Strict):
    title: Text
    circuit: Text
    slip: Annotated[int, Field(ge=1, le=9999)]
    complaint: Text
    level: Annotated[int, Field(ge=1, le=4)]
    skill: Text
    faults: list[str]
    lesson: Text
    like_case: Text
    instruments: list[Instrument] = list(INSTRUMENTS)
    closed_places: list[str] = []
    shows_expected: bool = False
    path: Annotated[list[_Step], Field(min_length=1)]


@dataclass(frozen=True, slots=True)
class LibraryExercise:
    """An exercise with its circuit as plain data, as an attempt keeps them."""

    name: str
    body: dict[str, Any]
    circuit_name: str
    circuit_body: dict[str, Any]


def exercise_names() -> tuple[str, ...]:
    """Return the names of the exercises in the library."""
    return tuple(sorted(path.stem for path in LIBRARY.glob("*.toml")))


@lru_cache(maxsize=256)
def library_entry(name: str) -> LibraryExercise:
    """Return an exercise of the library as plain data.

    Raises
    ------
    ExerciseFileError
        If the library has none of this name, or its file is not good.
    """
    if name not in exercise_names():
        raise ExerciseFileError(
            f"exercise {name!r}: not in the library{nearest(name, exercise_names())}"
        )
    return load_entry(LIBRARY / f"{name}.toml")


@lru_cache(maxsize=256)
def library_exercise(name: str) -> Exercise:
    """Return an exercise of the library.

    Raises
    ------
    ExerciseFileError
        As ``library_entry``.
    """
    return exercise_of(library_entry(name))


def exercise_of(entry: LibraryExercise) -> Exercise:
    """Return the exercise that plain data stand for."""
    circuit = circuit_from(entry.circuit_body, name=entry.circuit_name)
    return exercise_from(entry.body, circuit, name=entry.name)


def load_entry(path: Path) -> LibraryExercise:
    """Return the exercise in a file as plain data, its circuit from the library.

    Raises
    ------
    ExerciseFileError
        If it cannot be read or is not TOML or names no circuit of the library.
    """
    data = _read(path)
    name = data.get("circuit")
    if name not in circuit_names():
        raise ExerciseFileError(
            f"{path.name}: circuit: found {name!r}{nearest(str(name), circuit_names())}"
        )
    body = tomllib.loads((CIRCUITS / f"{name}.toml").read_text(encoding="utf-8"))
    return LibraryExercise(path.stem, data, name, body)


def _read(path: Path) -> dict[str, Any]:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ExerciseFileError(f"{path.name}: larger than 256 kB; accepted: up to 256 kB")
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise ExerciseFileError(f"{path.name}: cannot be read, {error.strerror}") from error
    except (ValueError, RecursionError) as error:
        raise ExerciseFileError(f"{path.name}: not TOML: {error}") from error


def check_exercise_file(path: Path) -> tuple[str, ...]:
    """Return what is wrong with an exercise file, a sentence each; empty if it is good."""
    try:
        exercise_of(load_entry(path))
    except (ExerciseFileError, CircuitError) as error:
        return error.problems
    return ()


def exercise_from(data: Mapping[str, Any], circuit: Circuit, *, name: str) -> Exercise:
    """Return the exercise in the data of a TOML file.

    Raises
    ------
    ExerciseFileError
        With all its problems, a sentence each.
    """
    try:
        told = _Exercise.model_validate(dict(data))
    except ValidationError as error:
        raise ExerciseFileError(*(_sentence(name, e) for e in error.errors())) from error
    problems: list[str] = []
    steps = tuple(_steps(circuit, told, name, problems))
    faults = tuple(_faults(circuit, told, name, problems))
    problems += _unknown_places(circuit, told, name)
    if problems:
        raise ExerciseFileError(*problems)
    return Exercise(
        name=name,
        title=told.title,
        circuit=circuit,
        slip=told.slip,
        complaint=told.complaint.strip(),
        level=told.level,
        skill=told.skill,
        faults=faults,
        path=steps,
        lesson=" ".join(told.lesson.split()),
        like_case=" ".join(told.like_case.split()),
        instruments=tuple(told.instruments),
        closed_places=tuple(told.closed_places),
        shows_expected=told.shows_expected,
    )


def _sentence(name: str, error: Any) -> str:
    place = " > ".join(f"no. {p + 1}" if isinstance(p, int) else str(p) for p in error["loc"])
    found = "" if error["type"] == "missing" else f": found {error['input']!r:.60}"
    return f"{name}.toml: {place}{found}: {error['msg'][0].lower()}{error['msg'][1:]}"


def _faults(circuit: Circuit, told: _Exercise, name: str, problems: list[str]) -> Iterator[Fault]:
    for number, text in enumerate(told.faults, start=1):
        try:
            yield parse_fault(circuit, text)
        except CircuitError as error:
            problems += [f"{name}.toml: faults > no. {number}: {p}" for p in error.problems]
    if len(set(told.faults)) < len(told.faults):
        problems.append(f"{name}.toml: faults: one is named twice; accepted: each once")


def _unknown_places(circuit: Circuit, told: _Exercise, name: str) -> list[str]:
    return [
        f"{name}.toml: closed_places: {circuit.name} has no place {place!r}"
        f"{nearest(place, circuit.place_by_name)}"
        for place in told.closed_places
        if place not in circuit.place_by_name
    ]


def _steps(circuit: Circuit, told: _Exercise, name: str, problems: list[str]) -> Iterator[Step]:
    for number, row in enumerate(told.path, start=1):
        try:
            yield _step(circuit, told, row)
        except CircuitError as error:
            problems += [f"{name}.toml: path > no. {number}: {p}" for p in error.problems]


def _step(circuit: Circuit, told: _Exercise, row: _Step) -> Step:
    setting = setting_from(
        circuit,
        positions=row.set,
        unmated=row.unmate,
        pulled=row.pull,
        isolated=row.isolate,
        jumpers=[(pair[0], pair[1]) for pair in row.jumpers],
        moment=row.moment,
        moved=row.wiggle,
        warm=row.warm,
    )
    what = _measurement(row)
    if what is not None:
        _check_allowed(circuit, told, setting, what)
    return Step(setting, what, " ".join(row.because.split()))


def _measurement(row: _Step) -> Measurement | None:
    chosen = [kind for kind in INSTRUMENTS if getattr(row, kind) is not None]
    if not chosen:
        return None
    if len(chosen) > 1:
        raise CircuitError(f"has {' and '.join(chosen)}; accepted: one measurement a step")
    if chosen[0] == "clamp":
        return Measurement("clamp", wire=row.clamp or "", hold=row.hold)
    red, black = getattr(row, chosen[0])
    return Measurement(chosen[0], red, black, zeroed=row.zeroed, hold=row.hold, load_w=row.load_w)


def _check_allowed(circuit: Circuit, told: _Exercise, setting: Setting, what: Measurement) -> None:
    check(Vehicle(circuit, setting=setting), what)
    if what.instrument not in told.instruments:
        raise CircuitError(f"uses {what.instrument}, which the exercise does not allow")
    for name in (what.red, what.black):
        place = find_point(circuit, setting, name).place if name else ""
        if place in told.closed_places:
            raise CircuitError(f"uses {name}, whose place is closed: {place}")

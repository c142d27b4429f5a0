"""Exercise files: TOML in, ``Exercise`` out. The only opener of files in this package.

An exercise file is TOML in UTF-8, up to 256 kB. Every key is checked; a file that is not
good is refused with all its problems at once, a sentence each: file, entry, found, accepted.

Keys at the top
---------------
==============  ================================================================
title           one line, up to 80 characters; it does not name the fault
skill           one line, up to 120 characters: what it trains
circuit         name of a circuit in the library
slip            number of the complaint slip, 1 to 9999
complaint       what the slip says, up to 600 characters
level           1, a first lesson, to 4
faults          list of ``PLACE:KIND`` or ``PLACE:KIND:SEVERITY``; empty for none
lesson          text, up to 600 characters, told in the debrief
like_case       text, up to 1500 characters, told in the debrief
instruments     optional list of ``circuits.instruments.INSTRUMENTS``; all if left out
closed_places   optional list of places of the circuit that may not be reached
shows_expected  optional; whether the log shows what a healthy vehicle would
asks_suspects   optional; whether the suspects are listed before the first reading
asks_expected   optional; whether what a sound vehicle shows is said before each reading
hints           optional; the deepest hint allowed, 0 for none to 3 (3 if left out)
severity        optional; the least and the greatest severity of the first fault in a variant
also            optional list of lists of other faults that a variant may have instead
either_side     optional; whether a variant may be of the vehicle's other side: then the circuit
                has a mirror, and no text names a side
low_meter       optional; whether a variant may begin with a meter whose battery is low
conditions      optional list of ``moved``, ``warm`` and ``loaded``: where the slip tells of
                something that comes and goes, when each fault may show, besides always
==============  ================================================================

``path``: a list of steps (``[[path]]``, ...), a good path from complaint to proof
---------------------------------------------------------------------------------
==============  ================================================================
because         text, up to 400 characters: why this step
set             switch = position, for each that is not as found
unmate, pull    lists of connectors unplugged and of fuses out
isolate         whether the battery's negative lead is off
jumpers         list of pairs of test points
wiggle          connector or part that a second person moves
warm            whether everything is at its working temperature
moment          ``just_operated``, ``moving`` or ``at_rest``
volts           red and black: test points that the setting exposes
ohms, ...       so for ``continuity``, ``diode``, ``amps`` and ``lamp``
clamp           the wire it is put round
zeroed, hold    whether the leads' ohms are taken off; whether min and max are kept
load_w          test load in watts across the voltmeter's leads
repair          place and repair of a fault, put right before this step
==============  ================================================================

A step has one measurement at most; without one the vehicle is worked and watched. Where
``faults`` lists two, both are there at once, to be found and repaired in turn. Texts are plain,
as those of circuit files.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any

from circuits.faultkinds import KINDS
from circuits.faults import fault_places, parse_fault
from circuits.filecheck.draft import cut, made_plain, problem
from circuits.filecheck.toml_text import MAX_BYTES, data_of, text_of, too_large
from circuits.files import NAME, circuit_from, circuit_names, library_body, library_circuit
from circuits.instruments import INSTRUMENTS, Measurement, check
from circuits.model import Circuit, CircuitError, Fault, Setting, Vehicle
from circuits.points import find_point, nearest
from circuits.settings import setting_from
from exercises.diagnosis import repairs_at
from exercises.exercise import Exercise, Step
from exercises.filerows import Heading, Rows, StepRow, rows_from
from exercises.mirror import sides_named

LIBRARY = Path(__file__).parent / "library"
MAX_PROBLEMS = 40


class ExerciseFileError(Exception):
    """An exercise file is not good; ``problems`` holds one sentence each."""

    def __init__(self, *problems: str) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


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
            f"exercise {cut(name)!r}: not in the library{nearest(cut(name), exercise_names())}"
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
    entry = library_entry(name)
    return exercise_from(entry.body, library_circuit(entry.circuit_name), name=name)


def exercise_of(entry: LibraryExercise) -> Exercise:
    """Return the exercise that plain data stand for.

    Raises
    ------
    ExerciseFileError
        With all its problems, a sentence each.
    CircuitError
        If the circuit's data are not good.
    """
    circuit = circuit_from(entry.circuit_body, name=entry.circuit_name)
    return exercise_from(entry.body, circuit, name=entry.name)


def load_entry(path: Path) -> LibraryExercise:
    """Return the exercise in a file as plain data, its circuit from the library.

    Raises
    ------
    ExerciseFileError
        If it cannot be read, is not TOML, or names no circuit of the library.
    """
    data = _data_in(path)
    name = data.get("circuit")
    if name not in circuit_names():
        raise ExerciseFileError(*_told(path.stem, _without_circuit(data)))
    return LibraryExercise(path.stem, data, name, library_body(name))


def _without_circuit(data: Mapping[str, Any]) -> Iterator[str]:
    """Yield what is wrong with data whose circuit is not known."""
    rows, problems = rows_from(data)
    if rows.heading is not None or isinstance(data.get("circuit"), str):
        found = cut(data["circuit"])
        yield f"circuit: found {found!r}{nearest(found, circuit_names())}"
    yield from problems


def _data_in(path: Path) -> dict[str, Any]:
    """Return the data in a file; one that is too large is refused by its size, unread."""
    try:
        if path.suffix != ".toml":
            raise CircuitError(
                f"{path.name or path}: found {path.suffix or 'no ending'}; accepted: .toml"
            )
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise too_large(path.name, size)
        return data_of(text_of(path.read_bytes(), file=path.name), file=path.name)
    except CircuitError as error:
        raise ExerciseFileError(*error.problems) from error
    except OSError as error:
        reason = (error.strerror or "unknown").lower()
        raise ExerciseFileError(
            made_plain(f"{path.name}: cannot be read, {reason}; accepted: an exercise file")
        ) from error


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
    rows, problems = rows_from(data)
    checked = _Checked(circuit, rows)
    told = _told(name, [*_name_problems(name), *problems, *checked.problems])
    if told or rows.heading is None:
        raise ExerciseFileError(*told)
    heading = rows.heading
    return Exercise(
        name=name,
        title=heading.title,
        circuit=circuit,
        slip=heading.slip,
        complaint=_joined(heading.complaint),
        level=heading.level,
        skill=heading.skill,
        faults=checked.faults,
        path=checked.steps,
        lesson=_joined(heading.lesson),
        like_case=_joined(heading.like_case),
        instruments=heading.instruments,
        closed_places=heading.closed_places,
        shows_expected=heading.shows_expected,
        asks_suspects=heading.asks_suspects,
        asks_expected=heading.asks_expected,
        hints=heading.hints,
        severity=heading.severity,
        also=checked.also,
        conditions=heading.conditions,
        either_side=heading.either_side,
        low_meter=heading.low_meter,
    )


def _told(name: str, problems: Iterator[str] | list[str]) -> tuple[str, ...]:
    found = list(islice(problems, MAX_PROBLEMS + 1))
    if len(found) > MAX_PROBLEMS:
        found[-1] = f"more than {MAX_PROBLEMS} problems; accepted: none"
    return tuple(made_plain(f"{cut(name)}.toml: {sentence}") for sentence in found)


def _joined(text: str) -> str:
    return " ".join(text.split())


def _name_problems(name: str) -> list[str]:
    if NAME.fullmatch(name):
        return []
    return [problem("name", name, "letters, digits, spaces, ' ( ) - _, up to 80")]


class _Checked:
    """The entries of a file held against its circuit."""

    def __init__(self, circuit: Circuit, rows: Rows) -> None:
        self.circuit, self.heading = circuit, rows.heading
        self.problems: list[str] = []
        self.faults: tuple[Fault, ...] = ()
        self.also: tuple[tuple[Fault, ...], ...] = ()
        if rows.heading is not None:
            self.faults = tuple(self._faults(rows.heading.faults, "faults"))
            others = enumerate(rows.heading.also, start=1)
            self.also = tuple(tuple(self._faults(f, f"also > no. {n}")) for n, f in others)
            self._lists(rows.heading)
            self._severity(rows.heading)
            self._conditions(rows.heading)
            self._sides(rows.heading, rows.steps)
        steps = enumerate(rows.steps, start=1)
        found = [self._step(number, row) for number, row in steps if row is not None]
        self.steps = tuple(step for step in found if step is not None)

    def _severity(self, heading: Heading) -> None:
        if heading.severity is None or not self.faults:
            return
        kind = KINDS[self.faults[0].kind]
        low, high = heading.severity
        if not kind.grid or not kind.low <= low < high <= kind.high:
            wanted = f"two numbers within {kind.low:g} to {kind.high:g} {kind.unit}, least first"
            accepted = wanted if kind.grid else f"none, for {kind.name} has no severity"
            self.problems.append(f"severity: found {low:g}, {high:g}; accepted: {accepted}")

    def _conditions(self, heading: Heading) -> None:
        for fault in itertools.chain(self.faults, *self.also):
            if fault.when and fault.when not in heading.conditions:
                found = ", ".join(heading.conditions) or "none"
                self.problems.append(
                    f"conditions: found {found}; accepted: {fault.when} among them, "
                    f"as {fault.place}:{fault.kind} has it"
                )

    def _sides(self, heading: Heading, steps: Sequence[StepRow | None]) -> None:
        if not heading.either_side:
            return
        if not self.circuit.mirror:
            found = f"found true, and {self.circuit.name} has no mirror"
            self.problems.append(f"either_side: {found}; accepted: false")
        texts = [heading.title, heading.complaint, heading.lesson, heading.like_case]
        texts += [step.because for step in steps if step is not None]
        for word in dict.fromkeys(sides_named(self.circuit, texts)):
            self.problems.append(f"either_side: a text says {word!r}; accepted: words of no side")

    def _faults(self, texts: Sequence[str], where: str) -> Iterator[Fault]:
        spots = set()
        for number, text in enumerate(texts, start=1):
            try:
                fault = parse_fault(self.circuit, text)
            except CircuitError as error:
                self.problems += [f"{where} > no. {number}: {told}" for told in error.problems]
                continue
            if (fault.place, fault.kind) in spots:
                self.problems.append(problem(f"{where} > no. {number}", text, "each fault once"))
            spots.add((fault.place, fault.kind))
            yield fault

    def _lists(self, heading: Heading) -> None:
        if not heading.instruments:
            self.problems.append("instruments: found none; accepted: one or more")
        for key in ("instruments", "closed_places", "conditions"):
            names = getattr(heading, key)
            if len(set(names)) < len(names):
                self.problems.append(f"{key}: found one twice; accepted: each once")
        places = self.circuit.place_by_name
        for number, place in enumerate(heading.closed_places, start=1):
            if place not in places:
                where = f"closed_places > no. {number}"
                self.problems.append(f"{where}: found {cut(place)!r}{nearest(cut(place), places)}")

    def _step(self, number: int, row: StepRow) -> Step | None:
        try:
            setting, what = _setting(self.circuit, row), _measurement(row)
            if what is not None:
                check(Vehicle(self.circuit, setting=setting), what)
            if row.repair is not None:
                _check_repair(self.circuit, *row.repair)
        except CircuitError as error:
            self.problems += [f"path > no. {number}: {told}" for told in error.problems]
            return None
        if self.heading is not None:
            forbidden = _forbidden(self.circuit, self.heading, setting, what)
            self.problems += [f"path > no. {number}: {told}" for told in forbidden]
        return Step(setting, what, _joined(row.because), row.repair)


def _setting(circuit: Circuit, row: StepRow) -> Setting:
    return setting_from(
        circuit,
        positions=row.set,
        unmated=row.unmate,
        pulled=row.pull,
        isolated=row.isolate,
        jumpers=row.jumpers,
        moment=row.moment,
        moved=row.wiggle,
        warm=row.warm,
    )


def _check_repair(circuit: Circuit, place: str, repair: str) -> None:
    places = [found.name for found in fault_places(circuit)]
    if place not in places:
        raise CircuitError(f"repair: found {cut(place)!r}{nearest(cut(place), places)}")
    accepted = repairs_at(circuit, place)
    if repair not in accepted:
        raise CircuitError(f"repair: found {cut(repair)!r}; accepted: {', '.join(accepted)}")


def _measurement(row: StepRow) -> Measurement | None:
    chosen = [kind for kind in INSTRUMENTS if getattr(row, kind) is not None]
    if not chosen:
        return None
    if len(chosen) > 1:
        raise CircuitError(f"found {' and '.join(chosen)}; accepted: one measurement a step")
    if chosen[0] == "clamp":
        return Measurement("clamp", wire=row.clamp or "", hold=row.hold)
    red, black = getattr(row, chosen[0])
    return Measurement(chosen[0], red, black, zeroed=row.zeroed, hold=row.hold, load_w=row.load_w)


def _forbidden(
    circuit: Circuit, heading: Heading, setting: Setting, what: Measurement | None
) -> Iterator[str]:
    """Yield what a step does that the exercise's own rules forbid."""
    allowed = heading.instruments
    if what is not None and allowed and what.instrument not in allowed:
        accepted = ", ".join(allowed)
        yield f"{what.instrument}: the exercise does without it; accepted: {accepted}"
    leads = (what.red, what.black) if what is not None else ()
    ends = (end for jumper in setting.jumpers for end in (jumper.start, jumper.end))
    reached = {p: find_point(circuit, setting, p).place for p in (*leads, *ends) if p}
    reached |= {name: circuit.connector_by_name[name].place for name in sorted(setting.unmated)}
    reached |= {name: circuit.part_by_name[name].place for name in sorted(setting.pulled)}
    for name, place in reached.items():
        # the body is at no place, and a place that the circuit lacks is told by itself
        if place in circuit.place_by_name and place in heading.closed_places:
            title = circuit.place_by_name[place].title
            yield f"{name}: {title}, which is closed; accepted: what other places give"

"""What every candidate shows in every allowed test, worked out ahead.

A candidate's cell is a fault between two severities, with the fuses it has blown by then.
Of each test the table keeps the two ends of every cell's band as ranks, which is all that
comparing bands needs; of each setting, which cells may be seen to do the same.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from circuits.faults import all_faults
from circuits.model import Circuit, Fault, Setting, Vehicle
from circuits.network import shows
from exercises.evidence import NO_FAULT, Seen
from exercises.planning.allowed import COMES_AND_GOES, AllowedTest, allowed_settings
from exercises.planning.bands import Ends, Ranks, banded, ends_in, measurements_in, watched
from exercises.planning.flips import NONE, Flip, flips_in, spans, steps_of, worth_flips
from exercises.trial import Trial

Bools = NDArray[np.bool_]
Classes = NDArray[np.int16]

Asked = tuple[Circuit, Setting, Sequence[Trial], Setting | None]
Progress = Callable[[float], None]
Made = TypeVar("Made")


class Each(Protocol):
    """Does one thing with each of several, as ``map`` does, or the ``map`` of a pool."""

    def __call__(self, act: Callable[[Asked], Made], asked: Iterable[Asked], /) -> Iterable[Made]:
        """Return what comes of each, in order."""
        ...


@dataclass(frozen=True, slots=True)
class Cell:
    """A fault between two severities, and the fuses that it has blown by then."""

    low: Fault
    high: Fault
    blown: frozenset[str] = NONE

    @property
    def spot(self) -> tuple[str, str]:
        """Place and kind of the fault."""
        return self.low.place, self.low.kind


@dataclass(frozen=True)
class Look:
    """What the cells may be seen to do in a setting: a class a cell, and which classes may
    be seen to do the same."""

    setting: Setting
    of: Classes
    alike: Bools


@dataclass(frozen=True)
class Table:
    """What every cell shows in every allowed test of a circuit.

    Attributes
    ----------
    tests : the tests that measure; those that tell nothing of any cell are left out.
    low, high : (test, cell), ranks of the ends of the bands; comparable within a test.
    looks : what is seen, a row a setting.
    """

    circuit: Circuit
    cells: tuple[Cell, ...]
    tests: tuple[AllowedTest, ...]
    low: Ranks
    high: Ranks
    looks: tuple[Look, ...]

    @cached_property
    def by_spot(self) -> Mapping[tuple[str, str], tuple[int, ...]]:
        """The numbers of the cells of each place and kind."""
        found: dict[tuple[str, str], tuple[int, ...]] = {}
        for number, cell in enumerate(self.cells):
            found[cell.spot] = (*found.get(cell.spot, ()), number)
        return found

    @cached_property
    def sound(self) -> int:
        """The number of the cell without a fault."""
        return self.by_spot[(NO_FAULT.place, NO_FAULT.kind)][0]


def build(circuit: Circuit, *, each: Each = map, progress: Progress = lambda _: None) -> Table:
    """Return the table of a circuit.

    Parameters
    ----------
    each : goes through the settings; the ``map`` of a pool does them side by side.
    progress : is told after each setting the share of the work that is done.
    """
    settings = [s for s in allowed_settings(circuit) if not s.moved]
    told = _Told(progress, 2 * len(settings))
    looks = [watched(setting, settings) for setting in settings]
    places = list(zip(settings, looks, strict=True))
    grid = [Trial(one, NONE) for fault in _faults(circuit) for one in steps_of(fault)]
    first = list(told.through(each(_first, [(circuit, s, grid, look) for s, look in places])))
    flips = [flip for _, found in first for flip in found]
    cells, tried = _cells(circuit, flips, _blown_by(grid, [ends for ends, _ in first]))
    later = [one for one in tried if one not in set(grid)]
    anew = [_not_shown(grid, later, ends) for ends, _ in first]
    asked = [(circuit, s, some, look) for (s, look), some in zip(places, anew, strict=True)]
    found = {
        setting: _stacked(grid, ends, some, added, later)
        for setting, (ends, _), some, added in zip(
            settings, first, anew, told.through(each(_ends, asked)), strict=True
        )
    }
    for setting in allowed_settings(circuit):
        if setting.moved:
            found[setting] = _wiggled(circuit, setting, [*grid, *later], found)
    return _table(circuit, cells, [*grid, *later], found)


class _Told:
    """Tells the share of the work that is done."""

    def __init__(self, progress: Progress, count: int) -> None:
        self._progress, self._count, self._done = progress, count, 0

    def through(self, results: Iterable[Made]) -> Iterator[Made]:
        for result in results:
            self._done += 1
            self._progress(self._done / self._count)
            yield result


def _faults(circuit: Circuit) -> tuple[Fault, ...]:
    return (*all_faults(circuit), NO_FAULT)


def _first(asked: Asked) -> tuple[Ends, tuple[Flip, ...]]:
    circuit, setting, tried, watch = asked
    found = ends_in(*asked)
    if not worth_flips(setting, watch):
        return found, ()
    return found, flips_in(circuit, setting, tried, found)


def _ends(asked: Asked) -> Ends:
    return ends_in(*asked)


def _blown_by(
    tried: Sequence[Trial], found: Sequence[Ends]
) -> Mapping[Fault, frozenset[frozenset[str]]]:
    """Return by fault the sets of fuses that it blows in some setting."""
    return {
        one.fault: frozenset(ends.blown[row] for ends in found) - {NONE}
        for row, one in enumerate(tried)
    }


def _cells(
    circuit: Circuit,
    flips: Sequence[Flip],
    blown: Mapping[Fault, frozenset[frozenset[str]]],
) -> tuple[tuple[Cell, ...], tuple[Trial, ...]]:
    """Return the cells of the table, and the trials at which they end."""
    by_spot: dict[tuple[str, str], list[Flip]] = {}
    for flip in flips:
        by_spot.setdefault((flip.low.place, flip.low.kind), []).append(flip)
    cells = []
    for fault in _faults(circuit):
        for low, high in spans(fault, by_spot.get((fault.place, fault.kind), ())):
            sets = blown.get(low, frozenset()) | blown.get(high, frozenset())
            cells += [Cell(low, high, gone) for gone in (NONE, *sorted(sets, key=sorted))]
    ends = (Trial(end, cell.blown) for cell in cells for end in (cell.low, cell.high))
    return tuple(cells), tuple(dict.fromkeys(ends))


def _not_shown(grid: Sequence[Trial], later: Sequence[Trial], found: Ends) -> list[Trial]:
    """Return the trials whose fuses do not go in this setting anyway: the others are known."""
    gone = dict(zip((one.fault for one in grid), found.blown, strict=True))
    return [one for one in later if not one.blown or gone.get(one.fault) != one.blown]


def _stacked(
    grid: Sequence[Trial], ends: Ends, some: Sequence[Trial], added: Ends, later: Sequence[Trial]
) -> Ends:
    """Return what the grid and the later trials show, in their order."""
    of_fault = {one.fault: row for row, one in enumerate(grid)}
    of_trial = {one: len(grid) + row for row, one in enumerate(some)}
    rows = [*range(len(grid)), *(of_trial.get(one, of_fault.get(one.fault, 0)) for one in later)]
    seen, behaviour, blown = (
        [*one, *other]
        for one, other in zip(
            (ends.seen, ends.behaviour, ends.blown),
            (added.seen, added.behaviour, added.blown),
            strict=True,
        )
    )
    return Ends(
        np.concatenate([ends.low, added.low])[rows],
        np.concatenate([ends.high, added.high])[rows],
        tuple(seen[row] for row in rows if seen),
        tuple(behaviour[row] for row in rows),
        tuple(blown[row] for row in rows),
    )


def _wiggled(
    circuit: Circuit, setting: Setting, tried: Sequence[Trial], found: Mapping[Setting, Ends]
) -> Ends:
    """Return what is shown while something is wiggled: all but its own faults as without."""
    at_rest = replace(setting, moved="")
    vehicle = Vehicle(circuit, (), setting)
    mine = [
        row
        for row, one in enumerate(tried)
        if one.fault.kind in COMES_AND_GOES and shows(vehicle, replace(one.fault, when="moved"))
    ]
    base = found[at_rest]
    columns = [
        measurements_in(circuit, at_rest).index(w) for w in measurements_in(circuit, setting)
    ]
    low, high, seen = base.low[:, columns], base.high[:, columns], list(base.seen)
    own = ends_in(circuit, setting, [tried[row] for row in mine], replace(setting, moment="moving"))
    low[mine], high[mine] = own.low, own.high
    for row, code in zip(mine, own.seen, strict=True):
        seen[row] = code
    return Ends(low, high, tuple(seen), base.behaviour, base.blown)


def _table(
    circuit: Circuit,
    cells: tuple[Cell, ...],
    tried: Sequence[Trial],
    found: Mapping[Setting, Ends],
) -> Table:
    row = {one: number for number, one in enumerate(tried)}
    a = np.array([row[Trial(cell.low, cell.blown)] for cell in cells])
    b = np.array([row[Trial(cell.high, cell.blown)] for cell in cells])
    tests: list[AllowedTest] = []
    lows, highs = [], []
    looks: dict[Setting, Look] = {}
    for setting, ends in found.items():
        whats = measurements_in(circuit, setting)
        low, high = banded(
            [what.instrument for what in whats],
            np.minimum(ends.low[a], ends.low[b]),
            np.maximum(ends.high[a], ends.high[b]),
        )
        tells = low.max(axis=1, initial=0) > high.min(axis=1, initial=len(cells) * 2)
        tests += [AllowedTest(setting, whats[n]) for n in np.flatnonzero(tells)]
        lows.append(low[tells])
        highs.append(high[tells])
        moving = replace(setting, moment="moving")
        if ends.seen:
            either = [ends.seen[i] | ends.seen[j] for i, j in zip(a, b, strict=True)]
            looks[moving] = look_of(setting, either)
    return Table(
        circuit,
        cells,
        tuple(tests),
        np.concatenate(lows),
        np.concatenate(highs),
        tuple(looks.values()),
    )


def look_of(setting: Setting, seen: Sequence[Seen]) -> Look:
    """Return which cells may be seen to do the same in a setting, given what each may do."""
    classes = {codes: number for number, codes in enumerate(dict.fromkeys(seen))}
    by_part = [_by_part(codes) for codes in classes]
    alike = np.array([[_may_look_alike(one, other) for other in by_part] for one in by_part])
    return Look(setting, np.array([classes[codes] for codes in seen], dtype=np.int16), alike)


def _by_part(seen: Seen) -> Mapping[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for part, code in seen:
        found[part] = found.get(part, frozenset()) | {code}
    return found


def _may_look_alike(one: Mapping[str, frozenset[str]], other: Mapping[str, frozenset[str]]) -> bool:
    """Say whether something may be seen that both allow: a code of each part that both have."""
    return all(one.get(part, frozenset()) & other.get(part, frozenset()) for part in {*one, *other})

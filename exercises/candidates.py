"""Which faults are still consistent with every reading: hard intervals, no prior.

A candidate lives while one pair of neighbouring severities fits all the evidence together:
each reading lies between what the two would show, widened by the meter's accuracy and half
a digit, and each thing seen is seen at one of the two. Fuses that a candidate would have
blown on the way are blown for that candidate only.
"""

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from circuits.behaviour import moving, seen_in
from circuits.consequences import blown_fuses
from circuits.faultkinds import KINDS
from circuits.faults import all_faults, severities
from circuits.instruments import LAMP_WORDS, Measurement, Reading, read_many
from circuits.model import Circuit, Fault, Setting, State, Vehicle
from circuits.operate import solve_many
from exercises.shown import Shown

NO_FAULT = Fault("", "no_fault")

Seen = frozenset[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a learner learned at one moment.

    Attributes
    ----------
    setting : how the vehicle was set.
    what, shown : a measurement and what it showed, None where nothing was measured.
    seen : ``(part, code)`` of what the vehicle did, None where nobody watched.
    renewed : fuses that were replaced just before.
    celsius : temperatures of the parts that had been heated.
    """

    setting: Setting
    what: Measurement | None = None
    shown: Shown | None = None
    seen: Seen | None = None
    renewed: frozenset[str] = frozenset()
    celsius: tuple[tuple[str, float], ...] = ()


@dataclass
class _Point:
    """A fault at one severity, and the fuses that it has blown so far."""

    fault: Fault
    blown: frozenset[str] = frozenset()

    def vehicle(self, circuit: Circuit, evidence: Evidence) -> Vehicle:
        faults = () if self.fault == NO_FAULT else (self.fault,)
        return Vehicle(circuit, faults, evidence.setting, self.blown, evidence.celsius)


_Points = list[_Point]


@dataclass
class Candidates:
    """The faults still possible, narrowed by one piece of evidence after another."""

    circuit: Circuit
    _points: dict[Fault, _Point] = field(default_factory=dict)
    _cells: list[tuple[Fault, Fault]] = field(default_factory=list)

    def __post_init__(self) -> None:
        for fault in all_faults(self.circuit):
            self._add(fault, severities(fault))
        self._cells.append((NO_FAULT, NO_FAULT))
        self._points[NO_FAULT] = _Point(NO_FAULT)

    def _add(self, fault: Fault, grid: Sequence[float]) -> None:
        steps = [Fault(fault.place, fault.kind, how_bad) for how_bad in grid]
        self._points |= {step: _Point(step) for step in steps}
        pairs = itertools.pairwise(steps) if len(steps) > 1 else [(steps[0], steps[0])]
        self._cells += pairs

    def left(self) -> tuple[Fault, ...]:
        """Return the faults still possible, at their usual severity, no fault included."""
        spots = dict.fromkeys((cell[0].place, cell[0].kind) for cell in self._cells)
        return tuple(
            Fault(place, kind, KINDS[kind].usual) if kind in KINDS else NO_FAULT
            for place, kind in spots
        )

    def weigh(self, evidence: Evidence) -> None:
        """Rule out whatever one piece of evidence does not allow."""
        points = self._living()
        for point in points:
            point.blown -= evidence.renewed
        vehicles = [point.vehicle(self.circuit, evidence) for point in points]
        states = _solved(vehicles)
        if evidence.seen is not None:
            self._keep_seen(evidence.seen, points, vehicles, states)
        if evidence.what is not None and evidence.shown is not None:
            self._keep_shown(evidence.what, evidence.shown, points, vehicles, states)
        for point, vehicle, state in zip(points, vehicles, states, strict=True):
            point.blown = blown_fuses(vehicle, state)

    def _living(self) -> list[_Point]:
        return [self._points[f] for f in dict.fromkeys(f for cell in self._cells for f in cell)]

    def _keep_seen(
        self, seen: Seen, points: _Points, vehicles: list[Vehicle], states: list[State]
    ) -> None:
        worked = [moving(vehicle) for vehicle in vehicles]
        if worked != vehicles:
            states = _solved(worked)
        told = {
            point.fault: codes(vehicle, state)
            for point, vehicle, state in zip(points, worked, states, strict=True)
        }
        self._keep(lambda low, high: all(s in told[low] or s in told[high] for s in seen))

    def _keep_shown(
        self,
        what: Measurement,
        shown: Shown,
        points: _Points,
        vehicles: list[Vehicle],
        states: list[State],
    ) -> None:
        readings = read_many(vehicles, what, states)
        told = {p.fault: r for p, r in zip(points, readings, strict=True)}
        self._keep(lambda low, high: fits(shown, told[low], told[high]))

    def _keep(self, allows: Callable[[Fault, Fault], bool]) -> None:
        self._cells = [cell for cell in self._cells if allows(*cell)]


_FEW = 200


def _solved(vehicles: list[Vehicle]) -> list[State]:
    """Return the states of candidates; those of the whole catalogue are kept, being asked
    for by every attempt at an exercise."""
    return solve_many(vehicles) if len(vehicles) < _FEW else _solved_all(tuple(vehicles))


@lru_cache(maxsize=3)
def _solved_all(vehicles: tuple[Vehicle, ...]) -> list[State]:
    return solve_many(vehicles)


def codes(vehicle: Vehicle, state: State) -> Seen:
    """Return what is seen of a vehicle as ``(part, code)`` pairs."""
    return frozenset((seen.part, seen.code) for seen in seen_in(vehicle, state))


def fits(shown: Shown, low: Reading, high: Reading) -> bool:
    """Say whether a reading may come from a severity between two whose readings are given."""
    if shown.unit == "%":
        return _lamp_fits(shown.display, low.display, high.display)
    if shown.value is None:
        return low.exact is None or high.exact is None
    found = shown.swing or (shown.value, shown.value)
    ends = [_ends(reading) for reading in (low, high)]
    return all(
        min(pair) - shown.off <= value <= max(pair) + shown.off
        for value, pair in zip(found, zip(*ends, strict=True), strict=True)
    )


def _ends(reading: Reading) -> tuple[float, float]:
    if reading.swing is not None:
        return reading.swing
    exact = float("inf") if reading.exact is None else reading.exact
    return (exact, exact)


def _lamp_fits(shown: str, low: str, high: str) -> bool:
    order = [word for _, word in LAMP_WORDS]
    ends = sorted((order.index(low), order.index(high)))
    return ends[0] <= order.index(shown) <= ends[1]


def still_possible(circuit: Circuit, evidence: Iterable[Evidence]) -> tuple[Fault, ...]:
    """Return the single faults consistent with all the evidence, in the circuit's order."""
    candidates = Candidates(circuit)
    for piece in evidence:
        candidates.weigh(piece)
    return candidates.left()


def narrowing(circuit: Circuit, evidence: Iterable[Evidence]) -> Iterator[tuple[Fault, ...]]:
    """Yield the faults still possible before the first piece of evidence and after each."""
    candidates = Candidates(circuit)
    yield candidates.left()
    for piece in evidence:
        candidates.weigh(piece)
        yield candidates.left()

"""The next best test: the most that a test is expected to tell, per minute that it costs.

What a test tells is counted in bits about which fault it is, not about how bad: were a
cell the truth, those left are the cells whose bands overlap its own, and all of its own
fault. Minutes count from where the tester stands: the present setting, the places that
have been got at.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

import numpy as np

from circuits.instruments import Measurement
from circuits.lawmath import Array
from circuits.model import AS_FOUND, Fault, Setting, Vehicle
from circuits.network import shows
from circuits.newton import Index
from exercises import minutes
from exercises.evidence import Evidence
from exercises.planning.allowed import AllowedTest, places_of
from exercises.planning.live import Live
from exercises.planning.table import Bools, Table

BLOCK = 256
"""Tests that are weighed at once, roughly first."""

FEW = 32
"""Tests that are weighed exactly at once."""

GLANCE = 0.1
"""Minutes at least that a test is taken to cost, else looking would be worth any number."""

LEAST_BITS = 1e-9
"""Less is nothing: what rounding leaves."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a tester stands: how the vehicle is set, and the places that have been got at."""

    setting: Setting = AS_FOUND
    visited: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Choice:
    """A test, the bits it is expected to tell and the minutes it costs.

    ``doubtful`` tells that only cells whose bands have been wrong once are expected to part.
    """

    test: AllowedTest
    bits: float
    minutes: float
    doubtful: bool = False

    @property
    def rate(self) -> float:
        """Bits per minute."""
        return self.bits / self.minutes


class Plan:
    """The tests of a table that rules allow, ready to be weighed; what is watched comes first."""

    def __init__(self, table: Table, allowed: Callable[[AllowedTest], bool] | None = None) -> None:
        self.table = table
        self.looks = {look.setting: look for look in table.looks}
        every = (*(AllowedTest(setting, None) for setting in self.looks), *table.tests)
        kept = [n for n, test in enumerate(every) if allowed is None or allowed(test)]
        self.tests = tuple(every[n] for n in kept)
        self.number = {test: n for n, test in enumerate(self.tests)}
        # Columns of the table; those of the looks are below 0.
        self.column = np.array(kept, dtype=np.intp) - len(self.looks)
        self.places = tuple(places_of(table.circuit, test) for test in self.tests)
        self.settings, self.setting_of = _numbered(test.setting for test in self.tests)
        self._places, self._places_of = _numbered(self.places)
        self._probe = np.array([minutes.PROBE if test.what else 0.0 for test in self.tests])

    def minutes(self, standing: Standing) -> Array:
        """Return what each test costs from where the tester stands; 0 for looking as it is."""
        circuit, before = self.table.circuit, standing.setting
        setting = np.array([minutes.setting_minutes(before, after) for after in self.settings])
        new = (places - standing.visited for places in self._places)
        access = np.array([minutes.access_minutes(circuit, places) for places in new])
        found: Array = setting[self.setting_of] + access[self._places_of] + self._probe
        return found

    def after(self, standing: Standing, test: AllowedTest) -> Standing:
        """Return where the tester stands after a test."""
        return Standing(test.setting, standing.visited | self.places[self.number[test]])

    def known(self, evidence: Iterable[Evidence]) -> frozenset[AllowedTest]:
        """Return the tests of the plan that some evidence already holds."""
        found = {_same(piece.setting, piece.what) for piece in evidence}
        return frozenset(t for t in self.tests if _same(t.setting, t.what) in found)


def _same(setting: Setting, what: Measurement | None) -> Hashable:
    """Return what two tests have in common that are the same for anybody who takes them."""
    if what is None:  # the whole operation is watched, whatever the moment of a reading
        return replace(setting, moment="moving")
    return setting, _leads(what)


def _leads(what: Measurement) -> tuple[str, frozenset[str]]:
    """Return what is measured, whichever way round the leads are."""
    return what.instrument, frozenset((what.red, what.black, what.wire))


_Thing = TypeVar("_Thing", bound=Hashable)


def _numbered(things: Iterable[_Thing]) -> tuple[tuple[_Thing, ...], Index]:
    """Return things each once, and the number of each as they came."""
    found: dict[_Thing, int] = {}
    numbers = [found.setdefault(thing, len(found)) for thing in things]
    return tuple(found), np.array(numbers, dtype=np.intp)


def best(
    plan: Plan, live: Live, standing: Standing, taken: Collection[AllowedTest] = ()
) -> Choice | None:
    """Return the test that is expected to tell most per minute, None where none tells anything.

    ``taken`` are tests that have been taken and are not proposed again. What a cell's bands
    tell is first doubted where the cell is alive in spite of one of them, then believed.
    """
    if len(live.spots) < 2:
        return None
    cost = np.maximum(plan.minutes(standing), GLANCE)
    closed = [plan.number[test] for test in taken if test in plan.number]
    bands = Bands(plan, live)
    doubtful = bands.doubtful(closed)
    cost[closed] = np.inf
    found = _best(Bands(plan, live, doubtful), cost)
    if found is None and doubtful.any():
        found = _best(bands, cost)
        return None if found is None else replace(found, doubtful=True)
    return found


def _best(bands: "Bands", cost: Array) -> Choice | None:
    order = np.argsort(cost, kind="stable")
    order = order[np.isfinite(cost[order])]
    most = _entropy(bands.live.spot_weight)
    found = None
    for start in range(0, len(order), BLOCK):
        block = order[start : start + BLOCK]
        if found is not None and most / cost[block[0]] <= found.rate:
            break  # nothing from here on can tell so much in its minutes
        found = _best_of(bands, block, cost, found)
    return found


def _entropy(weight: Array) -> float:
    return float(-(weight * np.log2(weight)).sum())


def _best_of(bands: "Bands", block: Index, cost: Array, found: Choice | None) -> Choice | None:
    most = bands.most_bits(block) / cost[block]
    order = np.argsort(-most, kind="stable")
    for start in range(0, len(order), FEW):
        some = order[start : start + FEW]
        if most[some[0]] <= (0.0 if found is None else found.rate):
            break
        numbers = block[some]
        bits = bands.bits(numbers)
        first = int(np.argmax(bits / cost[numbers]))
        test, told = bands.plan.tests[numbers[first]], float(bits[first])
        chosen = Choice(test, told, float(cost[numbers[first]]))
        if chosen.bits > LEAST_BITS and (found is None or chosen.rate > found.rate):
            found = chosen
    return found


class Bands:
    """The bands of the live cells in the tests of a plan.

    Cells that are ``doubtful`` may show anything.
    """

    def __init__(self, plan: Plan, live: Live, doubtful: Bools | None = None) -> None:
        self.plan, self.live = plan, live
        none = np.zeros(len(live.cell), dtype=bool)
        self._doubtful = np.flatnonzero(none if doubtful is None else doubtful)
        self._dormant = _dormant(plan.settings, live)

    def ends(self, numbers: Index) -> tuple[Index, Index]:
        """Return the ranks of the ends of the bands of tests that measure: (test, cell)."""
        table, columns = self.plan.table, self.plan.column[numbers]
        found = []
        for every in (table.low[columns], table.high[columns]):
            ends = every[:, self.live.cell].astype(np.intp)
            if self._dormant is not None:
                dormant = self._dormant[self.plan.setting_of[numbers]]
                ends = np.where(dormant, every[:, [table.sound]], ends)
            found.append(ends)
        low, high = found
        low[:, self._doubtful], high[:, self._doubtful] = 0, high.max(initial=0)
        return low, high

    def classes(self, number: int) -> tuple[Index, Bools]:
        """Return what each cell may be seen to do in a test that only watches."""
        look = self.plan.looks[self.plan.tests[number].setting]
        of = look.of[self.live.cell].astype(np.intp)
        dormant = _dormant([replace(look.setting, moment="moving")], self.live)
        if dormant is not None:
            of = np.where(dormant, look.of[self.plan.table.sound], of)[0]
        of[self._doubtful] = len(look.alike)
        return of, np.pad(look.alike, (0, 1), constant_values=True)

    def doubtful(self, taken: Iterable[int]) -> Bools:
        """Return which cells are alive though by their bands a test has ruled them out.

        What a test showed is where most of the cells that it left agree.
        """
        found = np.zeros(len(self.live.cell), dtype=bool)
        for number in taken:
            if self.plan.column[number] < 0:
                found |= self._disagree(*self.classes(number))
                continue
            low, high = self.ends(np.array([number]))
            begun = _up_to(low, self.live.weight, int(high.max()) + 2)[0, 1:]
            ended = _up_to(high, self.live.weight, int(high.max()) + 2)[0, :-1]
            shown = np.argmax(begun - ended)
            found |= (low[0] > shown) | (high[0] < shown)
        return found

    def _disagree(self, of: Index, alike: Bools) -> Bools:
        """Return which cells are not among those that may all be seen to do the same."""
        held = np.bincount(of, weights=self.live.weight, minlength=len(alike))
        agree: list[int] = []
        for number in np.argsort(-held, kind="stable"):
            if held[number] > 0 and alike[number, agree].all():
                agree.append(int(number))
        return ~np.isin(of, agree)

    def most_bits(self, numbers: Index) -> Array:
        """Return what tests tell about which cell it is: at least what they tell of the fault."""
        found = np.zeros(len(numbers))
        measured = self.plan.column[numbers] >= 0
        if measured.any():
            overlap = _overlap(*self.ends(numbers[measured]), self.live.weight)
            found[measured] = _bits(overlap, self.live.weight)
        for place in np.flatnonzero(~measured):
            found[place] = self._look_bits(numbers[place])
        return found

    def bits(self, numbers: Index) -> Array:
        """Return what tests are expected to tell about which fault it is."""
        found = np.zeros(len(numbers))
        measured = self.plan.column[numbers] >= 0
        if measured.any():
            low, high = self.ends(numbers[measured])
            overlap = _overlap(low, high, self.live.weight)
            overlap += self._own_apart(low, high)
            found[measured] = _bits(overlap, self.live.weight)
        for place in np.flatnonzero(~measured):
            found[place] = self._look_bits(numbers[place])
        return found

    def _own_apart(self, low: Index, high: Index) -> Array:
        """Return (test, cell) the weight of the same fault's cells that do not overlap."""
        one, other = self._pairs
        apart = (low[:, one] > high[:, other]) | (low[:, other] > high[:, one])
        weight, count = self.live.weight, len(self.live.cell)
        found = np.zeros((len(low), count))
        if not len(one):
            return found
        starts = np.flatnonzero(np.diff(one, prepend=-1))
        found[:, one[starts]] = np.add.reduceat(apart * weight[other], starts, axis=1)
        return found

    @cached_property
    def _pairs(self) -> tuple[Index, Index]:
        """The pairs of different cells of one fault, by the first of each."""
        spot = self.live.spot
        one, other = np.nonzero((spot[:, None] == spot) & ~np.eye(len(spot), dtype=bool))
        return one, other

    def _look_bits(self, number: int) -> float:
        of, alike = self.classes(number)
        live = self.live
        held = np.zeros((len(live.spots), len(alike)))
        np.add.at(held, (live.spot, of), live.weight)
        by_spot = held @ alike
        overlap = by_spot.sum(axis=0)[of] - by_spot[live.spot, of] + live.spot_weight[live.spot]
        return float(_bits(overlap[None, :], live.weight)[0])


def _overlap(low: Index, high: Index, weight: Array) -> Array:
    """Return (test, cell) the weight of the cells whose bands overlap the cell's own.

    All cells whose band begins before the own one ends, less those that end before it begins.
    """
    size = int(high.max(initial=0)) + 2
    found: Array = np.take_along_axis(_up_to(low, weight, size), high + 1, axis=1)
    found -= np.take_along_axis(_up_to(high, weight, size), low, axis=1)
    return found


def _up_to(ends: Index, weight: Array, size: int) -> Array:
    """Return (test, rank) the weight of the cells whose end has a lesser rank."""
    place = ends + 1 + np.arange(len(ends))[:, None] * size
    every = np.broadcast_to(weight, ends.shape).ravel()
    held = np.bincount(place.ravel(), weights=every, minlength=len(ends) * size)
    found: Array = np.cumsum(held.astype(float).reshape(len(ends), size), axis=1)
    return found


def _bits(overlap: Array, weight: Array) -> Array:
    found: Array = -(np.log2(np.clip(overlap, 1e-300, 1.0)) @ weight)
    return np.where(found < LEAST_BITS, 0.0, found)


def _dormant(settings: Sequence[Setting], live: Live) -> Bools | None:
    """Return (setting, cell) where a cell's condition does not hold; None where none has one."""
    if not any(live.when):
        return None
    circuit = live.table.circuit
    ask = [
        (live.table.cells[n].low.place, when) for n, when in zip(live.cell, live.when, strict=True)
    ]
    found = np.zeros((len(settings), len(ask)), dtype=bool)
    for row, setting in enumerate(settings):
        vehicle = Vehicle(circuit, (), setting)
        known: dict[tuple[str, str], bool] = {}
        for column, (place, when) in enumerate(ask):
            if not when or (when == "moved" and not setting.moved):
                found[row, column] = bool(when)
                continue
            key = (place if when == "moved" else "", when)
            if key not in known:
                known[key] = not shows(vehicle, Fault(place, "", when=when))
            found[row, column] = known[key]
    return found

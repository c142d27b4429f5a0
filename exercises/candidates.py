"""Which faults are still consistent with every reading: hard intervals, no prior.

A candidate lives while one pair of neighbouring severities fits all the evidence together:
each reading lies between what the two would show, widened by the meter's accuracy and half
a digit, and each thing seen is seen at one of the two. Where the two behave differently,
one with its fuse blown and the other not, the pair is cut at the flip: else it would fit
whatever lies between a dead vehicle and a healthy one. Fuses that a candidate would have
blown on the way are blown for that candidate only.
"""

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace

from circuits.faultkinds import KINDS
from circuits.faults import all_faults, severities
from circuits.model import AS_FOUND, Circuit, Fault, Vehicle
from exercises.cells import (
    BEHAVIOUR,
    BEYOND,
    METER_FUSE,
    SWING_SHARE,
    Cell,
    Told,
    allowed,
    like,
    middle,
    passes,
    pieces,
    slab_of,
    steps_within,
    stretch_of,
)
from exercises.evidence import NO_FAULT, Evidence, Seen, codes, fits
from exercises.feasible import together
from exercises.offnominal import HALVINGS, OffNominal
from exercises.trial import Shows, Trial, trials

__all__ = [
    "BEYOND",
    "NO_FAULT",
    "SWING_SHARE",
    "Candidates",
    "Evidence",
    "Seen",
    "Would",
    "codes",
    "fits",
    "stretch_of",
]

MOST_FLIPS = 3
"""How often the behaviour between two severities is looked at for a further flip."""


@dataclass(frozen=True, slots=True)
class Would:
    """What a fault between two severities would have shown.

    Attributes
    ----------
    seen : what it may have been seen to do.
    stretch : the least and the most that the meter may have shown, in the reading's unit,
        infinite for ``OL``; None where nothing was read.
    fits : whether that is what was seen and read, all other evidence aside.
    vehicles : a vehicle with the fault at each of its severities, set as it was.
    """

    low: Fault
    high: Fault
    seen: Seen
    stretch: tuple[float, float] | None
    fits: bool
    vehicles: tuple[Vehicle, ...]


@dataclass
class Candidates:
    """The faults still possible, narrowed by one piece of evidence after another.

    Attributes
    ----------
    suspects : the faults to begin with, at any severity; all that the circuit can have and
        *no fault* where none are given.
    conditions : those under which each of the faults may show, besides always.
    beside : faults that the vehicle has besides.
    arrived_blown : whether it was found with something blown, so that each fault is taken to
        have been there before with what it had blown by then.
    """

    circuit: Circuit
    suspects: tuple[Fault, ...] = ()
    conditions: tuple[str, ...] = ()
    beside: tuple[Fault, ...] = ()
    arrived_blown: bool = False
    _blown: dict[Fault, frozenset[str]] = field(default_factory=dict)
    _cells: list[Cell] = field(default_factory=list)
    _past: list[Evidence] = field(default_factory=list)

    def __post_init__(self) -> None:
        there = {(fault.place, fault.kind) for fault in self.beside}
        for fault in self.suspects or (*all_faults(self.circuit), NO_FAULT):
            if (fault.place, fault.kind) in there:
                continue
            self._add(fault, (0.0,) if fault == NO_FAULT else severities(fault))
            for when in self._conditions_of(fault):
                self._add(replace(fault, when=when), severities(fault))
        if self.arrived_blown:
            self.weigh(Evidence(AS_FOUND))

    def _conditions_of(self, fault: Fault) -> tuple[str, ...]:
        if fault == NO_FAULT or fault.when or KINDS[fault.kind].when:
            return ()
        return self.conditions

    def _add(self, fault: Fault, grid: Sequence[float]) -> None:
        steps = [replace(fault, severity=how_bad) for how_bad in grid]
        pairs = itertools.pairwise(steps) if len(steps) > 1 else [(steps[0], steps[0])]
        self._cells += [Cell(*pair) for pair in pairs]

    def copy(self) -> "Candidates":
        """Return the same candidates, to be narrowed on their own."""
        other = copy(self)
        other._blown, other._cells = dict(self._blown), list(self._cells)
        other._past = list(self._past)
        return other

    def spans(self) -> Iterator[tuple[Fault, Fault, frozenset[str]]]:
        """Yield the faults still possible between two severities, with the fuses each has blown."""
        none: frozenset[str] = frozenset()
        for cell in self._cells:
            yield cell.low, cell.high, self._blown.get(cell.low, none)

    def left(self) -> tuple[Fault, ...]:
        """Return the faults still possible, at their usual severity, no fault included."""
        spots = dict.fromkeys((cell.low.place, cell.low.kind) for cell in self._cells)
        return tuple(
            Fault(place, kind, KINDS[kind].usual) if kind in KINDS else NO_FAULT
            for place, kind in spots
        )

    def would_show(self, evidence: Evidence) -> list[Would]:
        """Return what each fault still possible would show; none is ruled out by it."""
        other = self.copy()
        shows = trials(self.circuit, evidence, other.asked(evidence))
        other._cut_all(evidence, shows)
        return [other._would(cell, evidence, shows) for cell in other._cells]

    def _would(self, cell: Cell, evidence: Evidence, shows: Mapping[Fault, Shows]) -> Would:
        two = (shows[cell.low], shows[cell.high])
        fits = cell.allows(evidence, shows)
        read = all(one.reading is not None for one in two)
        return Would(
            cell.low,
            cell.high,
            two[0].seen | two[1].seen,
            stretch_of(evidence, two, fits=fits) if read else None,
            fits,
            tuple(t.vehicle(self.circuit, evidence) for t in self._trials(cell.ends(), evidence)),
        )

    def weigh(self, evidence: Evidence) -> None:
        """Rule out whatever one piece of evidence does not allow."""
        shows = trials(self.circuit, evidence, self.asked(evidence))
        self._cut_all(evidence, shows)
        # One whose parts must be off nominal in this setting is judged with parts off, below.
        watched = evidence.seen is not None
        nominal = [c for c in self._cells if not (watched and c.lies(evidence.setting))]
        kept = self._fitting(nominal, evidence, shows)
        blown = {end: shows[end].blown for cell in kept for end in cell.ends()}
        doubtful = [cell for cell in self._cells if cell not in kept]
        for cell in self._within(doubtful, evidence, shows):
            kept[cell] = cell
            blown = {end: shows[end].blown for end in cell.ends()} | blown
        off = OffNominal(self.circuit, evidence, self._past, self._trials)
        left = [cell for cell in doubtful if cell not in kept]
        for cell, narrowed, gone in off.revived(left, shows):
            kept[cell] = narrowed
            blown = gone | blown
        self._cells = [kept[cell] for cell in self._cells if cell in kept]
        self._blown = blown
        if not self._past or not _same_setting(self._past[-1], evidence):
            self._past.append(evidence)

    def _fitting(
        self, cells: Iterable[Cell], evidence: Evidence, shows: Mapping[Fault, Shows]
    ) -> dict[Cell, Cell]:
        """Return the cells that fit, each with what the evidence asks of its unknowns.

        They allow the evidence, and one vehicle within tolerance fits it and all before it.
        """
        allowing = [cell for cell in cells if cell.allows(evidence, shows)]
        told = [(cell, slab_of(cell, evidence, shows)) for cell in allowing]
        asked = [
            cell if slab is None else replace(cell, rows=(*cell.rows, slab)) for cell, slab in told
        ]
        fits = together([cell.rows for cell in asked])
        pairs = zip(allowing, asked, fits, strict=True)
        return {cell: new for cell, new, fit in pairs if fit}

    def _within(
        self, cells: Iterable[Cell], evidence: Evidence, shows: Mapping[Fault, Shows]
    ) -> Iterator[Cell]:
        """Yield the cells within which is seen what is seen at neither end.

        As when a lamp is dark at one severity, dim at the other, and glows in between.
        """
        seen = evidence.seen or frozenset()
        passing = [c for c in cells if passes(seen, shows[c.low].seen, shows[c.high].seen)]
        rows = {cell: steps_within(cell) for cell in passing}
        inside = [fault for row in rows.values() for fault in row]
        there = trials(self.circuit, evidence, self._replayed(inside, evidence)) if inside else {}
        every = {**shows, **there}
        for cell, row in rows.items():
            steps = [every[fault] for fault in (cell.low, *row, cell.high)]
            pairs = [*itertools.pairwise(steps), *itertools.pairwise(reversed(steps))]
            if any(allowed(evidence, one, like(one, other)) for one, other in pairs):
                yield cell

    def asked(self, evidence: Evidence) -> list[Trial]:
        """Return the trials that a piece of evidence asks for, were it weighed now."""
        living = dict.fromkeys(end for cell in self._cells for end in (cell.low, cell.high))
        return self._trials(living, evidence)

    def _trials(self, faults: Iterable[Fault], evidence: Evidence) -> list[Trial]:
        none: frozenset[str] = frozenset()
        renewed = none.union(*(past.renewed for past in self._past), evidence.renewed)
        return [
            Trial(f, self._blown.get(f, none) - evidence.renewed, renewed, self.beside)
            for f in faults
        ]

    def _cut_all(self, evidence: Evidence, shows: dict[Fault, Shows]) -> None:
        """Cut at each flip, and add what the new severities show to what is shown.

        It comes before judging: what lies between two flips may behave as neither end does.
        """
        for told in (BEHAVIOUR, METER_FUSE):
            for _ in range(MOST_FLIPS):
                shows |= trials(self.circuit, evidence, self._cut(evidence, shows, told))

    def _cut(self, evidence: Evidence, shows: dict[Fault, Shows], told: Told) -> list[Trial]:
        """Cut the cells that flip, and return the new severities at which they end."""
        flipping = [c for c in self._cells if told.flips(evidence, shows[c.low], shows[c.high])]
        narrowed = self._halved([(c.low, c.high) for c in flipping], evidence, shows, told)
        cuts = dict(zip(flipping, narrowed, strict=True))
        self._cells = [one for c in self._cells for one in pieces(c, cuts.get(c))]
        new = dict.fromkeys(end for pair in narrowed for end in pair if end not in shows)
        return self._trials(new, evidence)

    def _halved(
        self,
        pairs: list[tuple[Fault, Fault]],
        evidence: Evidence,
        shows: dict[Fault, Shows],
        told: Told,
    ) -> list[tuple[Fault, Fault]]:
        """Return the pairs narrowed to where what is told of their first one ends."""
        first = [told.of(shows[low]) for low, _ in pairs]
        asked = told.asked(evidence)
        for _ in range(HALVINGS if pairs else 0):
            middles = [middle(low, high) for low, high in pairs]
            found = trials(self.circuit, asked, self._replayed(middles, evidence))
            pairs = [
                (middle, high) if told.of(found[middle]) == like else (low, middle)
                for (low, high), middle, like in zip(pairs, middles, first, strict=True)
            ]
        return pairs

    def _replayed(self, faults: Sequence[Fault], evidence: Evidence) -> list[Trial]:
        """Return new severities with the fuses that they have blown on the way."""
        now, self._past = self._past, []
        for past in now:
            shows = trials(self.circuit, replace(past, what=None), self._trials(faults, past))
            self._blown |= {fault: one.blown for fault, one in shows.items()}
            self._past.append(past)
        return self._trials(faults, evidence)


def _same_setting(one: Evidence, other: Evidence) -> bool:
    same = (one.setting, one.celsius, one.repaired, one.fresh) == (
        other.setting,
        other.celsius,
        other.repaired,
        other.fresh,
    )
    return same and not other.renewed

"""Which faults are still consistent with every reading: hard intervals, no prior.

A candidate lives while one pair of neighbouring severities fits all the evidence together:
each reading lies between what the two would show, widened by the meter's accuracy and half
a digit, and each thing seen is seen at one of the two. Where the two behave differently,
one with its fuse blown and the other not, the pair is cut at the flip: else it would fit
whatever lies between a dead vehicle and a healthy one. Fuses that a candidate would have
blown on the way are blown for that candidate only.
"""

import itertools
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from circuits.faultkinds import KINDS
from circuits.faults import all_faults, severities
from circuits.instruments import Reading
from circuits.lawmath import Array
from circuits.model import Circuit, Fault, Vehicle
from circuits.tolerance import extremes
from exercises.evidence import (
    METER_FUSE_WENT,
    NO_FAULT,
    Evidence,
    Seen,
    codes,
    fits,
    fuse_fits,
    widened,
)
from exercises.feasible import Slab, together
from exercises.shown import Shown
from exercises.trial import Row, Shows, Trial, on_edge, trials

__all__ = [
    "NO_FAULT",
    "Candidates",
    "Evidence",
    "Seen",
    "Would",
    "codes",
    "fits",
]

HALVINGS = 8
"""How often a pair of severities is halved on the way to its flip: 1/256 of it is left."""

BEYOND = 1.1
"""Moves are told for a straight line; what bends goes at most this much further."""

SWING_SHARE = 0.25
"""Of what a chattering vehicle swings to: as far as any part's tolerance goes."""

MOST_FLIPS = 3
"""How often the behaviour between two severities is looked at for a further flip."""


LIMITS = (1.0, 0.6, 1.0, 0.4)
"""How far the parts of vehicles that are tried near a flip lie from nominal, as shares of their
tolerances: one in between may behave as neither a nominal one nor one at the limits."""


@dataclass(frozen=True, slots=True)
class _Cell:
    """A fault between two severities, and what the readings so far ask of the parts."""

    low: Fault
    high: Fault
    rows: "tuple[Slab, ...]" = field(default=(), compare=False, repr=False)

    def ends(self) -> set[Fault]:
        """Return the fault at both its severities."""
        return {self.low, self.high}

    def blown(
        self, evidence: Evidence, shows: Mapping[Fault, Shows]
    ) -> dict[Fault, frozenset[str]]:
        """Return the fuses that each end has blown: those of one that gives the evidence.

        Where a fuse goes between the two, the evidence tells on which side the vehicle is.
        """
        alone = (end for end in self.ends() if _allowed(evidence, shows[end], shows[end]))
        found = next(alone, None)
        return {end: shows[found or end].blown for end in self.ends()}

    def allows(self, evidence: Evidence, shows: Mapping[Fault, Shows]) -> bool:
        """Say whether some severity of the cell would have given the evidence."""
        low, high = shows[self.low], shows[self.high]
        return _allowed(evidence, low, high)


def _allowed(evidence: Evidence, low: Shows, high: Shows) -> bool:
    if evidence.seen is not None and not evidence.seen <= low.seen | high.seen:
        return False
    if evidence.reading is None or low.reading is None or high.reading is None:
        return True
    flips = _flips_in_hand(low.reading, high.reading)
    held = evidence.what is not None and evidence.what.hold
    reach = _reach(low, held=held), _reach(high, held=held)
    if _costs_a_fuse(evidence.reading, low.reading, high.reading):
        return fuse_fits(evidence.reading, low.reading, high.reading, reach, flips=flips)
    return flips or fits(evidence.reading, low.reading, high.reading, reach)


def _flips_in_hand(low: Reading, high: Reading) -> bool:
    """Say whether the instrument in the circuit makes only one of two severities chatter, or
    blow a fuse: what is shown between them need not lie between them."""
    chatters = [reading.swing is not None for reading in (low, high)]
    return len({*chatters}) > 1 or low.loaded != high.loaded


def _costs_a_fuse(shown: Shown | None, *ends: Reading | None) -> bool:
    """Say whether the meter's own fuse went, or would have at one of two severities."""
    went = shown is not None and METER_FUSE_WENT in shown.caution_names
    return went or any(end is not None and end.meter_fuse_blew for end in ends)


def _reach(shows: Shows, *, held: bool) -> float:
    """Return how far tolerances can move what a fault shows.

    The moves of a chattering vehicle are those of one of its two states, so there the swing
    itself is taken by a share.
    """
    told = 0.0 if shows.moves is None else BEYOND * shows.moves.reach()
    if held or shows.reading is None or shows.reading.swing is None:
        return told
    return max(told, SWING_SHARE * max(abs(end) for end in shows.reading.swing))


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


def stretch_of(evidence: Evidence, shows: Sequence[Shows], *, fits: bool) -> tuple[float, float]:
    """Return the least and the most that the meter may show of some severities of a fault."""
    held = evidence.what is not None and evidence.what.hold
    shown, ends = evidence.reading, []
    for one in shows:
        if one.reading is not None:
            low, high = widened(one.reading, _reach(one, held=held), one.reading.off)
            if shown and shown.value is not None and not fits and low <= shown.value <= high:
                # What judges goes by the accuracy at what was shown.
                low, high = widened(one.reading, _reach(one, held=held), shown.off)
            ends += [low, high]
    return min(ends), max(ends)


def _slab(cell: _Cell, evidence: Evidence, shows: Mapping[Fault, Shows]) -> Slab | None:
    """Return what a reading asks of a cell's unknowns; None where it asks nothing."""
    low, high, shown = shows[cell.low], shows[cell.high], evidence.reading
    if shown is None or shown.value is None or shown.swing or shown.unit == "%":
        return None
    if low.reading is None or high.reading is None or low.moves is None or high.moves is None:
        return None
    if _costs_a_fuse(shown, low.reading, high.reading):
        return None
    if _flips_in_hand(low.reading, high.reading):
        return None
    ends = (low.reading.exact, high.reading.exact)
    if ends[0] is None or ends[1] is None or low.reading.swing or high.reading.swing:
        return None
    middle, apart = (ends[0] + ends[1]) / 2, abs(ends[0] - ends[1]) / 2
    names = tuple(dict.fromkeys((*low.moves.unknowns, *high.moves.unknowns)))
    a, b = (_spread_out(moves, names) for moves in (low.moves, high.moves))
    bent = np.abs(a - b).sum() / 2 + (BEYOND - 1) * np.abs(a + b).sum() / 2
    return Slab(shown.value - middle, apart + shown.off + bent, names, (a + b) / 2)


def _spread_out(row: Row, names: tuple[str, ...]) -> Array:
    if row.unknowns == names:
        return row.move
    of = dict(zip(row.unknowns, row.move, strict=True))
    return np.array([of.get(name, 0.0) for name in names])


@dataclass
class Candidates:
    """The faults still possible, narrowed by one piece of evidence after another.

    Attributes
    ----------
    suspects : the faults to begin with, at any severity; all that the circuit can have and
        *no fault* where none are given.
    conditions : those under which each of the faults may show, besides always.
    beside : faults that the vehicle has besides.
    """

    circuit: Circuit
    suspects: tuple[Fault, ...] = ()
    conditions: tuple[str, ...] = ()
    beside: tuple[Fault, ...] = ()
    _blown: dict[Fault, frozenset[str]] = field(default_factory=dict)
    _cells: list[_Cell] = field(default_factory=list)
    _past: list[Evidence] = field(default_factory=list)

    def __post_init__(self) -> None:
        there = {(fault.place, fault.kind) for fault in self.beside}
        for fault in self.suspects or (*all_faults(self.circuit), NO_FAULT):
            if (fault.place, fault.kind) in there:
                continue
            self._add(fault, (0.0,) if fault == NO_FAULT else severities(fault))
            for when in self._conditions_of(fault):
                self._add(replace(fault, when=when), severities(fault))

    def _conditions_of(self, fault: Fault) -> tuple[str, ...]:
        if fault == NO_FAULT or fault.when or KINDS[fault.kind].when:
            return ()
        return self.conditions

    def _add(self, fault: Fault, grid: Sequence[float]) -> None:
        steps = [replace(fault, severity=how_bad) for how_bad in grid]
        pairs = itertools.pairwise(steps) if len(steps) > 1 else [(steps[0], steps[0])]
        self._cells += [_Cell(*pair) for pair in pairs]

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
        tried = other._trials(other._living(), evidence)
        shows = trials(self.circuit, evidence, tried)
        for _ in range(MOST_FLIPS):
            new = other._cut(evidence, shows)
            shows |= trials(self.circuit, evidence, new)
        return [other._would(cell, evidence, shows) for cell in other._cells]

    def _would(self, cell: _Cell, evidence: Evidence, shows: Mapping[Fault, Shows]) -> Would:
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
        shows = trials(self.circuit, evidence, self._trials(self._living(), evidence))
        # Cut before judging: what lies between two flips may behave as neither end does.
        for told in (_BEHAVIOUR, _METER_FUSE):
            for _ in range(MOST_FLIPS):
                shows |= trials(self.circuit, evidence, self._cut(evidence, shows, told))
        kept = self._fitting(self._cells, evidence, shows)
        blown = {end: shows[end].blown for cell in kept for end in cell.ends()}
        doubtful = [cell for cell in self._cells if cell not in kept]
        for there in self._at_limits(doubtful, evidence, shows):
            left = [c for c in doubtful if c not in kept and c.ends() <= there.keys()]
            more = self._fitting(left, evidence, there)
            kept |= more
            for cell in more:
                blown = cell.blown(evidence, there) | blown
        self._cells = [kept[cell] for cell in self._cells if cell in kept]
        self._blown = blown
        if not self._past or not _same_setting(self._past[-1], evidence):
            self._past.append(evidence)

    def _fitting(
        self, cells: Iterable[_Cell], evidence: Evidence, shows: Mapping[Fault, Shows]
    ) -> dict[_Cell, _Cell]:
        """Return the cells that fit, each with what the evidence asks of its unknowns.

        They allow the evidence, and one vehicle within tolerance fits it and all before it.
        """
        allowed = [cell for cell in cells if cell.allows(evidence, shows)]
        told = [(cell, _slab(cell, evidence, shows)) for cell in allowed]
        asked = [
            cell if slab is None else replace(cell, rows=(*cell.rows, slab)) for cell, slab in told
        ]
        fits = together([cell.rows for cell in asked])
        pairs = zip(allowed, asked, fits, strict=True)
        return {cell: new for cell, new, fit in pairs if fit}

    def _at_limits(
        self, cells: Iterable[_Cell], evidence: Evidence, shows: Mapping[Fault, Shows]
    ) -> Iterator[dict[Fault, Shows]]:
        """Yield what is seen of faults where parts off nominal make the vehicle behave otherwise.

        A threshold close by, of a relay, a gauge or a coded input, may be passed by a sound
        vehicle that is not the nominal one. So vehicles with every part off one way or the other
        are tried in place of it. A fuse that held so far is not taken to blow on one of them.
        """
        if evidence.seen is None:
            return
        ends = dict.fromkeys(end for cell in cells for end in cell.ends())
        near = on_edge(self.circuit, evidence, self._trials(ends, evidence))
        for scatter in _extremes(self.circuit) if near else ():
            tried = [replace(one, scatter=scatter) for one in self._trials(near, evidence)]
            there = trials(self.circuit, evidence, tried)
            yield {
                fault: one
                for fault, one in there.items()
                if not self._past or one.blown == shows[fault].blown
            }

    def _living(self) -> Iterable[Fault]:
        return dict.fromkeys(end for cell in self._cells for end in (cell.low, cell.high))

    def _trials(self, faults: Iterable[Fault], evidence: Evidence) -> list[Trial]:
        none: frozenset[str] = frozenset()
        renewed = none.union(*(past.renewed for past in self._past), evidence.renewed)
        return [
            Trial(f, self._blown.get(f, none) - evidence.renewed, renewed, self.beside)
            for f in faults
        ]

    def _cut(self, evidence: Evidence, shows: dict[Fault, Shows], told: "_Told") -> list[Trial]:
        """Cut the cells that flip, and return the new severities at which they end."""
        flipping = [c for c in self._cells if told.flips(evidence, shows[c.low], shows[c.high])]
        narrowed = self._halved([(c.low, c.high) for c in flipping], evidence, shows, told)
        cuts = dict(zip(flipping, narrowed, strict=True))
        self._cells = [one for c in self._cells for one in _pieces(c, cuts.get(c))]
        new = dict.fromkeys(end for pair in narrowed for end in pair if end not in shows)
        return self._trials(new, evidence)

    def _halved(
        self,
        pairs: list[tuple[Fault, Fault]],
        evidence: Evidence,
        shows: dict[Fault, Shows],
        told: "_Told",
    ) -> list[tuple[Fault, Fault]]:
        """Return the pairs narrowed to where what is told of their first one ends."""
        first = [told.of(shows[low]) for low, _ in pairs]
        asked = told.asked(evidence)
        for _ in range(HALVINGS if pairs else 0):
            middles = [_middle(low, high) for low, high in pairs]
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


@dataclass(frozen=True, slots=True)
class _Told:
    """What flips between two severities, where that bears, and what must be asked to see it."""

    of: Callable[[Shows], Hashable]
    bears: Callable[[Evidence, Shows, Shows], bool]
    asked: Callable[[Evidence], Evidence]

    def flips(self, evidence: Evidence, low: Shows, high: Shows) -> bool:
        """Say whether it is not the same at both."""
        return self.of(low) != self.of(high) and self.bears(evidence, low, high)


_BEHAVIOUR = _Told(
    lambda shows: shows.behaviour,
    lambda *_: True,
    lambda evidence: replace(evidence, what=None, seen=None),
)
_METER_FUSE = _Told(
    lambda shows: shows.reading and (shows.reading.meter_fuse_blew, shows.reading.loaded),
    lambda evidence, low, high: _costs_a_fuse(evidence.reading, low.reading, high.reading),
    lambda evidence: replace(evidence, seen=None),
)


def _pieces(cell: _Cell, cut: tuple[Fault, Fault] | None) -> tuple[_Cell, ...]:
    if cut is None:
        return (cell,)
    # The sliver between is told by the nearer end: a vehicle is on one side of the flip.
    return (_Cell(cell.low, cut[0], cell.rows), _Cell(cut[1], cell.high, cell.rows))


@lru_cache(maxsize=64)
def _extremes(circuit: Circuit) -> tuple[tuple[tuple[str, float], ...], ...]:
    return extremes(Vehicle(circuit), LIMITS)


def _middle(low: Fault, high: Fault) -> Fault:
    a, b = low.severity, high.severity
    return replace(low, severity=(a * b) ** 0.5 if a > 0 and b > 0 else (a + b) / 2)


def _same_setting(one: Evidence, other: Evidence) -> bool:
    same = (one.setting, one.celsius, one.repaired) == (
        other.setting,
        other.celsius,
        other.repaired,
    )
    return same and not other.renewed

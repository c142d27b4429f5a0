"""A fault between two severities, and what one piece of evidence asks of it.

What is read lies between what the two would show, unless something flips between them: the
behaviour of the vehicle, or the meter's own fuse. There the pair is cut.
"""

import itertools
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from circuits.instruments import Reading
from circuits.lawmath import Array
from circuits.model import Fault, Setting
from exercises.evidence import METER_FUSE_WENT, Evidence, Seen, fits, fuse_fits, widened
from exercises.feasible import Slab
from exercises.shown import Shown
from exercises.trial import Row, Scatter, Shows

BEYOND = 1.1
"""Moves are told for a straight line; what bends goes at most this much further."""

SWING_SHARE = 0.25
"""Of what a chattering vehicle swings to: as far as any part's tolerance goes."""

DEPTH = 3
"""How often a pair of severities is halved for what may be seen in between: into 8 parts."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A fault between two severities, and what the readings so far ask of the parts.

    ``off`` tells by setting where the parts must lie for what was seen in it, if nominal ones
    do not do: the same vehicle set alike does the same again.
    """

    low: Fault
    high: Fault
    rows: "tuple[Slab, ...]" = field(default=(), compare=False, repr=False)
    off: tuple[tuple[Setting, Scatter], ...] = field(default=(), compare=False, repr=False)

    def ends(self) -> set[Fault]:
        """Return the fault at both its severities."""
        return {self.low, self.high}

    def blown(
        self, evidence: Evidence, shows: Mapping[Fault, Shows]
    ) -> dict[Fault, frozenset[str]]:
        """Return the fuses that each end has blown: those of one that gives the evidence.

        Where a fuse goes between the two, the evidence tells on which side the vehicle is.
        """
        alone = (end for end in self.ends() if allowed(evidence, shows[end], shows[end]))
        found = next(alone, None)
        return {end: shows[found or end].blown for end in self.ends()}

    def allows(self, evidence: Evidence, shows: Mapping[Fault, Shows]) -> bool:
        """Say whether some severity of the cell would have given the evidence."""
        low, high = shows[self.low], shows[self.high]
        return allowed(evidence, low, high)

    def lies(self, setting: Setting) -> Scatter:
        """Return where the parts must lie in a setting; empty where that is not known."""
        return dict(self.off).get(worked(setting), ())

    def other(self, end: Fault) -> Fault:
        """Return the fault at the other severity."""
        return self.high if end == self.low else self.low

    def cut_to(self, end: Fault, limit: Fault) -> "Cell":
        """Return what lies between one end and a severity within."""
        return replace(self, high=limit) if end == self.low else replace(self, low=limit)


def worked(setting: Setting) -> Setting:
    """Return what settings have in common in which a vehicle is seen to do the same."""
    return replace(setting, moved="", moment="moving")


def slab_of(cell: Cell, evidence: Evidence, shows: Mapping[Fault, Shows]) -> Slab | None:
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


def allowed(evidence: Evidence, low: Shows, high: Shows) -> bool:
    """Say whether one of two severities, or one in between, would have given the evidence."""
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


@dataclass(frozen=True, slots=True)
class Told:
    """What flips between two severities, where that bears, and what must be asked to see it."""

    of: Callable[[Shows], Hashable]
    bears: Callable[[Evidence, Shows, Shows], bool]
    asked: Callable[[Evidence], Evidence]

    def flips(self, evidence: Evidence, low: Shows, high: Shows) -> bool:
        """Say whether it is not the same at both."""
        return self.of(low) != self.of(high) and self.bears(evidence, low, high)


BEHAVIOUR = Told(
    lambda shows: shows.behaviour,
    lambda *_: True,
    lambda evidence: replace(evidence, what=None, seen=None),
)
METER_FUSE = Told(
    lambda shows: shows.reading and (shows.reading.meter_fuse_blew, shows.reading.loaded),
    lambda evidence, low, high: _costs_a_fuse(evidence.reading, low.reading, high.reading),
    lambda evidence: replace(evidence, seen=None),
)


def pieces(cell: Cell, cut: tuple[Fault, Fault] | None) -> tuple[Cell, ...]:
    if cut is None:
        return (cell,)
    # The sliver between is told by the nearer end: a vehicle is on one side of the flip.
    return (replace(cell, high=cut[0]), replace(cell, low=cut[1]))


def middle(low: Fault, high: Fault) -> Fault:
    a, b = low.severity, high.severity
    return replace(low, severity=(a * b) ** 0.5 if a > 0 and b > 0 else (a + b) / 2)


def like(one: Shows, *others: Shows) -> Shows:
    """Return the first of what others show that behaves as this one does, else this one.

    Across a flip nothing lies between the two.
    """
    return next((other for other in others if other.behaviour == one.behaviour), one)


def passes(seen: Seen, low: Seen, high: Seen) -> bool:
    """Say whether all parts that neither end is seen to work so change between the two."""
    missing = {part for part, _ in seen - low - high}
    ends = ({pair for pair in end if pair[0] in missing} for end in (low, high))
    changed = {part for part, _ in frozenset.symmetric_difference(*map(frozenset, ends))}
    return bool(missing) and missing <= changed


def steps_within(cell: Cell) -> list[Fault]:
    """Return severities between those of a cell, evenly by their logarithm if that can be."""
    found = [cell.low, cell.high]
    for _ in range(DEPTH):
        middles = [middle(*pair) for pair in itertools.pairwise(found)]
        found = [f for pair in zip(found, middles, strict=False) for f in pair] + [cell.high]
    return found[1:-1]

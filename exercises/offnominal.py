"""Faults that what was seen leaves possible only on a vehicle whose parts are off nominal.

A threshold close by, of a relay, a gauge or a coded input, may be passed by a sound vehicle that
is not the nominal one. Where the parts must lie for it is kept with the cell: the same vehicle
set alike does the same again, before and after.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from circuits.model import Circuit, Fault
from exercises.cells import BEHAVIOUR, Cell, allowed, like, middle, worked
from exercises.evidence import Evidence
from exercises.trial import Behaviour, Scatter, Shows, Trial, near_by, shown_by

HALVINGS = 8
"""How often a pair of severities is halved on the way to its flip: 1/256 of it is left."""

Tried = Callable[[Iterable[Fault], Evidence], list[Trial]]


@dataclass(frozen=True, slots=True)
class _Off:
    """A cell that allows the evidence at one end with its parts off nominal."""

    cell: Cell
    end: Fault
    trial: Trial
    there: Mapping[Fault, Shows]


@dataclass(frozen=True, slots=True)
class OffNominal:
    """Looks for vehicles off nominal on which the evidence was seen.

    Attributes
    ----------
    past : what was learned before, once for each setting in a row.
    tried : makes the trials of faults on nominal vehicles, at the moment of some evidence.
    """

    circuit: Circuit
    evidence: Evidence
    past: Sequence[Evidence]
    tried: Tried

    def revived(
        self, cells: Sequence[Cell], shows: Mapping[Fault, Shows]
    ) -> Iterator[tuple[Cell, Cell, dict[Fault, frozenset[str]]]]:
        """Yield cells, what is left of each, and the fuses that its ends have blown by then.

        ``shows`` is what is seen of their ends on the nominal vehicle.
        """
        if self.evidence.seen is None:
            return
        found: dict[Cell, _Off] = {}
        for off in self._allowing(cells, shows):
            if off.cell not in found and self._bears_out(off):
                found[off.cell] = off
        limits = self._limits(list(found.values()))
        for cell, off in found.items():
            here = worked(self.evidence.setting), off.trial.scatter
            left = replace(cell.cut_to(off.end, limits[cell]), off=(*cell.off, here))
            blown = cell.blown(self.evidence, off.there)
            yield cell, left, {**blown, limits[cell]: blown[off.end]}

    def _allowing(self, cells: Sequence[Cell], shows: Mapping[Fault, Shows]) -> Iterator[_Off]:
        """Yield the cells that allow the evidence."""
        ends = dict.fromkeys(end for cell in cells for end in cell.ends())
        trials = dict(zip(ends, self.tried(ends, self.evidence), strict=True))
        near = near_by(self.circuit, self.evidence, list(trials.values()))
        asked = [
            (cell, replace(trials[end], scatter=scatter))
            for cell in cells
            for end in dict.fromkeys((cell.low, cell.high))
            for scatter in _ways(cell.lies(self.evidence.setting), near[end])
        ]
        told = shown_by(self.circuit, self.evidence, [trial for _, trial in asked])
        for (cell, trial), one in zip(asked, told, strict=True):
            end, other = trial.fault, cell.other(trial.fault)
            there = {other: like(one, shows[other]), end: one}
            if not cell.allows(self.evidence, there):
                continue
            if one.blown == shows[end].blown or self._held_before(trial):
                yield _Off(cell, end, trial, there)

    def _held_before(self, trial: Trial) -> bool:
        """Say whether a fuse that blows only off nominal would have held off nominal so far."""
        return all(
            shown_by(self.circuit, BEHAVIOUR.asked(past), [trial])[0].blown == trial.blown
            for past in self.past
        )

    def _bears_out(self, off: _Off) -> bool:
        """Say whether parts that lie so would have shown what was seen before, set alike.

        With a fuse blown or renewed on the way that is not asked: it was another vehicle then.
        """
        if off.trial.blown or any(past.renewed for past in self.past):
            return True
        here = worked(self.evidence.setting)
        alike = (past for past in self.past if past.seen and worked(past.setting) == here)
        return all(self._seen_so(off, past) for past in alike)

    def _seen_so(self, off: _Off, past: Evidence) -> bool:
        ends = self.tried((off.cell.low, off.cell.high), past)
        moved = [replace(one, scatter=off.trial.scatter) for one in ends]
        told = shown_by(self.circuit, past, [*moved, *ends])
        return any(allowed(past, one, like(one, other)) for one in told[:2] for other in told)

    def _limits(self, found: Sequence[_Off]) -> dict[Cell, Fault]:
        """Return how far each cell behaves as its one end does with its parts off nominal."""
        spans = {off.cell: (off.end, off.cell.other(off.end)) for off in found}
        first = self._behave(found, [near for near, _ in spans.values()])
        last = self._behave(found, [far for _, far in spans.values()])
        cut = [off for off in found if first[off.cell] != last[off.cell]]
        for _ in range(HALVINGS if cut else 0):
            middles = [middle(*spans[off.cell]) for off in cut]
            behaves = self._behave(cut, middles)
            for off, half in zip(cut, middles, strict=True):
                near, far = spans[off.cell]
                alike = behaves[off.cell] == first[off.cell]
                spans[off.cell] = (half, far) if alike else (near, half)
        short = {off.cell for off in cut}
        return {cell: near if cell in short else far for cell, (near, far) in spans.items()}

    def _behave(self, found: Sequence[_Off], faults: Sequence[Fault]) -> dict[Cell, Behaviour]:
        """Return how a fault of each cell behaves with the parts where they lie for it."""
        trials = [replace(off.trial, fault=fault) for off, fault in zip(found, faults, strict=True)]
        told = shown_by(self.circuit, BEHAVIOUR.asked(self.evidence), trials)
        return {off.cell: one.behaviour for off, one in zip(found, told, strict=True)}


def _ways(had: Scatter, near: Sequence[Scatter]) -> list[Scatter]:
    """Return where the parts may lie: as before, or as would now do, as far as both go together."""
    if not had:
        return list(near)
    both = [tuple(sorted((dict(way) | dict(had)).items())) for way in near]
    return list(dict.fromkeys((had, *both, *near)))

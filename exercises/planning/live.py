"""The candidates still alive, as cells of a table with weights: what a choice is made from.

Weights order candidates and never eliminate one. Each place and kind has the weight of its
kind, shared evenly by its cells.
"""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from circuits.lawmath import Array
from circuits.model import Fault
from circuits.newton import Index
from exercises.candidates import Candidates
from exercises.planning.flips import NONE
from exercises.planning.table import Bools, Cell, Table

PRIOR: Mapping[str, float] = {
    "corroded": 3.0,
    "open": 3.0,
    "blown": 3.0,
    "backed_out": 2.0,
    "high_resistance": 2.0,
    "chafed": 2.0,
    "contact_burnt": 2.0,
    "contact_open": 2.0,
    "spread": 2.0,
    "no_fault": 2.0,
    "swapped": 0.5,
    "underrated": 0.5,
    "extra_termination": 0.5,
    "set_wrong": 0.5,
}
"""How often a kind is met, any other being 1 (common practice, no source)."""


@dataclass(frozen=True)
class Live:
    """Cells still possible.

    Attributes
    ----------
    cell : their numbers in the table.
    when : the condition of each, empty for always.
    weight : of each; they sum to 1.
    """

    table: Table
    cell: Index
    when: tuple[str, ...]
    weight: Array

    @cached_property
    def spots(self) -> tuple[tuple[str, str], ...]:
        """The places and kinds still possible, each once."""
        return tuple(dict.fromkeys(self.table.cells[n].spot for n in self.cell))

    @cached_property
    def spot(self) -> Index:
        """The number of each cell's place and kind in ``spots``."""
        number = {spot: n for n, spot in enumerate(self.spots)}
        return np.array([number[self.table.cells[n].spot] for n in self.cell], dtype=np.intp)

    @cached_property
    def spot_weight(self) -> Array:
        """The weight of each place and kind."""
        found = np.zeros(len(self.spots))
        np.add.at(found, self.spot, self.weight)
        return found

    def only(self, kept: Bools) -> "Live":
        """Return some of the cells, their weights raised to sum to 1."""
        weight = self.weight[kept]
        when = tuple(itertools.compress(self.when, kept))
        return Live(self.table, self.cell[kept], when, weight / weight.sum())

    def ranked(self) -> tuple[tuple[str, str], ...]:
        """Return the places and kinds, the likeliest first."""
        order = np.argsort(-self.spot_weight, kind="stable")
        return tuple(self.spots[n] for n in order)


def live_of(table: Table, asked: Sequence[Candidates]) -> Live:
    """Return what is left of candidates as cells of the table."""
    found: dict[tuple[int, str], None] = {}
    slivers: dict[tuple[str, str, str], list[tuple[int, str]]] = {}
    for candidates in asked:
        for low, high, blown in candidates.spans():
            for number, held in _cells_for(table, low, high, blown):
                if held:
                    found[number, low.when] = None
                    continue
                spot = (low.place, low.kind, low.when)
                slivers.setdefault(spot, []).append((number, low.when))
    there = {(*table.cells[number].spot, when) for number, when in found}
    # What is left of a fault only beside a flip is told by the nearest cell.
    for spot, nearest in slivers.items():
        if spot not in there:
            found |= dict.fromkeys(nearest)
    return live_from(table, list(found))


def everything(table: Table, conditions: Sequence[str] = ()) -> Live:
    """Return every fault that the table knows and no fault, before anything was learned."""
    cells = [n for n, cell in enumerate(table.cells) if not cell.blown]
    there = [(n, "") for n in cells]
    there += [(n, when) for n in cells if n != table.sound for when in conditions]
    return live_from(table, there)


def live_from(table: Table, found: Sequence[tuple[int, str]]) -> Live:
    """Return cells with the weights of their kinds."""
    weight = np.array([_weight(table, table.cells[number]) for number, _ in found])
    total = weight.sum() if len(weight) else 1.0
    return Live(
        table,
        np.array([number for number, _ in found], dtype=np.intp),
        tuple(when for _, when in found),
        weight / total,
    )


def _weight(table: Table, cell: Cell) -> float:
    return PRIOR.get(cell.low.kind, 1.0) / len(table.by_spot[cell.spot])


def cells_for(table: Table, fault: Fault) -> tuple[int, ...]:
    """Return the cells of the table that hold a fault at its severity, no fuse blown yet."""
    return tuple(number for number, _ in _cells_for(table, fault, fault, NONE))


def _cells_for(
    table: Table, low: Fault, high: Fault, blown: frozenset[str]
) -> list[tuple[int, bool]]:
    """Return the cells that have something in common with what lies between two severities.

    Where none has, the nearest, and False with it.
    """
    known = table.by_spot.get((low.place, low.kind), ())
    same = [n for n in known if table.cells[n].blown == blown]
    same = same or [n for n in known if not table.cells[n].blown]
    ends = sorted((low.severity, high.severity))
    shared = {n: _shared(table.cells[n], ends) for n in same}
    most = max(shared.values(), default=0.0)
    if ends[0] < ends[1] and most > 0:
        return [(n, True) for n, share in shared.items() if share > 0]
    return [(n, most >= 0) for n, share in shared.items() if share == most]


def _shared(cell: Cell, ends: Sequence[float]) -> float:
    """Return how much two severities and a cell have in common; below 0, how far apart."""
    return min(ends[1], cell.high.severity) - max(ends[0], cell.low.severity)

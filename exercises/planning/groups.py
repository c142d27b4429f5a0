"""Ambiguity groups: the faults that no allowed test parts, and what else would part them.

Two cells are alike where their bands overlap in every allowed test and the same may be seen
of both in every setting that is watched.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from circuits.model import Fault
from circuits.newton import Index
from exercises.planning.allowed import AllowedTest
from exercises.planning.choice import GLANCE, Bands, Plan, Standing
from exercises.planning.live import Live, cells_for, everything
from exercises.planning.table import Bools

Spot = tuple[str, str]

BLOCK = 64
"""Tests that are looked at once."""


@dataclass(frozen=True, slots=True)
class Group:
    """A fault at one severity, and the other places and kinds that nothing allowed parts
    from it."""

    fault: Fault
    others: tuple[Spot, ...]

    @property
    def size(self) -> int:
        """How many faults it may be, the true one included."""
        return 1 + len(self.others)


def apart(bands: Bands, numbers: Iterable[int], one: Index, other: Index) -> Bools:
    """Return (test, pair) whether a test parts pairs of live cells, whatever it shows."""
    found = []
    for number in numbers:
        if bands.plan.column[number] < 0:
            of, alike = bands.classes(number)
            found.append(~alike[of[one], of[other]])
            continue
        low, high = bands.ends(np.array([number]))
        found.append((low[0, one] > high[0, other]) | (low[0, other] > high[0, one]))
    return np.array(found, dtype=bool).reshape(len(found), len(one))


def alike(plan: Plan, live: Live) -> tuple[Index, Index]:
    """Return the pairs of live cells of different faults that no test of the plan parts."""
    one, other = np.nonzero(np.triu(live.spot[:, None] != live.spot))
    return _still_alike(plan, live, one, other)


def _still_alike(plan: Plan, live: Live, one: Index, other: Index) -> tuple[Index, Index]:
    bands = Bands(plan, live)
    for start in range(0, len(plan.tests), BLOCK):
        numbers = range(start, min(start + BLOCK, len(plan.tests)))
        if not len(one):
            break
        left = ~_any_apart(bands, numbers, one, other)
        one, other = one[left], other[left]
    return one, other


def _any_apart(bands: Bands, numbers: Iterable[int], one: Index, other: Index) -> Bools:
    found = np.zeros(len(one), dtype=bool)
    for number in numbers:
        left = np.flatnonzero(~found)
        found[left] = apart(bands, [number], one[left], other[left])[0]
    return found


def group_of(plan: Plan, fault: Fault, conditions: Sequence[str] = ()) -> Group:
    """Return the group of a fault at its severity, among single faults and no fault."""
    live = everything(plan.table, conditions)
    one, other = _against_all(live, fault)
    _, left = _still_alike(plan, live, one, other)
    # Where two cells meet at its severity, what either is parted from is parted from it.
    cells, times = np.unique(left, return_counts=True)
    same = cells[times == len(set(one))]
    return Group(fault, tuple(dict.fromkeys(live.spots[live.spot[n]] for n in same)))


def among(group: Group, left: Iterable[Fault]) -> Group:
    """Return a group without the faults that are not left by other evidence."""
    spots = {(fault.place, fault.kind) for fault in left}
    return replace(group, others=tuple(spot for spot in group.others if spot in spots))


def _against_all(live: Live, fault: Fault) -> tuple[Index, Index]:
    """Return the pairs of a fault's own cells, at its severity, and those of other faults."""
    cells = set(cells_for(live.table, fault))
    mine = [
        n
        for n, (cell, when) in enumerate(zip(live.cell, live.when, strict=True))
        if cell in cells and when == fault.when
    ]
    others = np.flatnonzero(live.spot != live.spot[mine[0]])
    one, other = np.meshgrid(mine, others, indexing="ij")
    return one.ravel(), other.ravel()


@dataclass(frozen=True, slots=True)
class Parting:
    """The cheapest test that parts a fault from another place and kind, None where none does.

    ``minutes`` are those from the vehicle as found.
    """

    spot: Spot
    test: AllowedTest | None
    minutes: float = 0.0


def parting(plan: Plan, group: Group, conditions: Sequence[str] = ()) -> tuple[Parting, ...]:
    """Return for each other fault of a group what test of a wider plan would part it.

    A test parts two faults when it parts every severity at which they are alike in it.
    """
    live = everything(plan.table, conditions)
    one, other = _against_all(live, group.fault)
    bands = Bands(plan, live)
    cost = np.maximum(plan.minutes(Standing()), GLANCE)
    order = np.argsort(cost, kind="stable")
    found = []
    for spot in group.others:
        own = live.spot[other] == live.spots.index(spot)
        pairs = one[own], other[own]
        chosen = next((n for n in order if _parts(apart(bands, [n], *pairs)[0], pairs[1])), None)
        test = (None, 0.0) if chosen is None else (plan.tests[chosen], float(cost[chosen]))
        found.append(Parting(spot, *test))
    return tuple(found)


def _parts(found: Bools, others: Index) -> bool:
    """Say whether every other cell is parted from one of the fault's own."""
    return set(others[found]) == set(others)

"""The order of a printed list: tests by information per minute, as long as all is well.

A list on paper cannot follow what each test shows. So the walk goes on as if every test had
answered as a sound vehicle would, and each test tells besides what other answers point to.
"""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from circuits.model import Fault
from circuits.newton import Index
from exercises.planning.allowed import AllowedTest, worth_moving
from exercises.planning.choice import Bands, Plan, Standing, best
from exercises.planning.live import Live
from exercises.planning.table import Bools, Table

MOST_TESTS = 12
"""Most tests of a list: what fits on three pages and into an hour."""

METER: tuple[str, ...] = ("volts", "ohms")
"""What a plain multimeter measures."""


@dataclass(frozen=True, slots=True)
class Walked:
    """A test of the list, what it costs, and the faults that were still possible before it.

    Attributes
    ----------
    suspects : ``(fault, weight)`` of each, at a severity in the middle of what is left.
    left : how many are left where the test answers as a sound vehicle would.
    """

    test: AllowedTest
    minutes: float
    suspects: tuple[tuple[Fault, float], ...]
    left: int


def plan_of(table: Table, instruments: Collection[str] = METER) -> Plan:
    """Return the tests that somebody with these instruments takes on a real vehicle.

    What may be tapped is tapped; no connector is wiggled without a hint that it matters, as
    each would take a second person and the way to it.
    """

    def takes(test: AllowedTest) -> bool:
        if test.what is not None and test.what.instrument not in instruments:
            return False
        moved = test.setting.moved
        if moved in table.circuit.connector_by_name or not worth_moving(table.circuit, moved):
            return False
        return not test.setting.warm

    return Plan(table, takes)


def healthy_walk(plan: Plan, live: Live, most: int = MOST_TESTS) -> tuple[Walked, ...]:
    """Return the tests in their order, at most so many.

    It ends when one fault is left or no test helps. A test that a sound answer would leave
    nothing of is no test of the list: it would only say that there is no complaint.
    """
    standing, taken = Standing(), _refused(plan, live)
    found: list[Walked] = []
    while len(found) < most and len(live.spots) > 1:
        choice = best(plan, live, standing, taken)
        if choice is None:
            break
        kept = sound_survivors(plan, live, plan.number[choice.test])
        cost = float(plan.minutes(standing)[plan.number[choice.test]])
        after = live.only(kept) if kept.any() else live
        found.append(Walked(choice.test, cost, _suspects(live), len(after.spots)))
        standing, live = plan.after(standing, choice.test), after
        taken = {*(one.test for one in found), *_refused(plan, live)}
    return tuple(found)


def sound_survivors(plan: Plan, live: Live, number: int) -> Bools:
    """Return which live cells may show in a test what a sound vehicle shows."""
    if plan.column[number] < 0:
        of, alike = Bands(plan, live).classes(number)
        sound = int(plan.looks[plan.tests[number].setting].of[plan.table.sound])
        same: Bools = alike[sound, of]
        return same
    found: Bools = _overlaps(plan, live, np.array([number]))[0]
    return found


def _overlaps(plan: Plan, live: Live, numbers: Index) -> Bools:
    low, high = Bands(plan, live).ends(numbers)
    columns, sound = plan.column[numbers], plan.table.sound
    ends = [end[columns, sound][:, None] for end in (plan.table.low, plan.table.high)]
    found: Bools = (low <= ends[1]) & (ends[0] <= high)
    return found


def _refused(plan: Plan, live: Live) -> set[AllowedTest]:
    """Return the tests in which no live cell may show what a sound vehicle shows."""
    measured = np.flatnonzero(plan.column >= 0)
    none = measured[~_overlaps(plan, live, measured).any(axis=1)]
    looked = np.flatnonzero(plan.column < 0).tolist()
    gone = [n for n in looked if not sound_survivors(plan, live, n).any()]
    return {plan.tests[n] for n in (*none.tolist(), *gone)}


def _suspects(live: Live) -> tuple[tuple[Fault, float], ...]:
    """Return the faults still possible, the likeliest first, each at its middle severity."""
    cells: dict[int, list[int]] = {}
    for place, spot in enumerate(live.spot.tolist()):
        cells.setdefault(spot, []).append(int(live.cell[place]))
    order = np.argsort(-live.spot_weight, kind="stable").tolist()
    found = []
    for spot in order:
        middle = live.table.cells[cells[spot][len(cells[spot]) // 2]]
        found.append((middle.low, float(live.spot_weight[spot])))
    return tuple(found)

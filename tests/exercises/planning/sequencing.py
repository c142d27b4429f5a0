"""Small test-sequencing problems, and the least expected cost of each by dynamic programming.

Every candidate has one severity, no meter errs and no part is off: what a test shows parts
the candidates into classes. Costs are those of the tests on the vehicle: they depend on the
setting and on the places that have been got at.
"""

import dataclasses
from collections.abc import Callable, Iterator, Sequence
from random import Random

import numpy as np

from circuits.lawmath import Array
from exercises.planning.allowed import AllowedTest
from exercises.planning.choice import GLANCE, Bands, Choice, Plan, Standing, best
from exercises.planning.live import Live, live_from
from exercises.planning.rollout import survivors
from exercises.planning.table import Look, Table

FOUND = Standing()

Choose = Callable[[Plan, Live, Standing, Sequence[AllowedTest]], Choice | None]


def classes(low: Array, high: Array) -> Array:
    """Return classes of bands: those that overlap, directly or through others, are one."""
    found = np.zeros(len(low), dtype=int)
    reached, number = -1, -1
    for n in np.argsort(low, kind="stable"):
        if low[n] > reached:
            number += 1
        reached = max(reached, high[n])
        found[n] = number
    return found


def small(table: Table, random: Random, *, candidates: int, tests: int) -> Table:
    """Return a table of a few candidates at one severity each, and a few tests that split."""
    spots = random.sample(sorted(table.by_spot), candidates)
    cells = [random.choice(table.by_spot[spot]) for spot in spots]
    low, high = table.low[:, cells].astype(int), table.high[:, cells].astype(int)
    of = [classes(*row) for row in zip(low, high, strict=True)]
    split = [n for n, row in enumerate(of) if row.max() > 0]
    chosen = random.sample(split, min(tests, len(split)))
    ranks = np.array([of[n] for n in chosen], dtype=np.uint16)
    some = random.sample(table.looks, min(3, len(table.looks)))
    return dataclasses.replace(
        table,
        cells=tuple(table.cells[n] for n in cells),
        tests=tuple(table.tests[n] for n in chosen),
        low=ranks,
        high=ranks,
        looks=tuple(_sharp(look, cells) for look in some),
    )


def _sharp(look: Look, cells: Sequence[int]) -> Look:
    of = look.of[cells]
    names = {name: n for n, name in enumerate(dict.fromkeys(of.tolist()))}
    sharp = np.array([names[name] for name in of.tolist()], dtype=np.int16)
    return Look(look.setting, sharp, np.eye(len(names), dtype=bool))


class _UnitPlan(Plan):
    """A plan all of whose tests cost one minute."""

    def minutes(self, standing: Standing) -> Array:
        """Return one for each test."""
        return np.ones(len(self.tests))


class Problem:
    """A small table as a sequencing problem: weights of candidates, costs, outcomes."""

    def __init__(self, table: Table, *, weight: Array | None = None, unit: bool = False) -> None:
        self.plan = _UnitPlan(table) if unit else Plan(table)
        self.all = live_from(table, [(n, "") for n in range(len(table.cells))])
        if weight is not None:
            self.all = dataclasses.replace(self.all, weight=weight)
        self._least: dict[object, float] = {}

    def costs(self, standing: Standing) -> Array:
        """Return the cost of each test from where the tester stands."""
        return np.maximum(self.plan.minutes(standing), GLANCE)

    def outcomes(self, live: Live, test: AllowedTest) -> Iterator[tuple[float, Live]]:
        """Yield what a test can leave, with its chance."""
        done = np.zeros(len(live.cell), dtype=bool)
        for truth in range(len(live.cell)):
            if not done[truth]:
                left = survivors(self.plan, live, test, truth)
                done |= left
                yield float(live.weight[left].sum()), live.only(left)

    def least(self, live: Live | None = None, standing: Standing = FOUND) -> float:
        """Return the least expected cost to part all that can be parted."""
        live = self.all if live is None else live
        key = (live.cell.tobytes(), standing)
        if key not in self._least:
            costs = self.costs(standing)
            ways = (
                costs[n] + self._after(live, standing, test, self.least)
                for n, test in enumerate(self.plan.tests)
                if len(list(self.outcomes(live, test))) > 1
            )
            self._least[key] = float(min(ways, default=0.0))
        return self._least[key]

    def expected(
        self, choose: Choose = best, live: Live | None = None, standing: Standing = FOUND
    ) -> float:
        """Return the expected cost of a policy."""
        live = self.all if live is None else live
        choice = choose(self.plan, live, standing, ())
        if choice is None:
            return 0.0
        cost = float(self.costs(standing)[self.plan.number[choice.test]])
        return cost + self._after(
            live, standing, choice.test, lambda left, then: self.expected(choose, left, then)
        )

    def _after(
        self,
        live: Live,
        standing: Standing,
        test: AllowedTest,
        cost: Callable[[Live, Standing], float],
    ) -> float:
        then = self.plan.after(standing, test)
        return sum(share * cost(left, then) for share, left in self.outcomes(live, test))


def half_split(
    plan: Plan, live: Live, standing: Standing, taken: Sequence[AllowedTest]
) -> Choice | None:
    """Return the test that parts the cells best, whatever it costs."""
    if len(live.spots) < 2:
        return None
    even = dataclasses.replace(live, weight=np.full(len(live.cell), 1 / len(live.cell)))
    bits = Bands(plan, even).bits(np.arange(len(plan.tests)))
    bits[[plan.number[test] for test in taken if test in plan.number]] = 0.0
    chosen = int(bits.argmax())
    cost = float(plan.minutes(standing)[chosen])
    return Choice(plan.tests[chosen], float(bits[chosen]), cost) if bits[chosen] else None

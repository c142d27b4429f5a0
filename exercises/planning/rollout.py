"""The yardstick: of the tests that tell most per minute, the one after which least is to come.

What is to come is what the next-best-test policy would still spend, tried on candidates in
place of the truth. It is close to the optimum and takes its time: for a debrief and for
economy, not while a learner waits.
"""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from exercises.planning.allowed import AllowedTest
from exercises.planning.choice import Bands, Choice, Plan, Standing, best
from exercises.planning.live import Live
from exercises.planning.table import Bools

WIDEST = 6
"""Tests that are tried, those of most bits per minute."""

TRUTHS = 24
"""Cells that are tried as the truth, evenly over the weights."""


@dataclass(frozen=True)
class Rollout:
    """Chooses like ``exercises.planning.choice.best``, with what is to come in view."""

    widest: int = WIDEST
    truths: int = TRUTHS

    def __call__(
        self,
        plan: Plan,
        live: Live,
        standing: Standing,
        taken: Collection[AllowedTest] = (),
    ) -> Choice | None:
        """Return the test with the least minutes to the end, None where none tells anything."""
        choices = widest(plan, live, standing, taken, self.widest)
        if len(choices) < 2:
            return choices[0] if choices else None
        weights = _even(live, self.truths)
        future = _Future(plan)

        def minutes(choice: Choice) -> float:
            after = plan.after(standing, choice.test)
            known = frozenset((*taken, choice.test))
            to_come = sum(
                weight * future.minutes(_left(plan, live, choice.test, n), after, known, cell)
                for n, cell, weight in weights
            )
            return choice.minutes + to_come

        return min(choices, key=minutes)


def widest(
    plan: Plan, live: Live, standing: Standing, taken: Collection[AllowedTest], count: int
) -> list[Choice]:
    """Return the tests that tell most per minute, the best first."""
    found: list[Choice] = []
    closed = set(taken)
    while len(found) < count:
        choice = best(plan, live, standing, closed)
        if choice is None:
            break
        found.append(choice)
        closed.add(choice.test)
    return found


def _even(live: Live, count: int) -> list[tuple[int, tuple[int, str], float]]:
    """Return cells drawn evenly over the weights, as place among the live, cell and share."""
    ends = np.cumsum(live.weight)
    if len(ends) <= count:
        picked, share = np.arange(len(ends)), live.weight
    else:
        at = (np.arange(count) + 0.5) / count
        picked, times = np.unique(np.searchsorted(ends, at), return_counts=True)
        share = times / count
    return [
        (int(n), (int(live.cell[n]), live.when[n]), float(s))
        for n, s in zip(picked, share, strict=True)
    ]


class _Future:
    """What the policy still spends, for one truth or another; what is met again is kept."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._chosen: dict[object, Choice | None] = {}

    def minutes(
        self,
        live: Live,
        standing: Standing,
        taken: frozenset[AllowedTest],
        truth: tuple[int, str],
    ) -> float:
        """Return the minutes to the end, were a cell the truth."""
        spent = 0.0
        while True:
            choice = self._choice(live, standing, taken)
            if choice is None:
                return spent
            spent += choice.minutes
            own = _place(live, truth)
            live = _left(self.plan, live, choice.test, own)
            standing = self.plan.after(standing, choice.test)
            taken |= {choice.test}

    def _choice(
        self, live: Live, standing: Standing, taken: frozenset[AllowedTest]
    ) -> Choice | None:
        key = (live.cell.tobytes(), live.when, standing, taken)
        if key not in self._chosen:
            self._chosen[key] = best(self.plan, live, standing, taken)
        return self._chosen[key]


def _place(live: Live, truth: tuple[int, str]) -> int:
    cell, when = truth
    return next(n for n in np.flatnonzero(live.cell == cell).tolist() if live.when[n] == when)


def _left(plan: Plan, live: Live, test: AllowedTest, truth: int) -> Live:
    """Return what a test leaves, were a live cell the truth and its reading amid its band."""
    return live.only(survivors(plan, live, test, truth))


def survivors(plan: Plan, live: Live, test: AllowedTest, truth: int) -> Bools:
    """Return which live cells a test would leave, were one of them the truth."""
    bands, number = Bands(plan, live), plan.number[test]
    if plan.column[number] < 0:
        of, alike = bands.classes(number)
        same: Bools = alike[of[truth], of]
        return same
    low, high = (ends[0] for ends in bands.ends(np.array([number])))
    reading = (low[truth] + high[truth]) // 2
    found: Bools = (low <= reading) & (reading <= high)
    return found

"""A good path worked out: on a vehicle with its fault, one best test after another.

The choice knows only what is still possible, like a learner's; the readings come from the
vehicle. It ends when one fault is left, or no allowed test could part those that are.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass

from circuits.behaviour import observe
from circuits.consequences import blown_fuses
from circuits.instruments import read
from circuits.model import Fault
from circuits.operate import solve
from exercises.arriving import as_found
from exercises.evidence import Evidence
from exercises.exercise import Exercise
from exercises.narrowing import questions
from exercises.planning.allowed import AllowedTest, permitted
from exercises.planning.choice import Choice, Plan, Standing, best
from exercises.planning.live import Live, live_of
from exercises.planning.table import Table
from exercises.shown import Shown, shown_of

MOST_STEPS = 60
"""Most tests of a path: none that helps is taken twice."""

MOST_VAIN = 3
"""Most doubtful tests in a row that tell nothing."""

Choose = Callable[[Plan, Live, Standing, Collection[AllowedTest]], Choice | None]


@dataclass(frozen=True, slots=True)
class Done:
    """A test of the path as taken.

    Attributes
    ----------
    bits : what it was expected to tell.
    seen, shown : what was seen if the setting was new, and what was read if anything was.
    minutes : what the path has cost so far.
    left : the faults still possible.
    """

    test: AllowedTest
    bits: float
    seen: tuple[str, ...]
    shown: Shown | None
    minutes: float
    left: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class ReferencePath:
    """A path by the policy, and the faults that were possible before it."""

    steps: tuple[Done, ...]
    before: tuple[Fault, ...]

    @property
    def minutes(self) -> float:
        """What the whole path costs."""
        return self.steps[-1].minutes if self.steps else 0.0

    @property
    def group(self) -> tuple[Fault, ...]:
        """The faults that it leaves."""
        return self.steps[-1].left if self.steps else self.before


def plan_for(exercise: Exercise, table: Table) -> Plan:
    """Return the tests that an exercise allows."""
    return Plan(table, lambda test: permitted(exercise, test))


def reference_path(exercise: Exercise, plan: Plan, *, choose: Choose = best) -> ReferencePath:
    """Return the path of a policy on the exercise's own vehicle."""
    walk = _Walk(exercise, plan)
    before = walk.left()
    steps: list[Done] = []
    vain = 0
    while len(steps) < MOST_STEPS and vain < MOST_VAIN:
        choice = walk.next(choose)
        if choice is None:
            break
        left = steps[-1].left if steps else before
        steps.append(walk.take(choice))
        vain = vain + 1 if choice.doubtful and steps[-1].left == left else 0
    return ReferencePath(tuple(steps), before)


class _Walk:
    """The vehicle as it is worked on, and what its readings leave of each question."""

    def __init__(self, exercise: Exercise, plan: Plan) -> None:
        self.exercise, self.plan, self.vehicle = exercise, plan, as_found(exercise)
        self.asked = [one.candidates() for one in questions(exercise)]
        self.standing, self.spent = Standing(), 0.0
        self.evidence: list[Evidence] = []

    def left(self) -> tuple[Fault, ...]:
        """Return the faults that are possible for any of the questions."""
        return tuple(dict.fromkeys(f for candidates in self.asked for f in candidates.left()))

    def next(self, choose: Choose) -> Choice | None:
        """Return the next test, for the first question that a test still helps with."""
        taken = self.plan.known(self.evidence)
        for candidates in self.asked:
            live = live_of(self.plan.table, [candidates])
            choice = choose(self.plan, live, self.standing, taken)
            if choice is not None:
                return choice
        return None

    def take(self, choice: Choice) -> Done:
        """Set the vehicle, watch it where it is set anew, and measure if the test does."""
        test = choice.test
        self.spent += float(self.plan.minutes(self.standing)[self.plan.number[test]])
        vehicle = self.vehicle.with_setting(test.setting)
        self.vehicle = vehicle.with_blown(blown_fuses(vehicle, solve(vehicle)))
        seen: tuple[str, ...] = ()
        if test.what is None or test.setting != self.standing.setting:
            seen = self._watch(test)
        shown = self._shown(test)
        self.standing = self.plan.after(self.standing, test)
        return Done(test, choice.bits, seen, shown, self.spent, self.left())

    def _watch(self, test: AllowedTest) -> tuple[str, ...]:
        found = observe(self.vehicle)
        codes = frozenset((each.part, each.code) for each in found)
        self._weigh(Evidence(test.setting, seen=codes))
        return tuple(each.words for each in found)

    def _shown(self, test: AllowedTest) -> Shown | None:
        if test.what is None:
            return None
        shown = shown_of(read(self.vehicle, test.what))
        self._weigh(Evidence(test.setting, test.what, shown))
        return shown

    def _weigh(self, piece: Evidence) -> None:
        self.evidence.append(piece)
        for candidates in self.asked:
            candidates.weigh(piece)

"""Learners of six kinds, who play an exercise from the slip to the closed job.

None knows what is hidden. Two reason from what is still possible, and differ in the test that
they choose; one of these also believes wrongly, once, what a sound vehicle shows. The others
measure at random, swap parts, or guess.
"""

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from circuits.faultkinds import KINDS
from circuits.faults import cures
from circuits.model import CircuitError, Fault
from circuits.settings import setting_from
from exercises.actions import ChangeSetting, ChooseRepair, CloseJob, NameFault
from exercises.attempt import Attempt, AttemptError
from exercises.candidates import Candidates
from exercises.diagnosis import fault_menu, repairs_at
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise, Step
from exercises.planning.advice import candidates_of, ranked
from exercises.planning.allowed import working
from exercises.planning.choice import Plan, Standing, best
from exercises.planning.live import live_of
from exercises.planning.policy import MOST_STEPS, Choose
from tests.exercises.learners.acting import Learner, random_test
from tests.exercises.planning.sequencing import half_split

PROBES = 5
"""Readings that a random prober takes before naming something."""

SWAPS = 8
"""Most repairs of a parts swapper, and of anybody."""


@dataclass(frozen=True)
class Bench:
    """An exercise, the tests that it allows, and the seed of whatever is left to chance."""

    exercise: Exercise
    plan: Plan
    seed: int = 0

    def random(self, who: str) -> Random:
        """Return chance of one's own, the same each time."""
        return Random(f"{who} {self.exercise.name} {self.seed}")


Player = Callable[[Bench], Attempt]


def careful(bench: Bench) -> Attempt:
    """Take the test that tells most per minute until nothing more can be told."""
    return _by_reason(bench, best)


def half_splitter(bench: Bench) -> Attempt:
    """Take the test that halves what is possible, whatever it costs."""
    return _by_reason(bench, half_split)


def wrong_expectation(bench: Bench) -> Attempt:
    """Reason as the careful one does, but take the first telling reading the wrong way round.

    What they think that a sound vehicle shows there is wrong, so they keep just those faults
    that the reading rules out, and name one. When its repair cures nothing they think again.
    """
    return _by_reason(bench, best, misled=True)


def random_prober(bench: Bench) -> Attempt:
    """Measure here and there, and name something that the readings allow."""
    random, learner = bench.random("prober"), Learner(bench.exercise)
    taken = 0
    while taken < PROBES:
        with contextlib.suppress(AttemptError, CircuitError):
            random_test(learner, random)  # what cannot be set is refused, and tried otherwise
            taken += 1
    left = candidates_of(learner.attempt).left()
    return _repaired_and_closed(learner, random.choice(left or (NO_FAULT,)))


def parts_swapper(bench: Bench) -> Attempt:
    """Put in one new part after another until it works, or the money is gone."""
    random, learner = bench.random("swapper"), Learner(bench.exercise)
    _work(learner)
    places = [place for place in fault_menu(bench.exercise.circuit) if place.name]
    random.shuffle(places)
    swaps = [(p, r) for p in places for r in repairs_at(bench.exercise.circuit, p.name)]
    swaps = [(p, r) for p, r in swaps if r.startswith(("replace", "renew"))]
    for place, repair in swaps[:SWAPS]:
        kinds = [kind.name for kind in place.kinds if repair in KINDS[kind.name].cures]
        if not learner.attempt.cured and kinds:
            learner.do(NameFault(place.name, kinds[0]), ChooseRepair(place.name, repair))
    return _closed(learner)


def guesser(bench: Bench) -> Attempt:
    """Work the vehicle once, and name what comes to mind."""
    random, learner = bench.random("guesser"), Learner(bench.exercise)
    _work(learner)
    place = random.choice(fault_menu(bench.exercise.circuit)[:-1])
    return _repaired_and_closed(learner, Fault(place.name, random.choice(place.kinds).name))


def lucky_guesser(bench: Bench) -> Attempt:
    """Work the vehicle once, and name what it is by sheer luck."""
    learner = Learner(bench.exercise)
    _work(learner)
    return _repaired_and_closed(learner, bench.exercise.faults[0])


PLAYERS: dict[str, Player] = {
    "careful": careful,
    "half-splitter": half_splitter,
    "wrong expectation": wrong_expectation,
    "random prober": random_prober,
    "parts swapper": parts_swapper,
    "guesser": guesser,
    "lucky guesser": lucky_guesser,
}
"""The six kinds, best first, and the guesser who is right."""

BY_CHANCE = ("random prober", "parts swapper", "guesser")


def _by_reason(bench: Bench, choose: Choose, *, misled: bool = False) -> Attempt:
    learner = Learner(bench.exercise)
    for _ in range(SWAPS):
        wrong = _measure(learner, bench.plan, choose, misled=misled)
        misled = misled and not wrong
        named = wrong or _likeliest(candidates_of(learner.attempt))
        learner.do(NameFault(named.place, named.kind), _repair(learner.attempt, named))
        if learner.attempt.cured:
            _confirm(learner)
            break
    return _closed(learner)


def _measure(learner: Learner, plan: Plan, choose: Choose, *, misled: bool) -> Fault | None:
    """Take tests until none helps; return what is wrongly believed, None where nothing is."""
    for _ in range(MOST_STEPS):
        attempt = learner.attempt
        live = live_of(plan.table, [candidates_of(attempt)])
        standing = Standing(attempt.setting, attempt.visited)
        choice = choose(plan, live, standing, plan.known(attempt.evidence))
        if choice is None:
            break
        before = candidates_of(attempt)
        learner.take(Step(choice.test.setting, choice.test.what, ""))
        if misled:
            gone = _ruled_out(before, candidates_of(learner.attempt))
            if gone and learner.attempt.reading is not None:
                return gone[0]
    return None


def _ruled_out(before: Candidates, after: Candidates) -> list[Fault]:
    """Return the faults that a reading has ruled out, of parts of which it has left none."""
    left = {_part(fault) for fault in after.left()}
    gone = [fault for fault, _ in ranked(before) if _part(fault) not in left]
    return [fault for fault in gone if fault != NO_FAULT] if left else []


def _part(fault: Fault) -> str:
    return fault.place.partition(".")[0]


def _likeliest(candidates: Candidates) -> Fault:
    found = ranked(candidates)
    return found[0][0] if found else NO_FAULT


def _repair(attempt: Attempt, fault: Fault) -> ChooseRepair:
    if fault == NO_FAULT:
        return ChooseRepair(NO_FAULT.place, "none")
    offered = repairs_at(attempt.circuit, fault.place)
    return ChooseRepair(fault.place, next(r for r in offered if cures(fault, fault.place, r)))


def _confirm(learner: Learner) -> None:
    """Repeat each reading that was taken, the latest first, until one that was wrong is right."""
    for entry in reversed(learner.attempt.entries):
        if entry.stage == "probing":
            learner.take(Step(entry.setting, entry.what, ""))


def _work(learner: Learner) -> None:
    """Set every switch as the vehicle is used, and watch."""
    circuit = learner.attempt.circuit
    learner.do(ChangeSetting(setting_from(circuit, positions=dict(working(circuit)))))


def _repaired_and_closed(learner: Learner, fault: Fault) -> Attempt:
    learner.do(NameFault(fault.place, fault.kind), _repair(learner.attempt, fault))
    return _closed(learner)


def _closed(learner: Learner) -> Attempt:
    return learner.do(CloseJob())

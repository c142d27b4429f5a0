"""What the best test would have been at each step of a job, beside the one that was taken."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from exercises import minutes
from exercises.attempt import Attempt
from exercises.evidence import Evidence
from exercises.narrowing import narrowed, questions
from exercises.planning.allowed import AllowedTest
from exercises.planning.choice import GLANCE, Bands, Choice, Plan, Standing, best
from exercises.planning.live import Live, live_of

AS_GOOD = 0.8
"""A test that tells so much of the best one's bits per minute is as good as any."""


@dataclass(frozen=True, slots=True)
class Missed:
    """A better test than the one that was taken.

    ``of`` faults were possible, of which it leaves about ``leaves`` on average.
    """

    test: AllowedTest
    minutes: float
    leaves: float
    of: int


def hindsight(attempt: Attempt, plan: Plan) -> Iterator[Missed | None]:
    """Yield for each piece of evidence a better test, None where what was done was as good.

    A setting that is worked on the way to the best reading is as good as that reading.
    """
    standing, alone = Standing(), questions(attempt.exercise)[0]
    pieces = attempt.evidence
    for number, piece in enumerate(pieces):
        live = live_of(plan.table, [narrowed(alone, pieces[:number])])
        choice = best(plan, live, standing, plan.known(pieces[:number]))
        as_good = choice is None or _as_good(plan, live, standing, piece, choice)
        yield None if choice is None or as_good else _missed(live, choice)
        standing = _after(attempt, standing, piece)


def _missed(live: Live, choice: Choice) -> Missed:
    of = len(live.spots)
    return Missed(choice.test, choice.minutes, max(1.0, of / 2**choice.bits), of)


def _as_good(plan: Plan, live: Live, standing: Standing, piece: Evidence, choice: Choice) -> bool:
    if piece.what is None and piece.setting == choice.test.setting:
        return True
    own = [plan.number[test] for test in plan.known([piece])]
    if not own:
        return False
    bits = Bands(plan, live).bits(np.array(own))
    cost = np.maximum(plan.minutes(standing)[own], GLANCE)
    return bool((bits / cost).max() >= AS_GOOD * choice.rate)


def _after(attempt: Attempt, standing: Standing, piece: Evidence) -> Standing:
    what = piece.what
    points = (what.red, what.black) if what else ()
    places = minutes.places_of(attempt.circuit, piece.setting, points)
    return Standing(piece.setting, standing.visited | places)

"""How hard exercises have proved to be: their estimates, moved by what came of attempts.

Elo's rule, as Pelánek applies it to exercises (Computers & Education 98, 2016): after each result
the exercise and the learner move apart or together by how far it was from what their figures
foretold, less and less as results come in. It needs no sitting at which all do the same, and
one pass over the results. It begins from the estimate that was made before anyone tried, in
minutes as ``difficulty`` counts them.
"""

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from exercises.planning.difficulty import Band, band_of

PER_LOGIT = 4.0
"""Minutes that make the odds of success e times smaller (from memory; no source)."""

MIDDLE = 8.0
"""Minutes that a learner of whom nothing is known masters every second time (no source)."""

STEP, SLOWING = 1.0, 0.05
"""A result moves a figure by at most ``STEP / (1 + SLOWING n)`` logits after n results: the
values that Pelánek found to do well on several sets of data (from memory)."""

ESTIMATE_COUNTS = 10
"""Results that the estimate made beforehand is worth."""


@dataclass(frozen=True, slots=True)
class Result:
    """What came of a learner's attempt: 1 if found and proved, 0 if not, or anything between."""

    learner: str
    exercise: str
    success: float


@dataclass(frozen=True, slots=True)
class Reestimated:
    """The difficulty of an exercise in minutes, and the results that it rests on."""

    points: float
    results: int

    @property
    def band(self) -> Band:
        """Easy, middling or hard."""
        return band_of(self.points)


def reestimate(prior: Mapping[str, float], results: Iterable[Result]) -> dict[str, Reestimated]:
    """Return the difficulties of exercises after results, in the order in which they came.

    Only a learner's first result on an exercise counts: after it they know what was wrong.

    Parameters
    ----------
    prior : the estimate of each exercise in minutes.
    results : what came of attempts at them, oldest first.

    Raises
    ------
    ValueError
        If a result is of an exercise without an estimate, or its success is not from 0 to 1.
    """
    hard = {name: (points - MIDDLE) / PER_LOGIT for name, points in prior.items()}
    able: dict[str, float] = {}
    counts: Counter[tuple[str, str]] = Counter()
    done: set[tuple[str, str]] = set()
    for result in results:
        _check(result, hard)
        pair = (result.learner, result.exercise)
        if pair in done:
            continue
        done.add(pair)
        learner, exercise = ("learner", result.learner), ("exercise", result.exercise)
        ability = able.get(result.learner, 0.0)
        off = result.success - chance(ability, hard[result.exercise])
        able[result.learner] = ability + _step(counts[learner]) * off
        hard[result.exercise] -= _step(ESTIMATE_COUNTS + counts[exercise]) * off
        counts.update((learner, exercise))
    return {
        name: Reestimated(MIDDLE + PER_LOGIT * logit, counts["exercise", name])
        for name, logit in hard.items()
    }


def chance(ability: float, difficulty: float) -> float:
    """Return the chance of success that two logits foretell, as in Rasch's model."""
    return 1 / (1 + math.exp(difficulty - ability))


def _step(results: int) -> float:
    return STEP / (1 + SLOWING * results)


def _check(result: Result, known: Mapping[str, float]) -> None:
    if result.exercise not in known:
        raise ValueError(f"result of {result.exercise!r:.60}: there is no estimate of it")
    if not 0 <= result.success <= 1:
        found = f"found {result.success!r:.40}; accepted: 0 to 1"
        raise ValueError(f"success at {result.exercise!r:.60}: {found}")

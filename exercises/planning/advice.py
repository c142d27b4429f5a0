"""Advice on a job as it stands: the hint, and the faults still possible, likeliest first."""

from collections import Counter

from circuits.model import Fault
from exercises.attempt import Attempt
from exercises.candidates import Candidates
from exercises.narrowing import narrowed, questions
from exercises.planning.choice import Plan, Standing
from exercises.planning.hints import Hint, hint
from exercises.planning.live import PRIOR, live_of


def hint_for(attempt: Attempt, plan: Plan, *, depth: int) -> Hint:
    """Return the hint of a depth for a job: see ``exercises.planning.hints.hint``.

    It takes one fault to be hidden, also where two are: how many there are is no hint.
    """
    live = live_of(plan.table, [candidates_of(attempt)])
    standing = Standing(attempt.setting, attempt.visited)
    return hint(plan, live, standing, plan.known(attempt.evidence), depth=depth)


def candidates_of(attempt: Attempt) -> Candidates:
    """Return what a job's evidence leaves of single faults; nobody may weigh more."""
    alone, *_ = questions(attempt.exercise)
    return narrowed(alone, attempt.evidence)


def ranked(candidates: Candidates) -> tuple[tuple[Fault, float], ...]:
    """Return the faults still possible with their weights, which sum to 1, heaviest first.

    A fault has the weight of its kind, less where only some of its severities are left.
    """
    begun = _cells_by_spot(Candidates(candidates.circuit, conditions=candidates.conditions))
    left = _cells_by_spot(candidates)
    weights = {
        fault: PRIOR.get(fault.kind, 1.0)
        * min(1.0, left[fault.place, fault.kind] / begun[fault.place, fault.kind])
        for fault in candidates.left()
    }
    total = sum(weights.values())
    found = sorted(weights.items(), key=lambda pair: -pair[1])
    return tuple((fault, weight / total) for fault, weight in found)


def _cells_by_spot(candidates: Candidates) -> Counter[tuple[str, str]]:
    return Counter((low.place, low.kind) for low, _, _ in candidates.spans())

"""Diagnosis: what was named against what it was, and what counts as it.

Members of an ambiguity group, the faults that no allowed test parts from the true one, count
as it. The good path says which these are: its readings are allowed tests, so what it rules
out is parted, and what it leaves is repaired alike, else the exercise is refused. That a
path leaves nothing which another allowed test would part is told to its author when the
exercise is checked (``planning.review``); no table is asked when marking.
"""

from collections.abc import Iterable
from itertools import permutations

from circuits.faultkinds import KINDS
from circuits.faults import describe, share_a_cure
from circuits.model import Circuit, Fault
from exercises.attempt import Attempt
from exercises.diagnosis import NO_FAULT_WORDS
from exercises.entries import Named
from exercises.evidence import NO_FAULT
from exercises.goodpath import GoodPath
from exercises.marking.columns import Column

SAME_PART, SAME_KIND_THERE = 0.6, 0.8

Spot = tuple[str, str]


def diagnosis(attempt: Attempt, good: GoodPath) -> Column:
    """Return the mark for what was named."""
    rule = (
        "What was named against what it was: place and kind 1, right part and kind 0.8, "
        "right part 0.6; 0 after asking to be shown. A fault that no allowed test tells from the "
        "true one counts as it. Of two faults each counts half."
    )
    circuit, names = attempt.circuit, final_names(attempt)
    was = "; ".join(words_for(circuit, fault, how_bad=True) for fault in truth_of(attempt))
    if attempt.gave_up:
        return Column("diagnosis", 0.0, rule, ("The good path was asked for.", f"It was: {was}."))
    if not names:
        return Column("diagnosis", 0.0, rule, ("No fault was named.", f"It was: {was}."))
    said = "; ".join(words_for(circuit, named.fault) for named in names)
    score = _matched([named.fault for named in names], truth_of(attempt), good)
    return Column("diagnosis", score, rule, (f"Named: {said}.", f"It was: {was}."))


def final_names(attempt: Attempt) -> tuple[Named, ...]:
    """Return the namings that count: the last of as many spots as there are faults."""
    latest_first: dict[Spot, Named] = {}
    for named in reversed(attempt.named):
        latest_first.setdefault(spot(named.fault), named)
    return tuple(latest_first.values())[: len(truth_of(attempt))][::-1]


def words_for(circuit: Circuit, fault: Fault, *, how_bad: bool = False) -> str:
    """Return a fault in words, with its severity only where asked for."""
    if fault == NO_FAULT or fault.kind == NO_FAULT.kind:
        return NO_FAULT_WORDS
    words = describe(circuit, fault)
    unit = KINDS[fault.kind].unit
    return words if how_bad or not unit else words.rpartition(" (")[0]


def spot(fault: Fault) -> Spot:
    """Return the place and the kind of a fault."""
    return (fault.place, fault.kind)


def spots(faults: Iterable[Fault]) -> set[Spot]:
    """Return the places and kinds of faults."""
    return {spot(fault) for fault in faults}


def truth_of(attempt: Attempt) -> tuple[Fault, ...]:
    """Return what there is to be named."""
    return attempt.exercise.faults or (NO_FAULT,)


def _matched(named: list[Fault], truth: tuple[Fault, ...], good: GoodPath) -> float:
    """Return the mean closeness of the names to the faults, paired as they fit best."""
    names = [*named, *[None] * (len(truth) - len(named))]
    return max(
        sum(closeness(n, t, good) for n, t in zip(order, truth, strict=True) if n is not None)
        for order in permutations(names, len(truth))
    ) / len(truth)


def alike(truth: Fault, good: GoodPath) -> set[Spot]:
    """Return what counts as the true fault: whatever no allowed test tells from it.

    Where nothing is at fault the good path leaves faults too slight to show. They are no
    rivals of *no fault*, but naming one of them is not the finding either. Of two faults
    each has its own place in what the path leaves.
    """
    if truth == NO_FAULT:
        return set()
    return spots(f for f in good.group if not good.several or share_a_cure(f, truth))


def closeness(named: Fault, truth: Fault, good: GoodPath) -> float:
    """Return how close a name is to a fault, from 0 to 1."""
    if spot(named) in {spot(truth)} | alike(truth, good):
        return 1.0
    if _part(named) != _part(truth):
        return 0.0
    return SAME_KIND_THERE if named.kind == truth.kind else SAME_PART


def _part(fault: Fault) -> str:
    """Return the thing to be repaired: a part with all its sites, a wire, a connector."""
    return fault.place.partition(".")[0]

"""What an author is told of an exercise: a good path worked out, groups, difficulty, advice."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from circuits.consequences import blown_fuses
from circuits.faultkinds import KINDS
from circuits.faults import describe
from circuits.instruments import INSTRUMENTS
from circuits.model import Circuit, Fault
from circuits.operate import solve
from exercises.diagnosis import NO_FAULT_WORDS
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise
from exercises.planning.allowed import AllowedTest, places_of
from exercises.planning.choice import Plan
from exercises.planning.difficulty import Difficulty, is_visible
from exercises.planning.groups import Group, Parting, Spot, among, group_of, parting
from exercises.planning.hints import test_words
from exercises.planning.policy import ReferencePath, plan_for, reference_path
from exercises.planning.table import Table

ALLOWANCE = 1.25
"""A path written by hand may cost so many times what one worked out does without a word."""


@dataclass(frozen=True)
class Review:
    """What is worked out of an exercise.

    Attributes
    ----------
    path : a good path by the policy.
    groups : the ambiguity group of each hidden fault at its severity.
    partings : for each, what would part the others of its group, rules set aside.
    left_over : what the path in the file leaves though an allowed test would part it.
    """

    exercise: Exercise
    path: ReferencePath
    groups: tuple[Group, ...]
    partings: tuple[tuple[Parting, ...], ...]
    difficulty: Difficulty
    left_over: tuple[Parting, ...] = ()


def review(exercise: Exercise, table: Table, written: Sequence[Fault] | None = None) -> Review:
    """Return what is worked out of an exercise with its circuit's table.

    ``written`` are the faults that the path in the exercise's file leaves: what it parts is
    no group, even where it is parted by a test that no table holds.
    """
    plan, wider = plan_for(exercise, table), plan_for(_without_rules(exercise), table)
    path = reference_path(exercise, plan)
    groups = tuple(group_of(plan, fault, exercise.conditions) for fault in exercise.faults)
    left_over: tuple[Parting, ...] = ()
    if written is not None and len(groups) == 1:
        left_over = _left_over(exercise, plan, groups[0], written)
        groups = (among(groups[0], written),)
    partings = tuple(parting(wider, group, exercise.conditions) for group in groups)
    hard = difficulty(exercise, path, groups)
    return Review(exercise, path, groups, partings, hard, left_over)


def _left_over(
    exercise: Exercise, plan: Plan, group: Group, written: Sequence[Fault]
) -> tuple[Parting, ...]:
    """Return what a path leaves besides a group, with the allowed test that would part it.

    Nothing of a vehicle that is found with a fuse blown: a table takes it with its fuses whole.
    """
    vehicle, own = exercise.vehicle(), (group.fault.place, group.fault.kind)
    if group.fault.kind == "blown" or blown_fuses(vehicle, solve(vehicle)):
        return ()
    spots = ((fault.place, fault.kind) for fault in written)
    others = tuple(spot for spot in spots if spot not in (own, *group.others))
    found = parting(plan, replace(group, others=others), exercise.conditions)
    return tuple(one for one in found if one.test is not None)


def difficulty(exercise: Exercise, path: ReferencePath, groups: Sequence[Group]) -> Difficulty:
    """Return how hard an exercise is, given a good path of its policy and its groups."""
    visible = is_visible(exercise) or not exercise.faults
    largest = max((group.size for group in groups), default=1)
    return Difficulty(path.minutes, largest, visible)


def _without_rules(exercise: Exercise) -> Exercise:
    return replace(exercise, closed_places=(), instruments=INSTRUMENTS)


def advice(found: Review, written_minutes: float) -> tuple[str, ...]:
    """Return what an author might change, a sentence each.

    ``written_minutes`` are those of the path in the exercise's file.
    """
    return (*_on_groups(found), *_on_left_over(found), *_on_path(found, written_minutes))


def _on_groups(found: Review) -> Iterator[str]:
    circuit = found.exercise.circuit
    for group, partings in zip(found.groups, found.partings, strict=True):
        named = spot_words(circuit, (group.fault.place, group.fault.kind))
        if (NO_FAULT.place, NO_FAULT.kind) in group.others:
            yield f"{named}: at this severity it may read as sound everywhere; choose a worse one."
            continue
        for one in partings:
            other = spot_words(circuit, one.spot)
            if one.test is None:
                yield f"{named}: nothing parts it from {other}; naming either counts."
                continue
            yield (
                f"{named}: to part it from {other}, allow {_missing(found.exercise, one.test)}: "
                f"{test_words(circuit, one.test)}."
            )


def _on_left_over(found: Review) -> Iterator[str]:
    circuit = found.exercise.circuit
    for one in found.left_over:
        if one.test is not None:
            yield (
                f"the path leaves {spot_words(circuit, one.spot)}, and naming it counts; "
                f"to part it, take: {test_words(circuit, one.test)}."
            )


def _missing(exercise: Exercise, test: AllowedTest) -> str:
    """Return what the rules forbid that a test needs."""
    circuit = exercise.circuit
    places = sorted(places_of(circuit, test) & set(exercise.closed_places))
    words = [circuit.place_by_name[name].title for name in places]
    if test.what is not None and test.what.instrument not in exercise.instruments:
        words.append(test.what.instrument)
    return " and ".join(words) or "it"


def _on_path(found: Review, written_minutes: float) -> Iterator[str]:
    exercise, path = found.exercise, found.path
    if exercise.faults and not found.difficulty.visible:
        yield (
            "Worked in every position it does nothing that a sound vehicle would not: say in the "
            "complaint what was noticed."
        )
    if written_minutes > ALLOWANCE * path.minutes > 0:
        yield (
            f"The path in the file takes {written_minutes:.1f} minutes; one worked out takes "
            f"{path.minutes:.1f}."
        )


def spot_words(circuit: Circuit, spot: Spot) -> str:
    """Return a place and kind of fault in words."""
    if spot == (NO_FAULT.place, NO_FAULT.kind):
        return NO_FAULT_WORDS
    words = describe(circuit, Fault(*spot))
    return words.rpartition(" (")[0] if KINDS[spot[1]].unit else words

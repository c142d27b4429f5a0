"""The variants of an exercise that lie furthest out: what any seed may draw, at its ends."""

from collections.abc import Iterator
from dataclasses import replace
from random import Random

from circuits.model import Fault, Vehicle
from circuits.tolerance import drawn
from exercises.exercise import Exercise
from exercises.mirror import Mirror
from exercises.variants import Variant

MILD_IF_HIGH = {
    "chafed",
    "flat",
    "leaking",
    "shorted",
    "shorted_to_feed",
    "to_frame",
    "touching",
    "underrated",
}
"""Kinds of faults that are the milder the greater the number is."""


def far_variants(exercise: Exercise) -> Iterator[tuple[str, Variant]]:
    """Yield variants, each with what is far out in it; the one with the mildest fault first.

    They are the mildest and the worst severity and each of the other faults, all of them on
    vehicles whose parts lie off nominal; and the first again on the other side, where there may
    be one. An exercise with nothing to draw but its vehicle has two of those.
    """
    found = list(_faults(exercise))
    if len(found) < 2:
        found.append(("another vehicle", exercise.faults))
    for number, (words, faults) in enumerate(found):
        yield words, Variant(faults, _scatter(exercise, number))
    if exercise.either_side:
        mirror, (_, faults) = Mirror(exercise.circuit), found[0]
        other = tuple(mirror.fault(fault) for fault in faults)
        yield "the other side", Variant(other, _scatter(exercise, len(found)), mirrored=True)


def _faults(exercise: Exercise) -> Iterator[tuple[str, tuple[Fault, ...]]]:
    if exercise.severity is None:
        yield "as written", exercise.faults
    for severity in _mildest_first(exercise):
        first, *others = exercise.faults
        yield f"severity {severity:g}", (replace(first, severity=severity), *others)
    for faults in exercise.also:
        yield " and ".join(f"{f.place}:{f.kind}" for f in faults), faults


def _mildest_first(exercise: Exercise) -> tuple[float, ...]:
    if exercise.severity is None:
        return ()
    low, high = exercise.severity
    return (high, low) if exercise.faults[0].kind in MILD_IF_HIGH else (low, high)


def _scatter(exercise: Exercise, number: int) -> tuple[tuple[str, float], ...]:
    random = Random(f"{exercise.name} {number}")
    return drawn(Vehicle(exercise.circuit), random).scatter

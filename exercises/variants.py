"""Variants: the same exercise on another vehicle, so that no two learners have one's numbers.

A seed draws another of the faults that the same path finds, another severity, the side, and
where every part lies within its tolerance: the battery too, so that how full it is that day
(its volts at rest, ``BAT:emf`` of the scatter) and its inner resistance are drawn with the rest.
Seed 0 is the exercise as written. What was drawn is kept with the attempt, so that no later
change of the drawing touches it.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from circuits.model import Fault, Vehicle
from circuits.tolerance import drawn
from exercises.exercise import Exercise
from exercises.mirror import Mirror, mirrored


@dataclass(frozen=True, slots=True)
class Variant:
    """What a seed has drawn: the hidden faults, where each unknown of a part lies, the side.

    ``mirrored`` tells whether it is on the other side of the vehicle, its faults included.
    """

    faults: tuple[Fault, ...]
    scatter: tuple[tuple[str, float], ...] = ()
    mirrored: bool = False


def draw_variant(exercise: Exercise, seed: int) -> Variant:
    """Return the variant of an exercise that a seed stands for."""
    if seed == 0:
        return Variant(exercise.faults)
    random = Random(seed)
    choices = (exercise.faults, *exercise.also)
    faults = random.choice(choices)
    if exercise.severity is not None and faults == exercise.faults:
        severity = _between(*exercise.severity, random)
        faults = (replace(faults[0], severity=severity), *faults[1:])
    scatter = drawn(Vehicle(exercise.circuit), random).scatter
    other_side = exercise.either_side and random.random() < 0.5
    if other_side:
        faults = tuple(Mirror(exercise.circuit).fault(fault) for fault in faults)
    return Variant(faults, scatter, other_side)


def _between(low: float, high: float, random: Random) -> float:
    """Return a number drawn evenly, by its logarithm where that can be."""
    if low > 0:
        return math.exp(random.uniform(math.log(low), math.log(high)))
    return random.uniform(low, high)


def varied(exercise: Exercise, variant: Variant) -> Exercise:
    """Return the exercise on the vehicle of a variant."""
    other = mirrored(exercise) if variant.mirrored else exercise
    return replace(other, faults=variant.faults, scatter=variant.scatter)


def variant_to_json(variant: Variant) -> dict[str, Any]:
    """Return a variant as data that JSON can hold."""
    return {
        "faults": [[f.place, f.kind, f.severity, f.when] for f in variant.faults],
        "scatter": dict(variant.scatter),
        "mirrored": variant.mirrored,
    }


def variant_from_json(data: Mapping[str, Any]) -> Variant:
    """Return the variant that ``variant_to_json`` made."""
    faults = tuple(
        Fault(place, kind, float(severity), when) for place, kind, severity, when in data["faults"]
    )
    scatter = tuple(sorted((name, float(at)) for name, at in data["scatter"].items()))
    return Variant(faults, scatter, bool(data.get("mirrored", False)))

"""Variants: the same exercise on another vehicle, so that no two learners have one's numbers.

A seed draws another of the faults that the same path finds, another severity, the battery of
the day, and where every part lies within its tolerance. Seed 0 is the exercise as written.
What was drawn is kept with the attempt, so that no later change of the drawing touches it.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from circuits.model import Fault, Vehicle
from circuits.tolerance import drawn
from exercises.exercise import Exercise


@dataclass(frozen=True, slots=True)
class Variant:
    """What a seed has drawn: the hidden faults, and where each unknown of a part lies."""

    faults: tuple[Fault, ...]
    scatter: tuple[tuple[str, float], ...] = ()


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
    return Variant(faults, drawn(Vehicle(exercise.circuit), random).scatter)


def _between(low: float, high: float, random: Random) -> float:
    """Return a number drawn evenly, by its logarithm where that can be."""
    if low > 0:
        return math.exp(random.uniform(math.log(low), math.log(high)))
    return random.uniform(low, high)


def varied(exercise: Exercise, variant: Variant) -> Exercise:
    """Return the exercise on the vehicle of a variant."""
    return replace(exercise, faults=variant.faults, scatter=variant.scatter)


def variant_to_json(variant: Variant) -> dict[str, Any]:
    """Return a variant as data that JSON can hold."""
    return {
        "faults": [[f.place, f.kind, f.severity, f.when] for f in variant.faults],
        "scatter": dict(variant.scatter),
    }


def variant_from_json(data: Mapping[str, Any]) -> Variant:
    """Return the variant that ``variant_to_json`` made."""
    faults = tuple(
        Fault(place, kind, float(severity), when) for place, kind, severity, when in data["faults"]
    )
    scatter = tuple(sorted((name, float(at)) for name, at in data["scatter"].items()))
    return Variant(faults, scatter)

"""A sum of the five marks, for an instructor who wants one; nobody is shown it unasked."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

from exercises.marking.columns import COLUMNS
from exercises.marking.marks import Mark

PUBLISHED: Mapping[str, tuple[float, tuple[str, ...]]] = {
    "solution": (42.8, ("diagnosis",)),
    "cost of wrong replacements": (13.1, ("economy",)),
    "time": (11.8, ("economy",)),
    "proof points": (9.9, ("proof", "confirmation")),
    "illogical approach": (6.9, ("proof",)),
    "invalid checks": (4.7, ("care",)),
    "out of bounds": (4.0, ("care",)),
    "test points": (3.2, ("economy",)),
    "checks": (3.1, ("economy",)),
}
"""What experts found each factor of a troubleshooting test worth, and the columns it counts in.

The numbers are those of Conner and others, NPRDC-TN-91-12, 1991, as printed in the IMTA
proceedings, Table 2. The mapping is ours. Minutes hold what parts, time and tests cost, so
these are economy. Proof points show that it was this and nothing else: half before the
repair, as proof, half after it, as confirmation. A job done without logic proves nothing.
A check that is not valid as the vehicle stands, and going where nobody should, are slips of
care.
"""

UNPROVED_SHARE = 0.25
"""What a diagnosis without any proof keeps of its worth in the sum."""


class WeightsError(Exception):
    """Weights cannot be used; the message is one sentence for the instructor."""


def _published(column: str) -> float:
    return sum(worth / len(into) for worth, into in PUBLISHED.values() if column in into)


@dataclass(frozen=True, slots=True)
class Weights:
    """What each column is worth in a sum. Whatever is given is scaled so that all make 1.

    Raises
    ------
    WeightsError
        If one is below 0 or no number, or all are 0.
    """

    diagnosis: float = _published("diagnosis")
    proof: float = _published("proof")
    economy: float = _published("economy")
    care: float = _published("care")
    confirmation: float = _published("confirmation")

    def __post_init__(self) -> None:
        for name, weight in self.items():
            is_number = isinstance(weight, int | float) and not isinstance(weight, bool)
            if not is_number or not math.isfinite(weight) or weight < 0:
                raise WeightsError(f"weight of {name}: found {weight!r:.40}; accepted: 0 or more")
        total = math.fsum(weight for _, weight in self.items())
        if not 0 < total < math.inf:
            raise WeightsError(f"weights: they add up to {total:g}; accepted: one above 0")
        for name, weight in self.items():
            object.__setattr__(self, name, weight / total)

    def items(self) -> Iterator[tuple[str, float]]:
        """Yield the columns with their weights."""
        for field in fields(self):
            yield field.name, getattr(self, field.name)

    def to_json(self) -> dict[str, float]:
        """Return the weights as data that JSON can hold."""
        return dict(self.items())


def weights_from(given: Mapping[str, Any]) -> Weights:
    """Return weights by column; one that is not given is 0.

    Raises
    ------
    WeightsError
        As ``Weights`` tells, or if there is no column of a name.
    """
    for name in given:
        if name not in COLUMNS:
            raise WeightsError(f"weight of {name!r:.40}: accepted: {', '.join(COLUMNS)}")
    return Weights(**{name: given.get(name, 0.0) for name in COLUMNS})


def weighed(mark: Mark, weights: Weights | None = None) -> float:
    """Return the weighted sum of a mark, from 0 to 1, by the published weights without others.

    It is scaled by proof: three quarters of the diagnosis as well as all of economy, whose
    column is so already. Else a lucky guess would make most of the sum.
    """
    proof = mark.score("proof")
    counted = {name: mark.score(name) for name in COLUMNS}
    counted["diagnosis"] *= UNPROVED_SHARE + (1 - UNPROVED_SHARE) * proof
    return math.fsum(weight * counted[name] for name, weight in (weights or Weights()).items())

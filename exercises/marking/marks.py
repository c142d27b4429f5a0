"""The mark of an attempt: its five columns and the verdict."""

from dataclasses import dataclass
from typing import Any

from exercises.attempt import Attempt
from exercises.goodpath import good_path
from exercises.marking.care import care
from exercises.marking.columns import Column
from exercises.marking.confirming import confirmation
from exercises.marking.economy import economy
from exercises.marking.naming import diagnosis
from exercises.marking.proving import proof

MARKER = "3"
"""Version of the rules; it is kept with every mark and changes when a score may."""

EVIDENCED = {"diagnosis": 1.0, "proof": 0.7, "care": 0.75}
"""Least score in each of these columns for the verdict."""


@dataclass(frozen=True, slots=True)
class Mark:
    """The marks of an attempt and the verdict: found, proved, and with care.

    ``up_to`` is the number of the last event that they are made of.
    """

    columns: tuple[Column, ...]
    evidenced: bool
    up_to: int
    marker: str = MARKER

    def score(self, name: str) -> float:
        """Return the score of a column."""
        return next(column.score for column in self.columns if column.name == name)

    def to_json(self) -> dict[str, Any]:
        """Return the mark as data that JSON can hold."""
        return {
            "evidenced": self.evidenced,
            "up_to": self.up_to,
            "marker": self.marker,
            "marks": {column.name: column.to_json() for column in self.columns},
        }


def mark(attempt: Attempt) -> Mark:
    """Return the marks of an attempt as it stands."""
    good = good_path(attempt.exercise)
    proved = proof(attempt, good)
    columns = (
        diagnosis(attempt, good),
        proved,
        economy(attempt, proved, good),
        care(attempt),
        confirmation(attempt),
    )
    scores = {column.name: column.score for column in columns}
    evidenced = all(scores[name] >= least for name, least in EVIDENCED.items())
    return Mark(columns, evidenced, attempt.last)

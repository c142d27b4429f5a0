"""A column of marks."""

from dataclasses import dataclass
from typing import Any

COLUMNS = ("diagnosis", "proof", "economy", "care", "confirmation")


@dataclass(frozen=True, slots=True)
class Column:
    """One mark: its score from 0 to 1, the rule it follows and the evidence for it."""

    name: str
    score: float
    rule: str
    evidence: tuple[str, ...]

    def to_json(self) -> dict[str, Any]:
        """Return the column as data that JSON can hold."""
        return {"score": self.score, "rule": self.rule, "evidence": list(self.evidence)}

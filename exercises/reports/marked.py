"""What a closed attempt came to, in a line: who, at what, the five marks, the verdict."""

from collections.abc import Mapping
from dataclasses import dataclass

from circuits.faultkinds import KINDS
from exercises.attempt import Attempt
from exercises.diagnosis import NO_FAULT_WORDS
from exercises.exercise import Exercise
from exercises.marking import COLUMNS, Mark
from exercises.marking.weights import Weights, weighed


@dataclass(frozen=True, slots=True)
class Who:
    """Whose attempt it is, in which group, and which attempt. Names are shown as typed."""

    learner: str
    group: str
    attempt_id: str


@dataclass(frozen=True, slots=True)
class Marked:
    """A closed attempt with its marks.

    Attributes
    ----------
    kinds : the kinds of the hidden faults in words.
    closed_at : when its last event came, UTC milliseconds.
    digest : that of the last event that the mark is made of.
    total : the weighted sum, from 0 to 1.
    """

    who: Who
    slip: int
    circuit: str
    skill: str
    level: int
    kinds: tuple[str, ...]
    minutes: float
    scores: Mapping[str, float]
    evidenced: bool
    total: float
    marker: str
    closed_at: int
    digest: str


def marked(  # noqa: PLR0913 - what a line holds
    who: Who,
    attempt: Attempt,
    mark: Mark,
    *,
    closed_at: int,
    digest: str,
    weights: Weights,
    method: str,
) -> Marked:
    """Return the line of an attempt and its mark, made by the rules of ``method``."""
    exercise = attempt.exercise
    return Marked(
        who=who,
        slip=exercise.slip,
        circuit=exercise.circuit.title,
        skill=exercise.skill,
        level=exercise.level,
        kinds=kinds_of(exercise),
        minutes=attempt.minutes,
        scores={column.name: column.score for column in mark.columns},
        evidenced=mark.evidenced,
        total=weighed(mark, weights),
        marker=method,
        closed_at=closed_at,
        digest=digest,
    )


def kinds_of(exercise: Exercise) -> tuple[str, ...]:
    """Return the kinds of an exercise's hidden faults in words."""
    return tuple(KINDS[fault.kind].words for fault in exercise.faults) or (NO_FAULT_WORDS,)


HEADINGS = {
    "learner": "Learner",
    "group": "Group",
    "slip": "Slip",
    "circuit": "Circuit",
    "skill": "Skill",
    "level": "Level",
    "kinds": "Hidden",
    **{name: name.capitalize() for name in COLUMNS},
    "evidenced": "Evidenced",
    "total": "Weighted",
    "minutes": "Minutes",
    "closed": "Closed (UTC)",
    "attempt": "Attempt",
    "marker": "Rules",
    "digest": "Record",
}
"""The columns of a table of marks, and their words."""


def row_of(one: Marked, *, closed: str) -> dict[str, str | float]:
    """Return a line as cells by column: marks of 100, text as text, numbers as numbers."""
    return {
        "learner": one.who.learner,
        "group": one.who.group,
        "slip": one.slip,
        "circuit": one.circuit,
        "skill": one.skill,
        "level": one.level,
        "kinds": "; ".join(one.kinds),
        **{name: round(100 * one.scores[name], 1) for name in COLUMNS},
        "evidenced": "yes" if one.evidenced else "no",
        "total": round(100 * one.total, 1),
        "minutes": round(one.minutes, 1),
        "closed": closed,
        "attempt": one.who.attempt_id,
        "marker": one.marker,
        "digest": one.digest,
    }

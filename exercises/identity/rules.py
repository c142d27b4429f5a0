"""The rules under which an exercise is set for a class, and what they allow just now."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from exercises.events import digest_of
from exercises.identity.people import Assignment, Learner, NotAccepted

_MOST_TRIES = 100


@dataclass(frozen=True, slots=True)
class Rules:
    """What holds for an assignment.

    Attributes
    ----------
    exam : no hints, one attempt, and no debrief before the instructor releases it.
    hints : whether the next test may be asked for.
    tries : attempts of one learner; None for any number.
    group : the group of the class that it is for; None for all.
    weights : marks weights by column, where they are not the usual ones.
    """

    exam: bool = False
    hints: bool = True
    tries: int | None = None
    group: str | None = None
    weights: Mapping[str, float] | None = None

    @property
    def may_hint(self) -> bool:
        """Whether the next test may be asked for."""
        return self.hints and not self.exam

    @property
    def most_tries(self) -> int | None:
        """Most attempts of one learner."""
        return 1 if self.exam else self.tries


def rules_to_json(rules: Rules) -> dict[str, Any]:
    """Return rules as they are kept.

    Raises
    ------
    NotAccepted
        If the tries or a weight cannot be.
    """
    if rules.tries is not None and not 1 <= rules.tries <= _MOST_TRIES:
        raise NotAccepted(
            f"Tries: found {rules.tries}; accepted: 1 to {_MOST_TRIES}, or any number."
        )
    for name, weight in (rules.weights or {}).items():
        if not 0 <= weight <= 100:
            raise NotAccepted(f"Weight of {name}: found {weight:g}; accepted: 0 to 100.")
    return asdict(rules)


def rules_of(assignment: Assignment) -> Rules:
    """Return an assignment's rules."""
    return Rules(**assignment.rules)


def why_not(assignment: Assignment, learner: Learner, *, attempts: int, at: int) -> str:
    """Say why a learner cannot begin an attempt at an assignment; empty when they can.

    Parameters
    ----------
    attempts : how many the learner has begun.
    """
    rules = rules_of(assignment)
    most = rules.most_tries
    if rules.group is not None and learner.group_name != rules.group:
        return "This exercise is set for another group of your class."
    if assignment.opens is not None and at < assignment.opens:
        return "This exercise is not open yet."
    if assignment.due is not None and at >= assignment.due:
        return "This exercise is closed: its time is over."
    if most is not None and attempts >= most:
        return "You have no further try at this exercise."
    return ""


def may_debrief(assignment: Assignment, *, at: int) -> bool:
    """Whether learners may see what the fault was: in an examination once it is released."""
    released = assignment.released_at
    return not rules_of(assignment).exam or (released is not None and released <= at)


def seed_for(assignment_id: str, learner_id: str, attempt: int) -> int:
    """Return the seed of a learner's attempt (0 for the first): the same each time it is asked.

    Each learner gets a variant of their own, and another one with each further try.
    """
    return int(digest_of([assignment_id, learner_id, attempt])[:8], 16) >> 1

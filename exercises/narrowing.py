"""How the evidence of a job narrows down what may be wrong, piece by piece.

Where two faults are hidden, each is looked for with the other given: the evidence must rule
out whatever else could stand in the place of either, and every fault that would do it alone.
"""

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from circuits.model import Circuit, Fault
from exercises.arriving import as_found
from exercises.candidates import Candidates, Would
from exercises.evidence import Evidence
from exercises.exercise import Exercise
from exercises.parting import parted


@dataclass(frozen=True, slots=True)
class Question:
    """What one fault could be.

    Attributes
    ----------
    conditions : those under which a fault may show, besides always.
    beside : faults that the vehicle has besides.
    arrived_blown : whether it was found with something blown, which each fault must account for.
    """

    circuit: Circuit
    conditions: tuple[str, ...] = ()
    beside: tuple[Fault, ...] = ()
    arrived_blown: bool = False

    def candidates(self, suspects: tuple[Fault, ...] = ()) -> Candidates:
        """Return what it could be before anything is learned, of all faults or of suspects."""
        return Candidates(self.circuit, suspects, self.conditions, self.beside, self.arrived_blown)


def questions(exercise: Exercise) -> tuple[Question, ...]:
    """Return what an exercise asks: one fault alone, then each of several beside the others."""
    blown = bool(as_found(exercise).blown)
    alone = Question(exercise.circuit, exercise.conditions, arrived_blown=blown)
    if len(exercise.faults) < 2:
        return (alone,)
    return (alone, *(question_for(exercise, fault) for fault in exercise.faults))


def question_for(exercise: Exercise, fault: Fault) -> Question:
    """Return what else could stand in the place of one of the hidden faults."""
    others = tuple(one for one in exercise.faults if one != fault)
    blown = bool(as_found(exercise).blown)
    return Question(exercise.circuit, exercise.conditions, others, blown)


def still_possible(asked: Sequence[Question], evidence: Iterable[Evidence]) -> tuple[Fault, ...]:
    """Return the faults consistent with all the evidence, in the circuit's order."""
    *_, left = narrowing(asked, evidence)
    return left


def narrowing(
    asked: Sequence[Question], evidence: Iterable[Evidence]
) -> Iterator[tuple[Fault, ...]]:
    """Yield the faults still possible before the first piece of evidence and after each.

    A fault is possible where it is for any of the questions.
    """
    pieces = tuple(evidence)
    # From the start on, so that each step finds the one before it kept.
    for count in range(len(pieces) + 1):
        left = (narrowed(question, pieces[:count]).left() for question in asked)
        yield tuple(dict.fromkeys(fault for faults in left for fault in faults))


def could_tell(asked: Sequence[Question], evidence: Iterable[Evidence]) -> tuple[bool, ...]:
    """Return for each piece of evidence whether it could have told two faults apart.

    Of those that were still possible before it, whatever it then showed. What ruled
    something out could, be it by a hair's breadth; what was only watched could where it did.
    """
    pieces = tuple(evidence)
    lefts = itertools.pairwise(narrowing(asked, pieces))
    return tuple(
        before != after or any(_could_part(one, pieces[: n + 1]) for one in asked)
        for n, (before, after) in enumerate(lefts)
    )


def _could_part(question: Question, evidence: tuple[Evidence, ...]) -> bool:
    return evidence[-1].reading is not None and parted(foretold(question, evidence))


@lru_cache(maxsize=256)
def narrowed(question: Question, evidence: tuple[Evidence, ...]) -> Candidates:
    """Return the candidates after some evidence; they are kept, so nobody may weigh more."""
    if not evidence:
        return question.candidates()
    candidates = narrowed(question, evidence[:-1]).copy()
    candidates.weigh(evidence[-1])
    return candidates


@lru_cache(maxsize=64)
def foretold(question: Question, evidence: tuple[Evidence, ...]) -> tuple[Would, ...]:
    """Return what the faults that were possible before the last piece of evidence would have
    shown of it."""
    return tuple(narrowed(question, evidence[:-1]).would_show(evidence[-1]))

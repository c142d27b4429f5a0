"""Proof: whether what was named was the only fault left when it was named."""

from circuits.model import Fault
from exercises.attempt import Attempt
from exercises.entries import Named
from exercises.evidence import NO_FAULT
from exercises.goodpath import GoodPath
from exercises.marking.columns import Column
from exercises.marking.naming import alike, closeness, final_names, spot, spots, truth_of, words_for
from exercises.narrowing import question_for, questions, still_possible

STEPS = ((0, 1.0), (1, 0.7), (3, 0.5), (10, 0.2))
"""Most rivals left at naming, and what that is worth."""

LUCK = 0.2
"""Naming what is there with no more proof than this is luck."""

MOST_TOLD = 6


def proof(attempt: Attempt, good: GoodPath) -> Column:
    """Return the mark for what the readings had proved."""
    rule = (
        "Faults still possible besides the one named, when it was named: none 1, one 0.7, "
        "two or three 0.5, up to ten 0.2, more 0. Naming what the readings had ruled out: 0. "
        "A right name with 0.2 or less is a lucky guess. Of two faults each counts half."
    )
    names = final_names(attempt)
    if not names:
        return Column("proof", 0.0, rule, ("Nothing was named, so nothing was proved.",))
    proofs = [_proved(attempt, named, good) for named in names]
    score = sum(score for score, _ in proofs) / len(truth_of(attempt))
    return Column("proof", score, rule, tuple(told for _, each in proofs for told in each))


def _proved(attempt: Attempt, named: Named, good: GoodPath) -> tuple[float, tuple[str, ...]]:
    """Return how far one naming was proved, and the sentences that say so."""
    exercise, name = attempt.exercise, spot(named.fault)
    meant = [t for t in truth_of(attempt) if closeness(named.fault, t, good) == 1.0]
    asked = questions(exercise)
    if good.several and meant:
        asked = (asked[0], question_for(exercise, meant[0]))
    left = still_possible(asked, attempt.evidence[: named.evidence])
    if name not in spots(left):
        return 0.0, ("The readings had already ruled out what was named.",)
    same = (alike(meant[0], good) if good.several else spots(good.group)) if meant else set()
    rivals = [fault for fault in left if spot(fault) not in same | {name}]
    score = next((worth for most, worth in STEPS if len(rivals) <= most), 0.0)
    told = _rivals_told(attempt, rivals, named)
    if meant and score <= LUCK:
        return score, (told, "The name is right all the same: a lucky guess.")
    return score, (told,)


def _rivals_told(attempt: Attempt, rivals: list[Fault], named: Named) -> str:
    circuit, readings = attempt.circuit, named.readings
    after = f"After {readings} reading{'s' * (readings != 1)}"
    if not rivals and spot(named.fault) == spot(NO_FAULT):
        return "It was worked in every position, and did in each what it is made to do."
    if not rivals:
        return f"{after} nothing else could explain what was seen and measured."
    shown = "; ".join(words_for(circuit, fault) for fault in rivals[:MOST_TOLD])
    more = f"; and {len(rivals) - MOST_TOLD} more" if len(rivals) > MOST_TOLD else ""
    if len(rivals) == 1:
        return f"{after} one other fault was still possible: {shown}."
    return f"{after} {len(rivals)} other faults were still possible: {shown}{more}."

"""What a case's answers leave: the candidates, the next test, or what does not fit."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from circuits.model import Fault
from exercises.candidates import Candidates
from exercises.cases.case import Answer, Case
from exercises.evidence import Evidence
from exercises.narrowing import narrowed
from exercises.planning.advice import ranked
from exercises.planning.allowed import AllowedTest, places_of
from exercises.planning.choice import Choice, Standing, best
from exercises.planning.live import live_of
from exercises.planning.table import Table
from exercises.plans.order import METER, plan_of
from exercises.plans.symptoms import question_of


@dataclass(frozen=True, slots=True)
class Misfit:
    """Answers that do not go together.

    Attributes
    ----------
    count : how many answers stand.
    odd : those without one of which the others do go together, to be checked in this order.
    again : the test to take once more, None where that helps no further.
    same_test : whether they are of one test, which showed two different things.
    """

    count: int
    odd: tuple[int, ...]
    again: AllowedTest | None = None
    same_test: bool = False

    @property
    def words(self) -> str:
        """What to do about it."""
        if self.same_test:
            return self._same_test()
        told = f"No single fault explains {_these(self.count)}"
        if len(self.odd) == 1:
            return f"{told}: check answer {self.odd[0]} first. Without it, the others go together."
        if self.odd:
            named = ", ".join(map(str, self.odd))
            return f"{told}: one of answers {named} is wrong. Check answer {self.odd[0]} first."
        return (
            f"{told}, whichever one is left out. Take the answers again that you trust least; if "
            "they stand, more than one thing is wrong, or something that this lab does not know."
        )

    def _same_test(self) -> str:
        named = " and ".join(map(str, self.odd))
        if self.again is None:
            return f"Answer {named} differs from the others of the same test: take it back."
        return f"Answers {named} are of one test and differ: take it once more."


def _these(count: int) -> str:
    if count == 0:
        return "the complaint and the battery's voltage"
    return "the complaint and this answer" if count == 1 else f"these {count} answers"


@dataclass(frozen=True, slots=True)
class Weighed:
    """What the answers leave: faults with their shares, likeliest first, or what is odd."""

    left: tuple[tuple[Fault, float], ...]
    misfit: Misfit | None = None


def weighed(case: Case) -> Weighed:
    """Return what a case's answers leave."""
    differing = differing_twins(case)
    if differing is not None:
        return Weighed((), differing)
    found = candidates_of(case)
    if found.left():
        return Weighed(ranked(found))
    return Weighed((), misfit_of(case))


def candidates_of(case: Case) -> Candidates:
    """Return the candidates that a case leaves; nobody may weigh more."""
    return _left(case, case.evidence())


def _left(case: Case, evidence: Sequence[Evidence]) -> Candidates:
    return narrowed(question_of(case.circuit), tuple(evidence))


def misfit_of(case: Case) -> Misfit:
    """Return which single answers are at odds with all the others."""
    standing = case.standing
    odd = [one for one in standing if _without(case, one).left()]
    odd.sort(key=lambda one: -len(_without(case, one).left()))
    return Misfit(len(standing), tuple(one.no for one in odd), odd[0].test if odd else None)


# --- one test taken more than once


def differing_twins(case: Case) -> Misfit | None:
    """Return the answers of one test that differ by more than the meter may, None without.

    Where most of them agree, the others are odd; else all are, and it is to be taken again.
    """
    for twins in _twins(case):
        agree = [sum(_agree(one, other) for other in twins) for one in twins]
        if min(agree) == len(twins):
            continue
        if max(agree) > 1:
            odd = [one for one, count in zip(twins, agree, strict=True) if count < max(agree)]
            if odd:
                return Misfit(len(case.standing), _numbers(odd), None, same_test=True)
        return Misfit(len(case.standing), _numbers(twins), twins[0].test, same_test=True)
    return None


def _numbers(answers: Sequence[Answer]) -> tuple[int, ...]:
    return tuple(answer.no for answer in answers)


def _twins(case: Case) -> list[list[Answer]]:
    """Return the readings that stand, by the test that they are of."""
    found: dict[object, list[Answer]] = {}
    for answer in case.standing:
        what = answer.evidence.what
        if what is not None:
            leads = frozenset((what.red, what.black, what.wire))
            key = (answer.evidence.setting, what.instrument, leads)
            found.setdefault(key, []).append(answer)
    return list(found.values())


def _agree(one: Answer, other: Answer) -> bool:
    a, b = one.evidence.shown, other.evidence.shown
    if a is None or b is None or a.value is None or b.value is None:
        return (a is None or a.value is None) == (b is None or b.value is None)
    turned = one.evidence.what != other.evidence.what and a.unit != "Ω"
    return abs(a.value - (-b.value if turned else b.value)) <= max(a.off, b.off)


def _without(case: Case, answer: Answer) -> Candidates:
    others = (one.evidence for one in case.standing if one is not answer)
    return _left(case, (*case.given(), *others))


def next_test(case: Case, table: Table, instruments: Collection[str] = METER) -> Choice | None:
    """Return the test that tells most per minute, None where none helps any more."""
    found = candidates_of(case)
    if len(found.left()) < 2:
        return None
    plan = plan_of(table, instruments)
    done = [answer.evidence for answer in case.standing]
    done += [Evidence(test.setting, test.what) for test in case.skipped]
    taken = plan.known(done)
    return best(plan, live_of(table, [found]), standing_of(case), taken)


def standing_of(case: Case) -> Standing:
    """Return where the tester stands: the last setting, the places that have been got at."""
    if not case.answers:
        return Standing()
    reached = (places_of(case.circuit, answer.test) for answer in case.answers)
    return Standing(case.answers[-1].evidence.setting, frozenset().union(*reached))


def resting_on(case: Case) -> tuple[Answer, ...]:
    """Return the readings that the verdict rests on alone, in their order.

    Without one of them other faults would fit too: were it a slip, the verdict would be wrong.
    A reading taken twice is none of them. What is watched is left out.
    """
    left = _spots(candidates_of(case))
    once = [twins[0] for twins in _twins(case) if len(twins) == 1]
    return tuple(one for one in once if _spots(_without(case, one)) > left)


def _spots(found: Candidates) -> frozenset[tuple[str, str]]:
    return frozenset((fault.place, fault.kind) for fault in found.left())

"""The debrief: the marks, what it was, and the learner's path beside a good one."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from circuits.cautions import CAUTIONS
from circuits.faultkinds import REPAIRS
from circuits.faults import place_title
from exercises.attempt import Attempt
from exercises.evidence import NO_FAULT
from exercises.explaining.names import listed
from exercises.explaining.telling import Learned
from exercises.goodpath import good_path
from exercises.marking import Mark, final_names, mark, words_for
from exercises.paths import PathRow, good_rows, own_steps
from exercises.planning.choice import Plan
from exercises.thought import Concluded, Expected, conclusions, expectations, suspects_told


@dataclass(frozen=True, slots=True)
class Debrief:
    """All that is told after the job.

    Attributes
    ----------
    start : the number of faults that were possible before the first step.
    named_at : the minutes at which something was named, the last naming last.
    cautions, hints : those met and those taken, a sentence each.
    suspects : what the list of suspects held and missed, a sentence each.
    expected : the readings of which the learner said beforehand what is sound.
    concluded : what was wrong with each naming.
    """

    mark: Mark
    fault: str
    cure: str
    own_path: tuple[PathRow, ...]
    good_path: tuple[PathRow, ...]
    start: int
    lesson: str
    like_case: str
    named_at: tuple[float, ...] = ()
    cautions: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    suspects: tuple[str, ...] = ()
    expected: tuple[Expected, ...] = ()
    concluded: tuple[Concluded, ...] = ()


def debrief(
    attempt: Attempt, plan: Plan | None = None, each: Callable[[PathRow], object] = lambda _: None
) -> Debrief:
    """Return the debrief of an attempt, closed or not.

    With a ``plan``, the tests that the exercise allows, it tells which would have been better.
    ``each`` gets every step of the learner's as soon as it is weighed.
    """
    exercise = attempt.exercise
    rows: list[PathRow] = []
    learned: list[Learned] = []
    for row, one in own_steps(attempt, plan):
        each(row)
        rows.append(row)
        learned.append(one)
    good = good_path(exercise)
    return Debrief(
        mark=mark(attempt),
        fault=fault_words(attempt),
        cure=cure_words(attempt),
        own_path=tuple(rows),
        good_path=good_rows(attempt),
        start=len(good.before),
        lesson=exercise.lesson,
        like_case=exercise.like_case,
        named_at=tuple(named.minutes for named in attempt.named),
        cautions=tuple(_cautions(attempt)),
        hints=tuple(_hints(attempt)),
        suspects=suspects_told(attempt),
        expected=expectations(attempt),
        concluded=conclusions(attempt, learned),
    )


def fault_words(attempt: Attempt) -> str:
    """Return what it was, with how bad: it is known at once, before anything is weighed."""
    exercise = attempt.exercise
    truth = exercise.faults or (NO_FAULT,)
    return "; ".join(words_for(exercise.circuit, fault, how_bad=True) for fault in truth)


def named_words(attempt: Attempt) -> str:
    """Return what the learner named, the namings that count."""
    names = [words_for(attempt.circuit, named.fault) for named in final_names(attempt)]
    return f"You named: {'; '.join(names)}." if names else "You named nothing."


def cure_words(attempt: Attempt) -> str:
    """Return what was repaired, and whether that cured it."""
    cured = [repair for repair in attempt.repairs if repair.cured]
    if not attempt.repairs:
        return "No repair was chosen."
    if not cured:
        return "What was repaired did not cure it."
    if cured[-1].name == "none":
        return "Rightly nothing was repaired."
    done = "; ".join(f"{place_title(attempt.circuit, r.place)}: {REPAIRS[r.name]}" for r in cured)
    return f"{done}. {'That cured it' if attempt.cured else 'Something else is still wrong'}."


def _cautions(attempt: Attempt) -> Iterator[str]:
    """Yield the cautions met, each with the readings at which it was."""
    for name in dict.fromkeys(attempt.slips):
        at = [str(one.no) for one in attempt.entries if name in one.shown.caution_names]
        times = attempt.slips.count(name)
        where = f"Reading {listed(at)}: " if at and len(at) == times else ""
        often = f"{times} times: " if times > 1 and not where else ""
        yield f"{where}{often}{CAUTIONS[name]}"


def _hints(attempt: Attempt) -> Iterator[str]:
    for hint in attempt.hinted:
        after = f"after {hint.readings} reading{'s' * (hint.readings != 1)}"
        yield f"Hint {hint.depth}, {after}: {hint.words}"

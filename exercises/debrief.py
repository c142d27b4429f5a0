"""The debrief: the marks, what it was, and the learner's path beside a good one."""

from dataclasses import dataclass

from circuits.faultkinds import REPAIRS
from circuits.faults import place_title
from circuits.settings import setting_words
from exercises.attempt import Attempt
from exercises.evidence import NO_FAULT, Evidence
from exercises.goodpath import good_path
from exercises.marking import Mark, mark, words_for
from exercises.narrowing import narrowing, questions


@dataclass(frozen=True, slots=True)
class PathRow:
    """One step of a path: what was done, what it showed, how many faults were left.

    ``left`` is the number of faults still possible after the step, ``why`` the reason for
    it, empty on a learner's own path.
    """

    no: int
    done: str
    showed: str
    minutes: float
    left: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class Debrief:
    """All that is told after the job.

    ``start`` is the number of faults that were possible before the first step.
    """

    mark: Mark
    fault: str
    cure: str
    own_path: tuple[PathRow, ...]
    good_path: tuple[PathRow, ...]
    start: int
    lesson: str
    like_case: str


def debrief(attempt: Attempt) -> Debrief:
    """Return the debrief of an attempt, closed or not."""
    exercise = attempt.exercise
    truth = exercise.faults or (NO_FAULT,)
    start, own = _own_path(attempt)
    return Debrief(
        mark=mark(attempt),
        fault="; ".join(words_for(exercise.circuit, fault, how_bad=True) for fault in truth),
        cure=_cure(attempt),
        own_path=own,
        good_path=_good_path(attempt),
        start=start,
        lesson=exercise.lesson,
        like_case=exercise.like_case,
    )


def _cure(attempt: Attempt) -> str:
    cured = [repair for repair in attempt.repairs if repair.cured]
    if not attempt.repairs:
        return "No repair was chosen."
    if not cured:
        return "What was repaired did not cure it."
    if cured[-1].name == "none":
        return "Rightly nothing was repaired."
    done = "; ".join(f"{place_title(attempt.circuit, r.place)}: {REPAIRS[r.name]}" for r in cured)
    return f"{done}. {'That cured it' if attempt.cured else 'Something else is still wrong'}."


def _own_path(attempt: Attempt) -> tuple[int, tuple[PathRow, ...]]:
    """Return the faults possible at first, and the learner's path up to the repair."""
    lefts = narrowing(questions(attempt.exercise), attempt.evidence)
    counts = [len(left) for left in lefts]
    rows: list[PathRow] = []
    entries = iter(attempt.entries)
    for piece, left in zip(attempt.evidence, counts[1:], strict=True):
        entry = next(entries) if piece.shown is not None else None
        spent = entry.minutes if entry else (rows[-1].minutes if rows else 0.0)
        rows.append(PathRow(len(rows) + 1, _done(attempt, piece), _showed(piece), spent, left))
    return counts[0], tuple(rows)


def _done(attempt: Attempt, piece: Evidence) -> str:
    words = setting_words(attempt.circuit, piece.setting)
    if piece.what is not None:
        return f"{piece.what.instrument} {piece.what.where()} ({words})"
    if piece.renewed:
        return f"new fuse {', '.join(sorted(piece.renewed))}, watched ({words})"
    return f"worked and watched ({words})"


def _showed(piece: Evidence) -> str:
    return piece.shown.text if piece.shown is not None else "what it does"


def _good_path(attempt: Attempt) -> tuple[PathRow, ...]:
    rows = []
    for no, walked in enumerate(good_path(attempt.exercise).steps, start=1):
        words = setting_words(attempt.circuit, walked.step.setting)
        what = walked.step.measurement
        done = f"{what.instrument} {what.where()} ({words})" if what else f"watch it ({words})"
        showed = walked.shown.text if walked.shown else "; ".join(walked.seen)
        row = PathRow(no, done, showed, walked.minutes, len(walked.left), walked.step.because)
        rows.append(row)
    return tuple(rows)

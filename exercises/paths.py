"""The learner's path and a good one, step by step: minutes, what was shown, what was left."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from circuits.faultkinds import REPAIRS
from circuits.model import AS_FOUND
from circuits.settings import setting_words
from exercises import minutes
from exercises.attempt import Attempt
from exercises.evidence import Evidence
from exercises.explaining.learned import explained
from exercises.explaining.names import fault_names
from exercises.explaining.telling import Learned
from exercises.goodpath import good_path
from exercises.narrowing import questions
from exercises.planning.choice import Plan
from exercises.planning.hindsight import Missed, hindsight
from exercises.planning.hints import test_words


@dataclass(frozen=True, slots=True)
class PathRow:
    """One step of a path: what was done, what it showed, how many faults were left.

    ``left`` is the number of faults still possible after the step. ``why`` is the reason for
    a step of a good path; ``reading`` is the number of the learner's reading, 0 where it was
    only watched, ``learned`` what a step of the learner's own taught, a sentence each,
    ``better`` which test would have told more, and ``then`` what was named and repaired next.
    """

    no: int
    done: str
    showed: str
    minutes: float
    left: int
    why: str = ""
    reading: int = 0
    learned: tuple[str, ...] = ()
    better: str = ""
    then: str = ""


def own_steps(attempt: Attempt, plan: Plan | None) -> Iterator[tuple[PathRow, Learned]]:
    """Yield the learner's steps up to the cure, each with what it taught.

    A step takes its time to be weighed, so they come one by one.
    """
    learned = explained(questions(attempt.exercise), attempt.evidence)
    told = zip(attempt.evidence, learned, _spent(attempt), _better(attempt, plan), strict=True)
    for no, (piece, one, spent, better) in enumerate(told, start=1):
        row = PathRow(
            no,
            _done(attempt, piece),
            _showed(piece, one),
            spent,
            one.left,
            reading=one.no,
            learned=one.told[1:],
            better=better,
            then=_then(attempt, no),
        )
        yield row, one


def _then(attempt: Attempt, evidence: int) -> str:
    """Return what was named and repaired right after so many pieces of evidence."""
    circuit, told = attempt.circuit, []
    for number, named in enumerate(attempt.named, start=1):
        if named.evidence != evidence:
            continue
        told.append(f"Then you named {fault_names(circuit, [named.fault])}.")
        vain = [one for one in attempt.repairs if one.names == number and not one.cured]
        told += [f"The repair cured nothing: {REPAIRS[repair.name]}." for repair in vain]
    return " ".join(told)


def _spent(attempt: Attempt) -> Iterator[float]:
    """Yield the minutes spent after each piece of evidence.

    Readings are logged with theirs; what was only watched has what its setting costs, at most
    up to the next reading.
    """
    entries, spent, before = list(attempt.entries), 0.0, AS_FOUND
    visited: frozenset[str] = frozenset()
    for piece in attempt.evidence:
        places = minutes.places_of(attempt.circuit, piece.setting, ()) - visited
        if piece.shown is not None:
            spent = entries.pop(0).minutes
        else:
            spent += minutes.setting_minutes(before, piece.setting)
            spent += minutes.access_minutes(attempt.circuit, places)
            spent += minutes.NEW_FUSE * len(piece.renewed)
            spent = min(spent, entries[0].minutes) if entries else spent
        before, visited = piece.setting, visited | places
        yield spent


def _better(attempt: Attempt, plan: Plan | None) -> Iterator[str]:
    if plan is None:
        yield from itertools.repeat("", len(attempt.evidence))
        return
    for missed in hindsight(attempt, plan):
        yield "" if missed is None else _missed_words(attempt, missed)


def _missed_words(attempt: Attempt, missed: Missed) -> str:
    about = round(missed.leaves)
    leaves = "one" if about == 1 else f"about {about}"
    return (
        f"{test_words(attempt.circuit, missed.test)}. From here it costs {missed.minutes:.1f} "
        f"minutes and on average leaves {leaves} of {missed.of}."
    )


def _done(attempt: Attempt, piece: Evidence) -> str:
    words = setting_words(attempt.circuit, piece.setting)
    if piece.what is not None:
        return f"{piece.what.instrument} {piece.what.where()} ({words})"
    if piece.renewed:
        return f"new fuse {', '.join(sorted(piece.renewed))}, watched ({words})"
    return f"worked and watched ({words})"


def _showed(piece: Evidence, learned: Learned) -> str:
    return piece.shown.text if piece.shown is not None else learned.found


def good_rows(attempt: Attempt) -> tuple[PathRow, ...]:
    """Return the steps of the good path, walked on the learner's vehicle."""
    rows = []
    for no, walked in enumerate(good_path(attempt.exercise).steps, start=1):
        words = setting_words(attempt.circuit, walked.step.setting)
        what = walked.step.measurement
        act = f"{what.instrument} {what.where()}" if what else "worked and watched"
        showed = walked.shown.text if walked.shown else "; ".join(walked.seen)
        spent, left, why = walked.minutes, len(walked.left), walked.step.because
        rows.append(PathRow(no, f"{act} ({words})", showed, spent, left, why))
    return tuple(rows)

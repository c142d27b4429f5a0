"""Economy: the minutes up to naming against a good path's, and what they went on."""

from collections.abc import Hashable, Iterator, Sequence

from exercises.attempt import Attempt
from exercises.evidence import Evidence
from exercises.goodpath import GoodPath
from exercises.marking.columns import Column
from exercises.narrowing import could_tell, questions

ALLOWANCE = 1.25
"""So many times the minutes of a good path are still full marks."""

HINT = 1.0
"""Minutes that a hint counts for, times its depth."""

FREE_REPEATS = 1
"""Repeats of a reading that are there to be sure of it."""


def economy(attempt: Attempt, proof: Column, good: GoodPath) -> Column:
    """Return the mark for the minutes spent, as far as the diagnosis was proved."""
    rule = (
        "1.25 times the minutes of the good path over the minutes spent up to naming, wrong "
        "repairs included and a minute for each depth of a hint; at most 1; times the mark for "
        "proof. Readings that could tell no two faults apart, and repeats after the one that "
        "makes sure, cost no more than their minutes."
    )
    named = attempt.named[-1] if attempt.named else None
    hints = [one.depth for one in attempt.hinted if not named or one.names < len(attempt.named)]
    spent = (named.minutes if named else attempt.minutes) + HINT * sum(hints)
    ratio = min(1.0, ALLOWANCE * good.minutes / spent) if spent > 0 else 1.0
    learned = attempt.evidence[: named.evidence] if named else attempt.evidence
    told = (
        f"{spent:.1f} minutes spent; a good path takes {good.minutes:.1f}.",
        *_hints_told(hints),
        *_repairs_told(attempt),
        *_readings_told(attempt, learned),
    )
    return Column("economy", ratio * proof.score, rule, told)


def _hints_told(depths: Sequence[int]) -> Iterator[str]:
    if depths:
        count, cost = len(depths), HINT * sum(depths)
        yield f"{count} hint{'s' * (count > 1)} counted as {cost:g} of them."


def _repairs_told(attempt: Attempt) -> Iterator[str]:
    last = len(attempt.named)
    wrong = sum(not repair.cured and repair.names < last for repair in attempt.repairs)
    if wrong:
        yield f"{wrong} repair{'s' * (wrong > 1)} cured nothing."


def _readings_told(attempt: Attempt, learned: Sequence[Evidence]) -> Iterator[str]:
    """Yield how many readings could tell anything, and how many were one repeat too many."""
    told = could_tell(questions(attempt.exercise), learned)
    repeats = _repeats(learned)
    measured = [n for n, piece in enumerate(learned) if piece.what is not None]
    fresh = [n for n in measured if not repeats[n]]
    if fresh:
        vain = sum(not told[n] for n in fresh)
        yield _vain_told(len(fresh), vain)
    many = sum(repeats[n] > FREE_REPEATS for n in measured)
    if many:
        yield f"{many} reading{'s' * (many > 1)} repeated what had been made sure of already."


def _vain_told(readings: int, vain: int) -> str:
    if readings == 1:
        return f"The one reading could {'not ' * vain}tell faults apart that were still possible."
    if vain in (0, readings):
        which = "None" if vain else "Each"
        return f"{which} of {readings} readings could tell faults apart that were still possible."
    return f"{vain} of {readings} readings could tell no two faults apart."


def _repeats(learned: Sequence[Evidence]) -> list[int]:
    """Return for each piece how often the same had been done before with nothing put in new."""
    done: dict[Hashable, int] = {}
    renewed, found = 0, []
    for piece in learned:
        renewed += bool(piece.renewed)
        what = piece.what
        leads = what and (what.instrument, frozenset((what.red, what.black)), what.wire)
        rest = what and (what.hold, what.load_w, what.zeroed, what.low_battery)
        same = (piece.setting, leads, rest, piece.repaired, renewed)
        found.append(done.get(same, 0))
        done[same] = found[-1] + 1
    return found

"""Confirmation: cured, and shown to be."""

from collections.abc import Iterable

from circuits.instruments import read
from exercises.attempt import Attempt
from exercises.entries import Entry
from exercises.evidence import fits
from exercises.marking.columns import Column


def confirmation(attempt: Attempt) -> Column:
    """Return the mark for the cure, and for showing it."""
    rule = (
        "Cured, and a reading that was wrong before repeated and now right: 1. Cured and "
        "only the vehicle worked or something else measured: 0.5. Else 0."
    )
    if not attempt.repairs:
        return Column("confirmation", 0.0, rule, ("No repair was chosen.",))
    cure = next((repair for repair in reversed(attempt.repairs) if repair.cured), None)
    if cure is None or not attempt.cured:
        return Column("confirmation", 0.0, rule, (_not_cured(attempt),))
    until, after = attempt.entries[: cure.readings], attempt.entries[cure.readings :]
    for entry in after:
        before = _wrong_before(attempt, entry, until)
        if before is not None:
            told = f"{entry.where}: {before.shown.text} before, {entry.shown.text} after."
            return Column("confirmation", 1.0, rule, (told,))
    if not attempt.exercise.faults and after:
        told = "It worked as designed, and was measured once more after the finding."
        return Column("confirmation", 1.0, rule, (told,))
    told = "The vehicle was worked again, but no reading that had been wrong was repeated."
    return Column("confirmation", 0.5, rule, (told,))


def _not_cured(attempt: Attempt) -> str:
    if not attempt.exercise.faults:
        return "Something was repaired, and nothing was at fault."
    if any(repair.cured for repair in attempt.repairs):
        return "One fault is cured, another is still there."
    return "The fault is still there."


def _wrong_before(attempt: Attempt, entry: Entry, until: Iterable[Entry]) -> Entry | None:
    """Return an entry from before the repair that this one repeats and puts right."""
    sound = read(attempt.exercise.healthy().with_setting(entry.setting), entry.what)
    if not fits(entry.shown, sound, sound):
        return None
    for before in until:
        same = (before.setting, before.what) == (entry.setting, entry.what)
        if same and not fits(before.shown, sound, sound):
            return before
    return None

"""What the learner thought, held against what the readings say: suspects, expectations, names.

A wrong expectation is a gap in knowing the circuit; a wrong conclusion from readings that were
rightly expected is a gap in logic.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import Literal

from circuits.faults import fault_places
from circuits.model import Circuit, Fault
from exercises.attempt import Attempt
from exercises.evidence import NO_FAULT
from exercises.explaining.names import fault_names, listed
from exercises.explaining.telling import Learned
from exercises.goodpath import good_path
from exercises.narrowing import narrowing, questions

Gap = Literal["circuit", "logic", "proof"]
Spot = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Expected:
    """A reading with what the learner said of it: ``sound`` is what a sound vehicle shows."""

    no: int
    where: str
    expected: str
    right: bool | None
    sound: str
    shown: str


@dataclass(frozen=True, slots=True)
class Concluded:
    """A fault that was named too soon or in spite of a reading, what was wrong with that, and
    which kind of gap it shows."""

    words: str
    gap: Gap


def expectations(attempt: Attempt) -> tuple[Expected, ...]:
    """Return the readings for which the learner said what a sound vehicle shows."""
    return tuple(
        Expected(
            entry.no,
            entry.where,
            entry.expected,
            entry.expected_right,
            entry.sound,
            entry.shown.text,
        )
        for entry in attempt.entries
        if entry.expected
    )


def suspects_told(attempt: Attempt) -> tuple[str, ...]:
    """Return what the learner's list of suspects held and missed, a sentence each.

    It is held against the faults that fit what was seen before the first reading.
    """
    if not attempt.suspected:
        return ()
    circuit = attempt.circuit
    looks = tuple(takewhile(lambda piece: piece.shown is None, attempt.evidence))
    *_, left = narrowing(questions(attempt.exercise), looks)
    named = {_spot(fault) for fault in attempt.suspected}
    fitting = {_spot(fault) for fault in left}
    held = [fault for fault in left if _spot(fault) in named]
    out = [fault for fault in attempt.suspected if _spot(fault) not in fitting]
    return tuple(_suspects(circuit, attempt, (len(left), held, out), left))


def _suspects(
    circuit: Circuit,
    attempt: Attempt,
    counts: tuple[int, Sequence[Fault], Sequence[Fault]],
    left: Sequence[Fault],
) -> Iterator[str]:
    of, held, out = counts
    listed_spots = {_spot(fault) for fault in attempt.suspected}
    yield f"Of the {of} faults that fitted what you first saw, your list had {len(held)}."
    hidden = attempt.exercise.faults
    found = [fault for fault in hidden if _spot(fault) in listed_spots]
    if hidden:
        yield "The fault itself was on it." if found else "The fault itself was not on it."
    missing = _missing_sorts(circuit, left, listed_spots)
    if missing:
        yield f"It had nothing of this sort, and each could have done it: {listed(missing)}."
    if out:
        yield f"What you first saw had already ruled out {fault_names(circuit, out)}."


def _missing_sorts(circuit: Circuit, left: Sequence[Fault], named: set[Spot]) -> list[str]:
    """Return the sorts of places that could be at fault and of which none was listed."""
    sort_of = {place.name: place.sort for place in fault_places(circuit)}
    fitting = Counter(sort_of[fault.place] for fault in left if fault != NO_FAULT)
    suspected = {sort_of.get(place, "") for place, _ in named}
    missing = [(sort, count) for sort, count in fitting.most_common() if sort not in suspected]
    return [f"{SORT_WORDS.get(sort, sort)} ({count})" for sort, count in missing]


SORT_WORDS: Mapping[str, str] = {
    "cavity": "connector cavity",
    "cavities": "pair of swapped cavities",
    "wires": "pair of wires rubbed together",
}
"""Sorts of places as they are said in a sentence; the others go by their own word."""


def conclusions(attempt: Attempt, learned: Sequence[Learned]) -> tuple[Concluded, ...]:
    """Return what was wrong with each naming: in spite of a reading, or with rivals left."""
    if not attempt.named:
        return ()
    good = good_path(attempt.exercise).group
    true = {_spot(fault) for fault in (*(attempt.exercise.faults or (NO_FAULT,)), *good)}
    found = []
    lefts = list(narrowing(questions(attempt.exercise), attempt.evidence))
    for named in attempt.named:
        spot, left = _spot(named.fault), lefts[named.evidence]
        name = fault_names(attempt.circuit, [named.fault])
        if spot not in {_spot(fault) for fault in left}:
            found.append(_in_spite(attempt, name, spot, learned[: named.evidence]))
        elif len(left) > 1 and spot not in true:
            rivals = [fault for fault in left if _spot(fault) != spot]
            words = (
                f"You named {name} while {len(rivals)} other "
                f"fault{'s' * (len(rivals) != 1)} still fitted."
            )
            found.append(Concluded(words, "proof"))
    return tuple(found)


def _in_spite(attempt: Attempt, name: str, spot: Spot, learned: Sequence[Learned]) -> Concluded:
    """Return what a naming overlooked, and whether the circuit or the logic was the trouble."""
    for one in learned:
        for ruled in one.ruled:
            if spot not in {_spot(fault) for fault in ruled.faults}:
                continue
            entry = attempt.entries[one.no - 1] if one.no else None
            what = f"reading {one.no}" if one.no else "what you saw"
            words = (
                f"You named {name}, but {what} had ruled it out: with that fault {ruled.reason}."
            )
            if entry is None or entry.expected_right is not False:
                return Concluded(words, "logic")
            took = (
                f" You took {entry.expected} to be right there; a sound vehicle shows "
                f"{entry.sound}."
            )
            return Concluded(words + took, "circuit")
    return Concluded(f"You named {name}, which nothing on this vehicle can be.", "logic")


def _spot(fault: Fault) -> Spot:
    return (fault.place, fault.kind)

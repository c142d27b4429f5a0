"""What was learned from one reading or look, and the sentences that say it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from circuits.model import Fault

MOST_GROUPS = 4
"""Most groups of a sentence; what is left of them is only counted."""

MOST_NARROWED = 3
"""Most faults of which it is told how bad they may still be; of more, only that it is so."""


@dataclass(frozen=True, slots=True)
class Ruled:
    """Faults that a piece of evidence ruled out, their names, and the one reason for it."""

    faults: tuple[Fault, ...]
    names: str
    reason: str


@dataclass(frozen=True, slots=True)
class Learned:
    """What one piece of evidence taught.

    Attributes
    ----------
    no : the number of the reading, 0 where the vehicle was only watched.
    setting, found, sound : how it was set, what was seen or read, and what a sound vehicle
        does or shows, in words.
    before, left : how many faults were possible before it and after it.
    narrowed : faults that are still possible, but only less or more bad, in words.
    silent : why nothing was ruled out, empty where something was.
    """

    no: int
    setting: str
    found: str
    sound: str
    before: int
    left: int
    ruled: tuple[Ruled, ...] = ()
    narrowed: tuple[str, ...] = ()
    silent: str = ""

    @property
    def told(self) -> tuple[str, ...]:
        """What was learned, a sentence each."""
        return tuple(_told(self))


def _told(learned: Learned) -> Iterator[str]:
    yield _what(learned)
    if learned.ruled:
        gone = learned.before - learned.left
        yield f"That rules out {gone} of {learned.before}: {_reasons(learned.ruled)}."
    elif learned.silent:
        yield learned.silent
    if learned.ruled:
        yield "No single fault is left." if learned.left == 0 else f"{learned.left} left."
    many = len(learned.narrowed)
    if many > MOST_NARROWED:
        yield f"It also narrows how bad {many} of those left could be."
    elif learned.narrowed:
        yield f"How bad it can still be: {'; '.join(learned.narrowed)}."


def _what(learned: Learned) -> str:
    setting = learned.setting[:1].upper() + learned.setting[1:]
    sound = f"; a sound vehicle shows {learned.sound}" if learned.sound else ""
    return f"{setting}: {learned.found}{sound}."


def _reasons(ruled: Sequence[Ruled]) -> str:
    told = [f"with {one.names} {one.reason}" for one in ruled[:MOST_GROUPS]]
    more = sum(len(one.faults) for one in ruled[MOST_GROUPS:])
    if more:
        told.append(f"{more} more would have come out otherwise too")
    return "; ".join(told)

"""What an exercise asks of a learner besides readings, and what it gives: the suspects before
the first reading, the expectation before each, and hints; and the events that these make."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from exercises.attempt import Attempt, AttemptError
from exercises.diagnosis import fault_menu
from exercises.entries import Hinted
from exercises.events import Draft
from exercises.expectation import judged
from exercises.measuring import measured

LONGEST_HINT = 2000


@dataclass(frozen=True, slots=True)
class ListSuspects:
    """Say what could be wrong, as places and kinds, before anything is measured."""

    spots: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Expect:
    """Say what a sound vehicle shows where the leads now are; the meter then answers."""

    words: str


@dataclass(frozen=True, slots=True)
class TakeHint:
    """Take a hint, which is kept in the words in which it was shown."""

    depth: int
    words: str


Asked = ListSuspects | Expect | TakeHint


def suspects_first(attempt: Attempt) -> None:
    """Refuse to measure before the suspects are listed, where the exercise asks for them.

    Raises
    ------
    AttemptError
        With the sentence for the learner.
    """
    if attempt.lacks_suspects:
        raise AttemptError("List what could be wrong before you take the first reading.")


def _list_suspects(attempt: Attempt, action: ListSuspects) -> Draft:
    if not attempt.exercise.asks_suspects:
        raise AttemptError("This exercise does not ask for suspects.")
    if not attempt.lacks_suspects:
        raise AttemptError("The list stands as it was made before the first reading.")
    places = fault_menu(attempt.circuit)
    menu = {(place.name, kind.name) for place in places for kind in place.kinds}
    for place, kind in action.spots:
        if (place, kind) not in menu:
            raise AttemptError(f"suspect {place!r}, {kind!r}: not one of this circuit's faults")
    spots = list(dict.fromkeys(action.spots))
    if not spots:
        raise AttemptError("Choose at least one suspect.")
    return Draft("suspected", {"spots": [list(spot) for spot in spots]})


def _expect(attempt: Attempt, action: Expect) -> Draft:
    what = attempt.awaited
    if what is None:
        raise AttemptError("No reading waits for an expectation: place both leads first.")
    found = judged(attempt.healthy(), what, action.words)
    body = {"expected": found.words, "right": found.right, "sound": found.sound}
    return measured("expected", attempt, attempt, body)


def _take_hint(attempt: Attempt, action: TakeHint) -> Draft:
    deepest = attempt.exercise.hints
    if action.depth != next_hint(attempt):
        raise AttemptError(_no_such_hint(deepest))
    return Draft("hinted", {"depth": action.depth, "words": action.words.strip()[:LONGEST_HINT]})


def _no_such_hint(deepest: int) -> str:
    if not deepest:
        return "This exercise gives no hints."
    return "Take the hints one by one, and a reading before you begin with them again."


def given_hints(attempt: Attempt) -> tuple[Hinted, ...]:
    """Return the hints given since the last reading, from the last that began anew."""
    given: list[Hinted] = []
    for hint in attempt.hinted:
        if hint.readings == len(attempt.entries):
            given = [hint] if hint.depth == 1 else [*given, hint]
    return tuple(given)


def next_hint(attempt: Attempt) -> int | None:
    """Return the depth of the hint that can be taken now, None for none.

    Each goes one deeper than the one before, until something new was read or seen.
    """
    deepest, given = attempt.exercise.hints, given_hints(attempt)
    if attempt.stage == "closed" or not deepest:
        return None
    if not given:
        return 1
    if given[-1].depth < deepest:
        return given[-1].depth + 1
    return None if given[-1].evidence == len(attempt.evidence) else 1


ASKED: Mapping[type, Any] = {
    ListSuspects: _list_suspects,
    Expect: _expect,
    TakeHint: _take_hint,
}
"""The event of each act."""

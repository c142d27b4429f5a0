"""One exercise to do next, chosen by what went wrong in the last."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

from exercises.attempt import Attempt
from exercises.exercise import Exercise
from exercises.marking import Mark

HARDEST = 4

PROVED, CAREFUL, SHORT = 0.7, 0.8, 0.8
"""Least marks for proof, for care and, as far as it was proved, for economy, below which the
next exercise is chosen to mend them."""

MISJUDGED = 2
"""So many wrong expectations are no slip any more."""

OHMS = {"ohms", "continuity", "diode"}
AMPS = {"amps", "clamp"}


@dataclass(frozen=True, slots=True)
class NextJob:
    """An exercise to do next, and why this one, in a sentence.

    ``again`` tells that it is the one just done, on another vehicle.
    """

    exercise: Exercise
    reason: str
    again: bool = False


@dataclass(frozen=True, slots=True)
class _Wish:
    """What the next exercise should be like, the most important first, and why."""

    reason: str
    wants: tuple[Callable[[Exercise], bool], ...]
    level: int


def next_exercise(
    made: Mark, attempt: Attempt, library: Sequence[Exercise], done: Collection[str] = ()
) -> NextJob | None:
    """Return the exercise to do next, None where the library has no other.

    The one just done comes again only after giving up, on another vehicle; those ``done``
    before only where no other is left.
    """
    own = attempt.exercise
    if attempt.gave_up:
        same = next((one for one in library if one.name == own.name), None)
        if same is not None:
            return NextJob(same, AGAIN, again=True)
    others = [one for one in library if one.name != own.name]
    new = [one for one in others if one.name not in done]
    wish = _wish(made, attempt)
    found = min(new or others, key=lambda one: _order(wish, one), default=None)
    return None if found is None else NextJob(found, wish.reason)


AGAIN = "You asked to be shown this one. The same complaint on another vehicle is yours to find."


def _order(wish: _Wish, one: Exercise) -> tuple[object, ...]:
    misses = tuple(not want(one) for want in wish.wants)
    # Of two levels equally far off the easier one: what went wrong is practised first.
    return (*misses, abs(one.level - wish.level), one.level, one.slip)


def _wish(made: Mark, attempt: Attempt) -> _Wish:
    own = attempt.exercise
    skill, elsewhere = _has_skill(own), _is_elsewhere(own)
    if made.score("diagnosis") < 1:
        reason = (
            f"It was something else: practise “{own.skill}” on another circuit, and ask after "
            "each reading what it leaves."
        )
        return _Wish(reason, (skill, _at_most(own.level), elsewhere), own.level)
    if made.score("proof") < PROVED:
        reason = (
            "You named it before the readings had proved it: the same skill on another "
            "circuit, and this time stop when nothing else is left."
        )
        return _Wish(reason, (skill, _of_level(own.level), elsewhere), own.level)
    if made.score("care") < CAREFUL:
        return _careful(attempt)
    if sum(entry.expected_right is False for entry in attempt.entries) >= MISJUDGED:
        reason = (
            "The fault was found, but a sound vehicle is not what you took it for: another of "
            "the same circuit, with its page read first."
        )
        return _Wish(reason, (_same_circuit(own), _at_most(own.level)), own.level)
    return _for_the_skilled(made, attempt)


def _for_the_skilled(made: Mark, attempt: Attempt) -> _Wish:
    own = attempt.exercise
    elsewhere = _is_elsewhere(own)
    if made.score("confirmation") < 1:
        reason = (
            "Found, but not shown to be cured: take another, and end it by repeating the "
            "reading that was wrong."
        )
        return _Wish(reason, (_of_level(own.level), elsewhere), own.level)
    if made.score("economy") < SHORT * made.score("proof"):
        reason = (
            "Right, by the long way round: before this one, read the diagram and choose the "
            "test that halves what is left."
        )
        return _Wish(reason, (_of_level(own.level), _has_skill(own), elsewhere), own.level)
    harder = min(own.level + 1, HARDEST)
    reason = "Found, proved, shown to be cured, and with care: here is a harder one."
    if harder == own.level:
        reason = "Found, proved, shown to be cured, and with care: another of the hardest."
    return _Wish(reason, (_of_level(harder), elsewhere, _has_skill(own)), harder)


def _careful(attempt: Attempt) -> _Wish:
    own = attempt.exercise
    worst = max(attempt.slips, key=_badness(attempt), default="")
    if worst not in TRAPS:
        reason = (
            "Sound things were repaired on the way: here is one where only readings tell, "
            "so repair when nothing else is left."
        )
        return _Wish(reason, (_at_most(own.level), _has_skill(own)), own.level)
    reason, trap = TRAPS[worst]
    return _Wish(reason, (trap, _at_most(own.level), _is_elsewhere(own)), own.level)


def _badness(attempt: Attempt) -> Callable[[str], tuple[bool, bool, int]]:
    def badness(slip: str) -> tuple[bool, bool, int]:
        return slip in TRAPS, slip != "isolate_first", attempt.slips.count(slip)

    return badness


def _has_skill(own: Exercise) -> Callable[[Exercise], bool]:
    return lambda one: one.skill == own.skill


def _is_elsewhere(own: Exercise) -> Callable[[Exercise], bool]:
    return lambda one: one.circuit.name != own.circuit.name


def _same_circuit(own: Exercise) -> Callable[[Exercise], bool]:
    return lambda one: one.circuit.name == own.circuit.name


def _of_level(level: int) -> Callable[[Exercise], bool]:
    return lambda one: one.level == level


def _at_most(level: int) -> Callable[[Exercise], bool]:
    return lambda one: one.level <= level


def _measures(instruments: Collection[str]) -> Callable[[Exercise], bool]:
    def measures(one: Exercise) -> bool:
        taken = (step.measurement for step in one.path)
        return any(what is not None and what.instrument in instruments for what in taken)

    return measures


def _has_motor(one: Exercise) -> bool:
    return any(part.spec.sort == "motor" for part in one.circuit.parts)


def _has_jumper(one: Exercise) -> bool:
    return any(step.setting.jumpers for step in one.path)


_WITH_OHMS = "here is one that needs the ohmmeter, with the battery's negative lead off first."

TRAPS: Mapping[str, tuple[str, Callable[[Exercise], bool]]] = {
    "ohms_live": (f"You measured ohms on a live circuit: {_WITH_OHMS}", _measures(OHMS)),
    "isolate_first": (f"The battery was on when you measured ohms: {_WITH_OHMS}", _measures(OHMS)),
    "amps_across_supply": (
        "Amps across a supply cost the meter its fuse: here is one that is found by its "
        "current, measured in line or with the clamp.",
        _measures(AMPS),
    ),
    "held_at_stop": (
        "A motor was held at its stop with current on: here is another motor, to be driven in "
        "pulses.",
        _has_motor,
    ),
    "jumper_blew": (
        "The jumper went across a short: here is one where a jumper helps, if you measure "
        "before you bridge.",
        _has_jumper,
    ),
}
"""By the slip that cost most care: why an exercise is chosen, and what it must have."""

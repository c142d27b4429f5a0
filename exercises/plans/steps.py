"""The steps of a plan in words: where the leads go, what is expected, what else would mean."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from circuits.behaviour import moving, seen_in
from circuits.faultkinds import KINDS
from circuits.instruments import Reading, read_many
from circuits.model import Circuit, Fault, Setting, Vehicle
from circuits.operate import solve_many
from circuits.points import find_point
from circuits.settings import has_mover
from exercises import minutes
from exercises.evidence import NO_FAULT, Evidence
from exercises.planning.allowed import AllowedTest
from exercises.plans.expected import DIALS, Band, band_of, turned
from exercises.plans.order import Walked
from exercises.plans.symptoms import set_words, sound_looks
from exercises.trial import Trial

UNDER = "under the vehicle"
"""What the titles of places say that one goes under the vehicle for."""

MOST_NAMED = 5
"""Most places that are named for one answer; the others are counted."""


NOTHING_NAMED = (("otherwise", "nothing in particular: write it down and go on"),)
"""What an answer points to that none of the faults in mind would give."""


@dataclass(frozen=True, slots=True)
class Step:
    """A test of a plan, told.

    Attributes
    ----------
    vehicle : how the vehicle is set, in words.
    red, black : the points' names; ``red`` is the wire for a clamp; empty for watching.
    points : what the points are, in words.
    expected : what a sound vehicle shows or does.
    means : ``(answer, what it points to)``, the answer as in *lower*, *higher*, *OL*.
    cautions : names of the cautions that come with the step for the first time.
    """

    no: int
    test: AllowedTest
    vehicle: str
    dial: str
    range: str
    red: str
    black: str
    points: tuple[str, ...]
    expected: str
    means: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    minutes: float
    left: int


def steps_of(circuit: Circuit, walked: Sequence[Walked]) -> tuple[Step, ...]:
    """Return the steps of a walk; ``circuit`` is that of the vehicle, with its slack."""
    told: set[str] = set()
    found = []
    for number, one in enumerate(walked, start=1):
        names = [
            name for name in cautions_of(circuit, one.test.setting, one.test) if name not in told
        ]
        told |= set(names)
        found.append(_step(circuit, number, one, tuple(names)))
    return tuple(found)


def _step(circuit: Circuit, number: int, walked: Walked, cautions: tuple[str, ...]) -> Step:
    test = turned(circuit, walked.test)
    what = test.what
    red, black = ("", "") if what is None else (what.red or what.wire, what.black)
    band = None if what is None else band_of(circuit, test)
    return Step(
        no=number,
        test=test,
        vehicle=set_words(circuit, test.setting),
        dial=DIALS[test.instrument],
        range="" if band is None else band.range_text,
        red=red,
        black=black,
        points=points_words(circuit, test),
        expected=expected_words(circuit, test),
        means=meanings(circuit, test, walked.suspects),
        cautions=cautions,
        minutes=walked.minutes,
        left=walked.left,
    )


def points_words(circuit: Circuit, test: AllowedTest) -> tuple[str, ...]:
    """Return in words what the leads of a test are on, red first, or what the clamp is round."""
    what = test.what
    if what is None:
        return ()
    if what.wire:
        return (f"round wire {circuit.wire_by_name[what.wire].label}",)
    return tuple(find_point(circuit, test.setting, p).title for p in (what.red, what.black))


def expected_words(circuit: Circuit, test: AllowedTest) -> str:
    """Return what a sound vehicle shows in a test, or is seen to do."""
    if test.what is not None:
        return band_of(circuit, test).text
    usual = {
        part: words for (part, _), words in reversed(sound_looks(circuit, test.setting).items())
    }
    return "; ".join(usual.values()) or "nothing to be seen or heard"


def cautions_of(circuit: Circuit, setting: Setting, test: AllowedTest) -> tuple[str, ...]:
    """Return the names of the cautions that a tester needs before a step."""
    names = []
    points = (test.what.red, test.what.black) if test.what else ()
    places = minutes.places_of(circuit, setting, points)
    if any(UNDER in circuit.place_by_name[place].title for place in places):
        names.append("under_vehicle")
    if setting.isolated:
        names.append("isolate_first")
    elif has_mover(circuit) and setting.moment != "at_rest":
        names.append("pulse_only")
    return tuple(names)


# --- what other answers point to


def meanings(
    circuit: Circuit, test: AllowedTest, suspects: Sequence[tuple[Fault, float]]
) -> tuple[tuple[str, str], ...]:
    """Return what answers that a sound vehicle does not give would point to.

    Where the faults in mind all answer as a sound one does, at the middle of what is left of
    them, another answer is still worth a note.
    """
    vehicles = [Trial(f, frozenset()).vehicle(circuit, Evidence(test.setting)) for f, _ in suspects]
    faults = [fault for fault, _ in suspects]
    if test.what is None:
        answers = _looks_otherwise(circuit, test.setting, vehicles)
    else:
        band = band_of(circuit, test)
        answers = [answer(band, reading) for reading in read_many(vehicles, test.what)]
    groups: dict[str, list[Fault]] = {}
    for fault, told in zip(faults, answers, strict=True):
        if told:
            groups.setdefault(told, []).append(fault)
    order = ("otherwise", "lower", "higher", "OL", "jumps")
    found = tuple((told, places_words(circuit, groups[told])) for told in order if told in groups)
    return found or NOTHING_NAMED


def answer(band: Band, reading: Reading) -> str:
    """Return how a reading differs from a sound vehicle's; empty where it does not."""
    if reading.swing is not None:
        return "jumps"
    if reading.exact is None:
        return "" if band.is_open else "OL"
    if reading.exact < band.low:
        return "lower"
    return "higher" if reading.exact > band.high else ""


def _looks_otherwise(circuit: Circuit, setting: Setting, vehicles: Sequence[Vehicle]) -> list[str]:
    sound = set(sound_looks(circuit, setting))
    worked = [moving(vehicle) for vehicle in vehicles]
    found = []
    for vehicle, state in zip(worked, solve_many(worked), strict=True):
        seen = {(one.part, one.code) for one in seen_in(vehicle, state)}
        found.append("otherwise" if seen - sound else "")
    return found


def places_words(circuit: Circuit, faults: Sequence[Fault]) -> str:
    """Return faults in few words, by kind: ``open circuit: W4 (BU), W5 (OG); blown: F1``."""
    by_kind: dict[str, list[str]] = {}
    for fault in faults[:MOST_NAMED]:
        words = "no fault" if fault.kind == NO_FAULT.kind else KINDS[fault.kind].words
        by_kind.setdefault(words, []).append(short_place(circuit, fault.place, words))
    told = [_kind_words(words, places) for words, places in by_kind.items()]
    if len(faults) > MOST_NAMED:
        told.append(f"{len(faults) - MOST_NAMED} more")
    return "; ".join(told)


def _kind_words(words: str, places: Sequence[str]) -> str:
    named = ", ".join(dict.fromkeys(place for place in places if place))
    first, _, others = words.partition(" ")
    if first in named.lower().split():  # a battery's flat, a fuse's of too low a rating
        words = others
    return f"{named} {words}" if named else words


def short_place(circuit: Circuit, place: str, words: str = "") -> str:
    """Return a fault's place as the drawing names it: ``W4 (BU)``, ``C1.2``, ``Bell relay``.

    The site within a part is left out where the words of the fault name it.
    """
    parts: Mapping[str, str] = {part.name: part.label for part in circuit.parts}
    ends = [
        circuit.wire_by_name[end].label
        if end in circuit.wire_by_name
        else _part_label(parts, end, words)
        for end in place.split("+")
    ]
    return " and ".join(ends)


def _part_label(parts: Mapping[str, str], end: str, words: str) -> str:
    name, _, site = end.partition(".")
    if name not in parts:
        return end
    if not site or site.split("_")[-1] in words:
        return parts[name]
    return f"{parts[name]} {site.replace('_', ' ')}"

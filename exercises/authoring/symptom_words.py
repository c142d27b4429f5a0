"""What a driver would notice of a faulty vehicle, as sentences for a complaint slip."""

from collections.abc import Iterator
from itertools import islice

from circuits.behaviour import observe
from circuits.model import Circuit, Fault, Vehicle
from circuits.spec import Seen
from exercises.plans.symptoms import switch_words, watched_settings

MOST_SENTENCES = 4
NOTHING = "Driver says that something is not right with it. Nothing was seen in the workshop."
"""The complaint where a vehicle, worked in every position, does what a sound one does."""


def suggested_complaint(circuit: Circuit, faults: tuple[Fault, ...]) -> str:
    """Return a complaint from what the faulty vehicle does otherwise than a sound one.

    It names parts and what is seen or heard of them, never the fault; each part is told of
    once, in the first setting that shows it.
    """
    return " ".join(islice(_sentences(circuit, faults), MOST_SENTENCES)) or NOTHING


def _sentences(circuit: Circuit, faults: tuple[Fault, ...]) -> Iterator[str]:
    known: set[str] = set()
    # what somebody switches on comes before what is there all the time
    for setting in sorted(watched_settings(circuit), key=lambda one: not one.positions):
        sound = {one.part: one for one in observe(Vehicle(circuit).with_setting(setting))}
        found = {one.part: one for one in observe(Vehicle(circuit, faults).with_setting(setting))}
        told = []
        for part in circuit.parts:
            here, usual = found.get(part.name), sound.get(part.name)
            if part.name not in known and _code(here) != _code(usual):
                known.add(part.name)
                words = here.words if here else f"{part.title}: nothing to be seen or heard"
                told.append(words.replace(": ", " ", 1))
        if told:
            lower = [words[0].lower() + words[1:] for words in told]
            yield f"{switch_words(circuit, setting)}: {', '.join(lower)}."


def _code(seen: Seen | None) -> str:
    return seen.code if seen else ""

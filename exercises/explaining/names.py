"""Faults named in passing, several at once: ``W4, W7 (open circuit) and fuse F1 (blown)``."""

from collections.abc import Iterable, Sequence

from circuits.faultkinds import CAVITIES, CAVITY, KINDS, WIRE, WIRES
from circuits.faults import fault_places
from circuits.model import Circuit, Fault
from exercises.evidence import NO_FAULT
from exercises.planning.live import PRIOR

MOST_NAMED = 6
"""Most faults that are named one by one; the others are counted."""


def fault_names(circuit: Circuit, faults: Sequence[Fault], *, most: int = MOST_NAMED) -> str:
    """Return the names of faults, likeliest kinds first, those of a kind together."""
    ordered = sorted(faults, key=lambda fault: -PRIOR.get(fault.kind, 1.0))
    if len(ordered) == most + 1:
        most += 1  # "and 1 more" is longer than a name
    named, more = ordered[:most], len(ordered) - most
    kinds = dict.fromkeys(fault.kind for fault in named)
    told = [_of_kind(circuit, kind, [f for f in named if f.kind == kind]) for kind in kinds]
    if more > 0:
        told.append(f"{more} more")
    return listed(told)


def listed(words: Sequence[str]) -> str:
    """Return words as a list in a sentence.

    >>> listed(["W4"]), listed(["W4", "W7"]), listed(["W4", "W7", "F1"])
    ('W4', 'W4 and W7', 'W4, W7 and F1')
    """
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]])) if words else ""


def _of_kind(circuit: Circuit, kind: str, faults: Iterable[Fault]) -> str:
    if kind == NO_FAULT.kind:
        return "no fault at all"
    places = ", ".join(short_place(circuit, fault.place) for fault in faults)
    return f"{places} ({KINDS[kind].words})"


def short_place(circuit: Circuit, place: str) -> str:
    """Return a place as one says it with the diagram at hand: ``W4``, ``bell relay's coil``."""
    found = next(each for each in fault_places(circuit) if each.name == place)
    if found.sort == WIRE:
        return place
    if found.sort == WIRES:
        return " and ".join(place.split("+"))
    if found.sort in {CAVITY, CAVITIES}:
        return found.title.partition(",")[0]
    part, _, site = found.title.partition(", ")
    name = part[:1].lower() + part[1:]
    of = "'" if name.endswith("s") else "'s"
    return f"{name}{of} {site}" if site else name

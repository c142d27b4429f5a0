"""What a learner can choose from when naming a fault and repairing it.

The menus hold every choice of the circuit in one order, so that they tell nothing.
"""

from dataclasses import dataclass

from circuits.faultkinds import KINDS, REPAIRS, repair_names
from circuits.faults import fault_places
from circuits.model import Circuit
from exercises.evidence import NO_FAULT

NO_FAULT_WORDS = "No fault: it works as designed"


@dataclass(frozen=True, slots=True)
class Choice:
    """One entry of a menu: its name, and the words shown for it."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class PlaceChoice:
    """A place of the fault menu with the kinds of fault that it can have."""

    name: str
    words: str
    kinds: tuple[Choice, ...]


def fault_menu(circuit: Circuit) -> tuple[PlaceChoice, ...]:
    """Return every place and kind that can be named, *no fault* last."""
    places = [
        PlaceChoice(place.name, place.title, tuple(Choice(k, KINDS[k].words) for k in place.kinds))
        for place in fault_places(circuit)
    ]
    none = Choice(NO_FAULT.kind, "works as designed")
    return (*places, PlaceChoice(NO_FAULT.place, NO_FAULT_WORDS, (none,)))


def repairs_at(circuit: Circuit, place: str) -> tuple[str, ...]:
    """Return the names of the repairs that can be done at a place."""
    for found in fault_places(circuit):
        if found.name == place:
            return repair_names(found.kinds, found.sort)
    return ("none",)


def repair_menu(circuit: Circuit, place: str) -> tuple[Choice, ...]:
    """Return the repairs that can be done at a place, with their words."""
    return tuple(Choice(name, REPAIRS[name].capitalize()) for name in repairs_at(circuit, place))

"""What an instructor wants of an exercise, before there is one."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from circuits.faultkinds import KINDS
from circuits.faults import FaultPlace, fault_places
from circuits.instruments import INSTRUMENTS, Instrument
from circuits.model import Circuit, Fault

DEEPEST_HINT = 3


@dataclass(frozen=True, slots=True)
class Wish:
    """What an exercise shall be.

    Attributes
    ----------
    faults : one or two, or none where the vehicle shall work as designed.
    complaint : empty for one from what the vehicle does.
    conditions : those under which a fault may show, as the complaint tells.
    hints : the deepest hint that is allowed, 0 for none.
    """

    faults: tuple[Fault, ...]
    complaint: str = ""
    skill: str = ""
    level: int = 2
    instruments: tuple[Instrument, ...] = INSTRUMENTS
    closed_places: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    hints: int = DEEPEST_HINT
    shows_expected: bool = False
    asks_suspects: bool = False
    asks_expected: bool = False


def kinds_in(circuit: Circuit) -> tuple[str, ...]:
    """Return the kinds of fault that a circuit can have, in the order of their list."""
    there = {kind for place in fault_places(circuit) for kind in place.kinds}
    return tuple(name for name in KINDS if name in there)


def places_for(circuit: Circuit, kind: str) -> tuple[FaultPlace, ...]:
    """Return the places of a circuit where a kind of fault can sit."""
    return tuple(place for place in fault_places(circuit) if kind in place.kinds)


def drawn_fault(circuit: Circuit, kind: str, random: Random, *, severity: float = 0.0) -> Fault:
    """Return a fault of a kind at a place that is drawn; of its usual severity for 0."""
    place = random.choice(places_for(circuit, kind))
    return Fault(place.name, kind, severity or KINDS[kind].usual)


def worse(fault: Fault) -> tuple[Fault, ...]:
    """Return a fault with each severity of its kind's grid; just itself where it has none."""
    grid: Sequence[float] = KINDS[fault.kind].grid
    return tuple(replace(fault, severity=severity) for severity in grid) or (fault,)

"""Which faults a circuit can have, how to name one, how to put one in."""

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from circuits.faultkinds import CAVITIES, CAVITY, KINDS, WIRE, WIRES, FaultKind
from circuits.model import Circuit, CircuitError, Connector, Fault, Vehicle
from circuits.points import nearest
from circuits.spec import Site, join

Condition = Literal["moved", "warm", "loaded"]

CONDITIONS = {
    "moved": "only when moved",
    "warm": "only when warm",
    "loaded": "only when loaded",
}
"""Conditions under which a fault shows, with their words."""

WIRE_KINDS = ("open", "high_resistance", "chafed", "shorted_to_feed")
HEAVY_WIRE_KINDS = ("poor_joint",)
"""What a cable for heavy currents can have besides."""
HEAVY_MM2 = 35.0
"""A wire of this area and more carries starters and winches: its lugs fail by milliohms
(common practice, no source)."""
CAVITY_KINDS = ("backed_out", "corroded", "spread")


@dataclass(frozen=True, slots=True)
class FaultPlace:
    """A place where faults can sit: its name, its words, the kinds it can have.

    ``sort`` is the trade's name for the part, or what else the place is.
    """

    name: str
    title: str
    kinds: tuple[str, ...]
    sort: str


@lru_cache(maxsize=64)
def fault_places(circuit: Circuit) -> tuple[FaultPlace, ...]:
    """Return every place of a circuit where a fault can sit, in the order of its file."""
    return (
        *_part_places(circuit),
        *_wire_places(circuit),
        *(p for c in circuit.connectors for p in _cavity_places(circuit, c)),
    )


def _part_places(circuit: Circuit) -> Iterator[FaultPlace]:
    for part in circuit.parts:
        for site in part.spec.sites():
            title = _site_title(part.title, site)
            yield FaultPlace(join(part.name, site.name), title, site.kinds, part.spec.sort)


def _site_title(title: str, site: Site) -> str:
    return f"{title}, {site.title}" if site.title else title


def _wire_places(circuit: Circuit) -> Iterator[FaultPlace]:
    live = circuit.node(circuit.live_wire)
    for wire in circuit.wires:
        ends = (circuit.node(wire.start), circuit.node(wire.end))
        kinds = tuple(k for k in WIRE_KINDS if k != "shorted_to_feed" or live not in ends)
        if wire.area_mm2 >= HEAVY_MM2:
            kinds += HEAVY_WIRE_KINDS
        title = f"Wire {wire.label}, {end_words(wire.start)} to {end_words(wire.end)}"
        yield FaultPlace(wire.name, title, kinds, WIRE)
    for bundle in circuit.bundles:
        for first, second in itertools.pairwise(bundle):
            labels = (circuit.wire_by_name[name].label for name in (first, second))
            title = f"Wires {' and '.join(labels)}"
            yield FaultPlace(f"{first}+{second}", title, ("touching",), WIRES)


def end_words(terminal: str) -> str:
    """Return the words for a wire's end.

    >>> end_words("C1.2"), end_words("F1.out"), end_words("IL.1@motor")
    ('C1.2', 'F1', 'IL.1')
    """
    head = terminal.partition("@")[0]
    name, dot, tail = head.partition(".")
    return head if dot and tail.isdigit() else name


def _cavity_places(circuit: Circuit, connector: Connector) -> Iterator[FaultPlace]:
    wired = {
        end for wire in circuit.wires for end in (circuit.node(wire.start), circuit.node(wire.end))
    }
    for number in connector.cavities():
        if connector.face(number, connector.faces[0]) in wired:
            label = connector.labels[number - 1].lower()
            title = f"{connector.name} cavity {number}, {label}"
            yield FaultPlace(f"{connector.name}.{number}", title, CAVITY_KINDS, CAVITY)
    for number in list(connector.cavities())[:-1]:
        name = f"{connector.name}.{number}+{connector.name}.{number + 1}"
        title = f"{connector.name} cavities {number} and {number + 1}"
        yield FaultPlace(name, title, ("swapped",), CAVITIES)


@lru_cache(maxsize=64)
def _places_by_name(circuit: Circuit) -> dict[str, FaultPlace]:
    return {place.name: place for place in fault_places(circuit)}


def all_faults(circuit: Circuit) -> tuple[Fault, ...]:
    """Return every fault of a circuit at its usual severity: one a place and kind."""
    return tuple(
        Fault(place.name, kind, KINDS[kind].usual)
        for place in fault_places(circuit)
        for kind in place.kinds
    )


def severities(fault: Fault) -> tuple[float, ...]:
    """Return the severities that stand for a kind in tables: its grid, or just 0."""
    return KINDS[fault.kind].grid or (0.0,)


def parse_fault(circuit: Circuit, text: str) -> Fault:
    """Return the fault that ``PLACE:KIND[:SEVERITY][@CONDITION]`` names.

    The site may be left out where only one site of the part can have the kind. The
    condition is ``moved``, ``warm`` or ``loaded``; without one the fault is always there.

    Raises
    ------
    CircuitError
        If the place, the kind or the severity is not one that the circuit can have.
    """
    head, at, when = text.partition("@")
    place, colon, rest = head.partition(":")
    kind, _, severity = rest.partition(":")
    if not colon or not kind:
        raise CircuitError(f"fault {text!r}: accepted: PLACE:KIND or PLACE:KIND:SEVERITY")
    if at and when not in CONDITIONS:
        raise CircuitError(f"fault {text}: condition {when!r}{nearest(when, CONDITIONS)}")
    where = _find_place(circuit, place, kind)
    return Fault(where.name, kind, _severity(text, KINDS[kind], severity), when)


def _find_place(circuit: Circuit, place: str, kind: str) -> FaultPlace:
    places = _places_by_name(circuit)
    within = [p for name, p in places.items() if name == place or name.startswith(f"{place}.")]
    if not within:
        raise CircuitError(
            f"fault {place}:{kind}: {circuit.name} has no place {place!r}{nearest(place, places)}"
        )
    fitting = [p for p in within if kind in p.kinds]
    if not fitting:
        kinds = dict.fromkeys(k for p in within for k in p.kinds)
        raise CircuitError(
            f"fault {place}:{kind}: {place} cannot have the fault {kind!r}{nearest(kind, kinds)}"
        )
    if len(fitting) > 1 and fitting[0].name != place:
        names = ", ".join(p.name for p in fitting)
        raise CircuitError(f"fault {place}:{kind}: several places fit; accepted: {names}")
    return fitting[0]


def _severity(text: str, kind: FaultKind, found: str) -> float:
    if not found:
        return kind.usual
    if not kind.grid:
        raise CircuitError(f"fault {text}: {kind.name} takes no severity; found {found!r}")
    try:
        value = float(found)
    except ValueError:
        value = float("nan")
    if not kind.low <= value <= kind.high:
        raise CircuitError(
            f"fault {text}: severity is {found!r}; "
            f"accepted: {kind.low:g} to {kind.high:g} {kind.unit}"
        )
    return value


def check_fault(circuit: Circuit, fault: Fault) -> Fault:
    """Return the fault if the circuit can have it.

    Raises
    ------
    CircuitError
        As ``parse_fault``.
    """
    tail = f":{fault.severity!r}" if KINDS.get(fault.kind, KINDS["open"]).grid else ""
    when = f"@{fault.when}" if fault.when else ""
    return parse_fault(circuit, f"{fault.place}:{fault.kind}{tail}{when}")


def with_faults(vehicle: Vehicle, faults: Iterable[Fault]) -> Vehicle:
    """Return the vehicle with these faults too.

    Raises
    ------
    CircuitError
        If the circuit cannot have one of them, or has one twice.
    """
    checked = tuple(check_fault(vehicle.circuit, fault) for fault in faults)
    every = (*vehicle.faults, *checked)
    spots = [(fault.place, fault.kind) for fault in every]
    for spot in spots:
        if spots.count(spot) > 1:
            raise CircuitError(f"fault {spot[0]}:{spot[1]}: named twice; accepted: once")
    return replace(vehicle, faults=every)


def describe(circuit: Circuit, fault: Fault) -> str:
    """Return a fault in words: ``Fuse F1: corroded, high resistance (2.5 Ω)``."""
    kind = KINDS[fault.kind]
    how_bad = f" ({fault.severity:g} {kind.unit})" if kind.grid else ""
    when = f", {CONDITIONS[fault.when]}" if fault.when else ""
    return f"{_places_by_name(circuit)[fault.place].title}: {kind.words}{how_bad}{when}"


def place_title(circuit: Circuit, place: str) -> str:
    """Return the words for a place where a fault can sit."""
    return _places_by_name(circuit)[place].title


def cures(fault: Fault, place: str, repair: str) -> bool:
    """Say whether a repair at a place puts a fault right."""
    owners = {fault.place, *fault.place.split("+")}
    same = place in owners or bool(owners & set(place.split("+")))
    return (same or _same_part(fault.place, place)) and repair in KINDS[fault.kind].cures


def share_a_cure(one: Fault, other: Fault) -> bool:
    """Say whether a repair that puts one fault right does so with the other as well."""
    if one.place == other.place:
        return True
    return any(cures(one, other.place, repair) for repair in KINDS[other.kind].cures)


def _same_part(one: str, other: str) -> bool:
    return one.partition(".")[0] == other.partition(".")[0] and not one.partition(".")[2].isdigit()

"""The elements of a vehicle in groups: those of each wire, each cavity, each part.

A sound group is built once for all vehicles of a circuit that are set alike; a fault puts
another one in its place. So a thousand faulty vehicles share nearly all that they are made of.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from circuits.laws import Ohmic
from circuits.model import Circuit, Setting, Vehicle, Wire
from circuits.parts.harness import LEAST_FAULT_OHM, cavity_ohm, middle_of, wire_elements
from circuits.parts.switching import Positioned
from circuits.points import cable_ends
from circuits.spec import Circumstance, Element, Spec, contact

Group = tuple[Element, ...]
FaultsAt = Mapping[str, tuple[tuple[str, str, float], ...]]
"""``(site, kind, severity)`` of the faults by the part, wire or cavity they sit in."""


@dataclass(frozen=True, slots=True)
class Order:
    """Where each wire's, cavity's and part's group stands; what all touching makes has one."""

    wire: Mapping[str, int]
    touching: int
    cavity: Mapping[str, int]
    part: Mapping[str, int]
    followers: Mapping[str, tuple[str, ...]]


@lru_cache(maxsize=64)
def order_of(circuit: Circuit) -> Order:
    """Return the order in which the groups of a circuit come: wires, touching, cavities, parts."""
    wires = {wire.name: number for number, wire in enumerate(circuit.wires)}
    cavities = {
        name: number
        for number, name in enumerate(
            (f"{c.name}.{n}" for c in circuit.connectors for n in c.cavities()), len(wires) + 1
        )
    }
    first = len(wires) + 1 + len(cavities)
    parts = {part.name: number for number, part in enumerate(circuit.parts, first)}
    leaders = {part.spec.follows() for part in circuit.parts} - {""}
    followers = {
        leader: tuple(part.name for part in circuit.parts if part.spec.follows() == leader)
        for leader in leaders
    }
    return Order(wires, len(wires), cavities, parts, followers)


@dataclass(frozen=True, slots=True)
class Sound:
    """A sound vehicle in one setting, every part at rest: what bears on each, its groups."""

    at: Mapping[str, Circumstance]
    groups: tuple[Group, ...]


@lru_cache(maxsize=1024)
def sound_of(
    circuit: Circuit, setting: Setting, celsius: tuple[tuple[str, float], ...], ambient: float
) -> Sound:
    """Return the sound vehicle of a circuit in a setting without jumper leads."""
    vehicle = Vehicle(circuit, (), setting, celsius=celsius, ambient=ambient)
    at = {part.name: usual_circumstance(vehicle, part.name, part.spec) for part in circuit.parts}
    groups = (
        *(wire_group(vehicle, wire, {}, {}) for wire in circuit.wires),
        (),
        *(cavity_group(vehicle, cavity, {}) for cavity in order_of(circuit).cavity),
        *(part_group(circuit, name, here) for name, here in at.items()),
    )
    return Sound(at, groups)


def usual_circumstance(vehicle: Vehicle, name: str, spec: Spec) -> Circumstance:
    """Return what bears on a sound part at rest."""
    setting = vehicle.setting
    rests = spec.rests if isinstance(spec, Positioned) else ""
    return Circumstance(
        position=setting.position(name, rests) if rests else "",
        pulled=name in setting.pulled,
        moment=setting.moment,
        celsius=vehicle.temperature(name),
        moved=setting.moved == name,
    )


def struck_wires(circuit: Circuit, faults: FaultsAt, swapped: Mapping[str, str]) -> Iterator[Wire]:
    """Yield the wires that have a fault, or an end in a cavity that is swapped."""
    for owner in faults:
        if owner in circuit.wire_by_name:
            yield circuit.wire_by_name[owner]
    if swapped:
        for wire in circuit.wires:
            if circuit.node(wire.start) in swapped or circuit.node(wire.end) in swapped:
                yield wire


def wire_group(vehicle: Vehicle, wire: Wire, faults: FaultsAt, swapped: Mapping[str, str]) -> Group:
    """Return the elements of a wire; ``swapped`` says which ends sit in another's cavity."""
    circuit = vehicle.circuit
    start, end = circuit.node(wire.start), circuit.node(wire.end)
    if vehicle.setting.isolated:
        lifted = cable_ends(circuit)
        start, end = lifted.get(start, start), lifted.get(end, end)
    at = Circumstance(faults=faults.get(wire.name, ()), celsius=vehicle.temperature(wire.name))
    return _plain_wire(circuit, wire, at, (swapped.get(start, start), swapped.get(end, end)))


def cavity_group(vehicle: Vehicle, name: str, faults: FaultsAt) -> Group:
    """Return the element of a mated cavity, none where the connector is unmated."""
    setting = vehicle.setting
    head, _, number = name.rpartition(".")
    connector = vehicle.circuit.connector_by_name[head]
    if head in setting.unmated:
        return ()
    at = Circumstance(faults=faults.get(name, ()), moved=setting.moved == head)
    wired, other = (connector.face(int(number), face) for face in connector.faces)
    return _cavity(name, wired, other, at)


@lru_cache(maxsize=65536)
def _cavity(name: str, wired: str, other: str, at: Circumstance) -> tuple[Element, ...]:
    ohm = cavity_ohm(at)
    return () if ohm is None else (contact(name, wired, other, ohm),)


@lru_cache(maxsize=65536)
def part_group(circuit: Circuit, name: str, at: Circumstance) -> Group:
    """Return the elements of a part, with their ends mapped to nodes."""
    elements = circuit.part_by_name[name].spec.elements(name, at)
    return tuple(replace(e, a=circuit.node(e.a), b=circuit.node(e.b)) for e in elements)


@lru_cache(maxsize=65536)
def _plain_wire(
    circuit: Circuit, wire: Wire, at: Circumstance, ends: tuple[str, str]
) -> tuple[Element, ...]:
    return wire_elements(
        wire.name,
        ends,
        area_mm2=wire.area_mm2,
        length_m=wire.length_m,
        feed=circuit.node(circuit.live_wire),
        at=at,
    )


def touching_group(faults: FaultsAt) -> Iterator[Element]:
    """Yield what joins wires that touch."""
    for owner, found in faults.items():
        first, plus, second = owner.partition("+")
        for _, kind, ohm in found:
            if plus and kind == "touching":
                law = Ohmic(max(ohm, LEAST_FAULT_OHM))
                yield Element(owner, middle_of(first), middle_of(second), law)


def swapped_cavities(circuit: Circuit, faults: FaultsAt) -> Mapping[str, str]:
    """Return the node that stands in place of another where wires are in swapped cavities."""
    swaps: dict[str, str] = {}
    for owner, found in faults.items():
        if any(kind == "swapped" for _, kind, _ in found):
            one, other = (circuit.node(cavity) for cavity in owner.split("+"))
            swaps |= {one: other, other: one}
    return swaps

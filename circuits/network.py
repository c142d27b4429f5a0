"""From a vehicle as it stands to the elements of its network."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import networkx as nx

from circuits.laws import Ohmic
from circuits.model import Circuit, CircuitError, Fault, Jumper, Vehicle, Wire
from circuits.parts.gear import FusedLead
from circuits.parts.harness import LEAST_FAULT_OHM, cavity_ohm, middle_of, wire_elements
from circuits.parts.supply import Battery
from circuits.parts.switching import Positioned
from circuits.points import find_point, test_points
from circuits.spec import BODY, REST, Circumstance, Element, Memory, Spec, contact, join

JUMPER_FUSE_A = 10.0
JUMPER_OHM = 0.03

FaultsAt = Mapping[str, tuple[tuple[str, str, float], ...]]


@dataclass(frozen=True, slots=True)
class Attached:
    """Something connected to the vehicle: its name, what it is, the nodes of its terminals."""

    name: str
    spec: Spec
    nodes: tuple[str, ...]


def jumpers(vehicle: Vehicle) -> tuple[Attached, ...]:
    """Return the jumper leads of a vehicle's setting as attached parts.

    Raises
    ------
    CircuitError
        If an end is no test point, is not exposed, or both ends are on one.
    """
    return tuple(
        _jumper(vehicle, number, lead)
        for number, lead in enumerate(vehicle.setting.jumpers, start=1)
    )


def _jumper(vehicle: Vehicle, number: int, lead: Jumper) -> Attached:
    ends = tuple(
        find_point(vehicle.circuit, vehicle.setting, end).node for end in (lead.start, lead.end)
    )
    if ends[0] == ends[1]:
        raise CircuitError(
            f"jumper {number}: both ends are on {lead.start}; accepted: two different points"
        )
    return Attached(f"jumper{number}", FusedLead(JUMPER_FUSE_A, JUMPER_OHM), ends)


class Network:
    """The elements of one vehicle, given the discrete state of its parts.

    Attributes
    ----------
    owners : names of the parts and attached gear that can change their state.
    """

    def __init__(self, vehicle: Vehicle, attached: Sequence[Attached] = ()) -> None:
        self.vehicle = vehicle
        self.attached = (*jumpers(vehicle), *attached)
        self._faults = faults_by_owner(vehicle)
        self._nodes = {
            join(gear.name, terminal): node
            for gear in self.attached
            for terminal, node in zip(gear.spec.terminals(), gear.nodes, strict=True)
        }
        self._harness = self._harness_elements()

    def node(self, terminal: str) -> str:
        """Return the node of a terminal of the circuit or of attached gear."""
        return self._nodes.get(terminal) or self.vehicle.circuit.node(terminal)

    def settling(self) -> Iterator[tuple[str, Spec]]:
        """Yield the parts and the attached things that can change their state, by name."""
        yield from _settling(self.vehicle.circuit)
        for gear in self.attached:
            if type(gear.spec).settle is not Spec.settle:
                yield gear.name, gear.spec

    def circumstance(
        self, name: str, spec: Spec, memory: Memory = REST, linked: Memory = REST
    ) -> Circumstance:
        """Return all that bears on one part; ``linked`` is the state of the part it follows."""
        setting = self.vehicle.setting
        rests = spec.rests if isinstance(spec, Positioned) else ""
        return Circumstance(
            position=setting.position(name, rests) if rests else "",
            pulled=name in setting.pulled,
            faults=self._faults.get(name, ()),
            memory=memory,
            linked=linked,
            moment=setting.moment,
            celsius=self.vehicle.temperature(name),
            moved=setting.moved == name,
        )

    def elements(self, memory: Mapping[str, Memory]) -> tuple[Element, ...]:
        """Return all elements, with their ends mapped to nodes."""
        found = list(self._harness)
        for part in self.vehicle.circuit.parts:
            own, linked = (memory.get(n, REST) for n in (part.name, part.spec.follows()))
            at = self.circumstance(part.name, part.spec, own, linked)
            found += _part_elements(self.vehicle.circuit, part.name, at)
        for gear in self.attached:
            at = Circumstance(memory=memory.get(gear.name, REST))
            found += (
                replace(e, a=self.node(e.a), b=self.node(e.b))
                for e in gear.spec.elements(gear.name, at)
            )
        return tuple(found)

    def _harness_elements(self) -> tuple[Element, ...]:
        circuit, setting = self.vehicle.circuit, self.vehicle.setting
        own = tuple(
            (owner, found)
            for owner, found in self._faults.items()
            if owner not in circuit.part_by_name
        )
        wires = tuple(pair for pair in self.vehicle.celsius if pair[0] in circuit.wire_by_name)
        usual = self.vehicle.temperature("")
        return _harness(
            circuit, setting.unmated, setting.isolated, setting.moved, own, (wires, usual)
        )


_OwnFaults = tuple[tuple[str, tuple[tuple[str, str, float], ...]], ...]
_Warmth = tuple[tuple[tuple[str, float], ...], float]


@lru_cache(maxsize=8192)
def _harness(
    circuit: Circuit,
    unmated: frozenset[str],
    isolated: bool,
    moved: str,
    own: _OwnFaults,
    warmth: _Warmth,
) -> tuple[Element, ...]:
    """Return the elements of the wires and the mated cavities."""
    faults = dict(own)
    return (
        *_wires(circuit, isolated, faults, warmth),
        *_touching(faults),
        *_cavities(circuit, unmated, moved, faults),
    )


def _wires(
    circuit: Circuit, isolated: bool, faults: FaultsAt, warmth: _Warmth
) -> Iterator[Element]:
    lifted = lifted_posts(circuit) if isolated else frozenset()
    swapped = _swapped_cavities(circuit, faults)
    celsius, usual = dict(warmth[0]), warmth[1]
    for wire in circuit.wires:
        if wire.start not in lifted and wire.end not in lifted:
            at = Circumstance(
                faults=faults.get(wire.name, ()), celsius=celsius.get(wire.name, usual)
            )
            yield from _wire(circuit, wire, at, swapped)


def _cavities(
    circuit: Circuit, unmated: frozenset[str], moved: str, faults: FaultsAt
) -> Iterator[Element]:
    for connector in circuit.connectors:
        if connector.name in unmated:
            continue
        for number in connector.cavities():
            name = f"{connector.name}.{number}"
            at = Circumstance(faults=faults.get(name, ()), moved=moved == connector.name)
            wired, other = (connector.face(number, face) for face in connector.faces)
            yield from _cavity(name, wired, other, at)


@lru_cache(maxsize=65536)
def _cavity(name: str, wired: str, other: str, at: Circumstance) -> tuple[Element, ...]:
    ohm = cavity_ohm(at)
    return () if ohm is None else (contact(name, wired, other, ohm),)


@lru_cache(maxsize=64)
def _settling(circuit: Circuit) -> tuple[tuple[str, Spec], ...]:
    return tuple(
        (part.name, part.spec)
        for part in circuit.parts
        if type(part.spec).settle is not Spec.settle
    )


@lru_cache(maxsize=65536)
def _part_elements(circuit: Circuit, name: str, at: Circumstance) -> tuple[Element, ...]:
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


def _wire(
    circuit: Circuit, wire: Wire, at: Circumstance, swapped: Mapping[str, str]
) -> tuple[Element, ...]:
    start, end = circuit.node(wire.start), circuit.node(wire.end)
    return _plain_wire(circuit, wire, at, (swapped.get(start, start), swapped.get(end, end)))


def _touching(faults: FaultsAt) -> Iterator[Element]:
    for owner, found in faults.items():
        first, plus, second = owner.partition("+")
        for _, kind, ohm in found:
            if plus and kind == "touching":
                law = Ohmic(max(ohm, LEAST_FAULT_OHM))
                yield Element(owner, middle_of(first), middle_of(second), law)


def _swapped_cavities(circuit: Circuit, faults: FaultsAt) -> Mapping[str, str]:
    swaps: dict[str, str] = {}
    for owner, found in faults.items():
        if any(kind == "swapped" for _, kind, _ in found):
            one, other = (circuit.node(cavity) for cavity in owner.split("+"))
            swaps |= {one: other, other: one}
    return swaps


def lifted_posts(circuit: Circuit) -> frozenset[str]:
    """Return the terminals whose wires come off when the battery is isolated."""
    return frozenset(
        join(part.name, "neg") for part in circuit.parts if isinstance(part.spec, Battery)
    )


def faults_by_owner(vehicle: Vehicle) -> FaultsAt:
    """Return ``(site, kind, severity)`` of the faults by the part, wire or cavity they sit in."""
    found: dict[str, tuple[tuple[str, str, float], ...]] = {}
    for fault in vehicle.faults:
        if not shows(vehicle, fault):
            continue
        owner, site = split_place(vehicle.circuit, fault.place)
        found[owner] = (*found.get(owner, ()), (site, fault.kind, fault.severity))
        if fault.kind == "touching":
            for wire in fault.place.split("+"):
                found[wire] = (*found.get(wire, ()), ("", "touching", fault.severity))
    return found


def shows(vehicle: Vehicle, fault: Fault) -> bool:
    """Say whether the condition of a fault holds in the vehicle's setting."""
    setting = vehicle.setting
    match fault.when:
        case "moved":
            owners = split_place(vehicle.circuit, fault.place)[0].split("+")
            return any(setting.moved in _moved_with(vehicle.circuit, owner) for owner in owners)
        case "warm":
            return setting.warm
        case "loaded":
            return setting.moment != "at_rest" or bool(setting.positions)
        case _:
            return True


def _moved_with(circuit: Circuit, owner: str) -> frozenset[str]:
    """Return what one can wiggle to move a part, a wire or a cavity."""
    names = {owner, owner.partition(".")[0]}
    wire = circuit.wire_by_name.get(owner)
    if wire is not None:
        ends = (end.partition(".")[0] for end in (wire.start, wire.end))
        names |= {end for end in ends if end in circuit.connector_by_name}
    return frozenset(names)


def split_place(circuit: Circuit, place: str) -> tuple[str, str]:
    """Return the owner and the site of a fault's place.

    ``left_motor.winding`` is a site of a part; ``C1.4`` is a cavity, its own owner.
    """
    head, _, tail = place.partition(".")
    if head in circuit.part_by_name and "+" not in place:
        return head, tail
    return place, ""


def network_graph(vehicle: Vehicle, elements: Iterable[Element]) -> "nx.MultiGraph[str]":
    """Return the network as a graph: nodes of the circuit, an edge an element.

    Every test point is a node, joined or not. Edges are keyed by the element's name and
    carry its ``law``.
    """
    graph: nx.MultiGraph[str] = nx.MultiGraph(name=vehicle.circuit.name)
    graph.add_node(BODY)
    graph.add_nodes_from(point.node for point in test_points(vehicle.circuit))
    for element in elements:
        graph.add_edge(element.a, element.b, key=element.name, law=element.law, element=element)
    return graph

"""From a vehicle as it stands to the elements of its network."""

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import networkx as nx

from circuits.groups import (
    FaultsAt,
    Group,
    cavity_group,
    order_of,
    part_group,
    sound_of,
    struck_wires,
    swapped_cavities,
    touching_group,
    usual_circumstance,
    wire_group,
)
from circuits.model import Circuit, CircuitError, Fault, Jumper, Setting, Vehicle
from circuits.parts.gear import FusedLead
from circuits.points import find_point, test_points
from circuits.spec import BODY, REST, Circumstance, Element, Memory, Spec, join

JUMPER_FUSE_A = 10.0
JUMPER_OHM = 0.03


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
    if not vehicle.setting.jumpers:
        return ()
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
    """The elements of one vehicle, given the discrete state of its parts."""

    def __init__(self, vehicle: Vehicle, attached: Sequence[Attached] = ()) -> None:
        self.vehicle = vehicle
        self.attached = (*jumpers(vehicle), *attached)
        self._faults = faults_by_owner(vehicle)
        self._nodes = {
            join(gear.name, terminal): node
            for gear in self.attached
            for terminal, node in zip(gear.spec.terminals(), gear.nodes, strict=True)
        }
        self._sound = sound_of(
            vehicle.circuit, _without_jumpers(vehicle.setting), vehicle.celsius, vehicle.ambient
        )
        self._order = order_of(vehicle.circuit)
        self._groups = self._with_faults()

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
        sound = self._sound.at.get(name) or usual_circumstance(self.vehicle, name, spec)
        faults = self._faults.get(name, ())
        if not (faults or memory or linked):
            return sound
        return Circumstance(
            position=sound.position,
            pulled=sound.pulled,
            faults=faults,
            memory=memory,
            linked=linked,
            moment=sound.moment,
            celsius=sound.celsius,
            moved=sound.moved,
        )

    def elements(self, memory: Mapping[str, Memory]) -> tuple[Element, ...]:
        """Return all elements, with their ends mapped to nodes."""
        return tuple(itertools.chain.from_iterable(self.groups(memory)))

    def groups(self, memory: Mapping[str, Memory]) -> tuple[Group, ...]:
        """Return all elements in groups: of each wire, cavity and part, always in one order.

        What is sound is the same object in every vehicle that is set alike.
        """
        circuit, order = self.vehicle.circuit, self._order
        found = list(self._groups)
        remembering = [name for name, flags in memory.items() if flags and name in order.part]
        followers = [name for leader in remembering for name in order.followers.get(leader, ())]
        for name in (*remembering, *followers):
            spec = circuit.part_by_name[name].spec
            own, linked = (memory.get(n, REST) for n in (name, spec.follows()))
            at = self.circumstance(name, spec, own, linked)
            found[order.part[name]] = part_group(circuit, name, at)
        for gear in self.attached:
            at = Circumstance(memory=memory.get(gear.name, REST))
            found.append(_attached_elements(gear, at))
        return tuple(found)

    def _with_faults(self) -> list[Group]:
        """Return the groups with every part at rest."""
        circuit, order = self.vehicle.circuit, self._order
        found = list(self._sound.groups)
        if not self._faults:
            return found
        found[order.touching] = tuple(touching_group(self._faults))
        swapped = swapped_cavities(circuit, self._faults)
        for wire in struck_wires(circuit, self._faults, swapped):
            found[order.wire[wire.name]] = wire_group(self.vehicle, wire, self._faults, swapped)
        for owner in self._faults:
            if owner in order.part:
                part = circuit.part_by_name[owner]
                at = self.circumstance(owner, part.spec)
                found[order.part[owner]] = part_group(circuit, owner, at)
            elif owner in order.cavity:
                found[order.cavity[owner]] = cavity_group(self.vehicle, owner, self._faults)
        return found


@lru_cache(maxsize=4096)
def _attached_elements(gear: Attached, at: Circumstance) -> Group:
    nodes = {
        join(gear.name, terminal): node
        for terminal, node in zip(gear.spec.terminals(), gear.nodes, strict=True)
    }
    return tuple(
        replace(e, a=nodes.get(e.a, e.a), b=nodes.get(e.b, e.b))
        for e in gear.spec.elements(gear.name, at)
    )


def _without_jumpers(setting: Setting) -> Setting:
    return replace(setting, jumpers=()) if setting.jumpers else setting


@lru_cache(maxsize=64)
def _settling(circuit: Circuit) -> tuple[tuple[str, Spec], ...]:
    return tuple(
        (part.name, part.spec)
        for part in circuit.parts
        if type(part.spec).settle is not Spec.settle
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

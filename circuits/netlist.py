"""A vehicle as it stands, as a deck that a SPICE simulator solves by itself.

The deck holds the settled network: what remembers (relay, fuse, controller logic) is
written in the state it came to rest in. Laws are given the simulator's own way, a diode
by its model, a motor by its winding and its back EMF, so that its answer owes nothing to
ours.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from circuits.laws import FILAMENT_BEND, LEAST_OHM, MOST_OHM, Armature, Filament, Junction, Ohmic
from circuits.model import State, Vehicle
from circuits.spec import BODY, Element

DIODE_LEAK_OHM = 1e8
PIN_OHM = 1.0
THERMAL_VOLT = 0.0258649
"""kT/q at 27 degrees C, the simulator's usual temperature."""

OPTIONS = (
    ".options reltol=1e-7 abstol=1e-13 vntol=1e-9 gmin=1e-15 itl1=500 temp=27 tnom=27 rshunt=1e14"
)
"""The shunt from every node to the body lets the simulator find what hangs on a diode's leak."""

LEAST_DRAG = 1e-9

QUIT = "quit"
"""Ends the simulator, which would else complain that the deck asks for nothing."""


def netlist(vehicle: Vehicle, state: State | None = None) -> str:
    """Return a deck that ``ngspice -b`` runs as it is and that prints every node's volts.

    ``state`` is the vehicle's solved state where the caller has it already.

    Raises
    ------
    CircuitError
        If a jumper lead of the setting cannot be where it is said to be.
    """
    from circuits.network import Network  # noqa: PLC0415  (slow to import)
    from circuits.operate import solve  # noqa: PLC0415

    state = state or solve(vehicle)
    elements = Network(vehicle).elements(state.memory)
    return deck(f"{vehicle.circuit.name}: {vehicle.circuit.title}", elements)


def deck(title: str, elements: Iterable[Element], notes: Sequence[str] = ()) -> str:
    """Return the deck of a network: title, notes and node names in comments, branches."""
    present = conducting(elements)
    number = node_numbers(present)
    lines = [
        f"* {title}",
        *(f"* {note}" for note in notes),
        "* nodes (volts are against the body, node 0):",
        *(f"*   {spice_node(at):<5} {name}" for name, at in number.items()),
        OPTIONS,
        *branches(present, number),
        *pins(present, number),
        ".control",
        "set numdgt=12",
        "op",
        "print all",
        QUIT,
        ".endc",
        ".end",
    ]
    return "\n".join(lines) + "\n"


def conducting(elements: Iterable[Element]) -> tuple[Element, ...]:
    """Return the elements that carry current: a resistance beyond the greatest is absent."""
    return tuple(e for e in elements if not isinstance(e.law, Ohmic) or e.law.ohm <= MOST_OHM)


def node_numbers(elements: Iterable[Element]) -> dict[str, int]:
    """Return a number for each node, 0 for the body, in the order in which they come."""
    number = {BODY: 0}
    for element in elements:
        for node in (element.a, element.b):
            number.setdefault(node, len(number))
    return number


def spice_node(number: int) -> str:
    """Return a node's name in the deck."""
    return f"n{number}" if number else "0"


def branches(elements: Iterable[Element], number: Mapping[str, int]) -> Iterator[str]:
    """Yield the lines of each element, its name beside them as a comment."""
    for at, element in enumerate(elements, start=1):
        a, b = spice_node(number[element.a]), spice_node(number[element.b])
        yield f"* {element.name}: {element.a} to {element.b}"
        yield from _branch(f"e{at}", a, b, element.law)


def _branch(
    name: str, a: str, b: str, law: Ohmic | Filament | Junction | Armature
) -> tuple[str, ...]:
    match law:
        case Ohmic(ohm, emf):
            return _ohmic(name, a, b, ohm, emf)
        case Filament(hot, rated, cold, exponent):
            floor, bend = cold**FILAMENT_BEND, FILAMENT_BEND
            # The little added keeps the slope finite at 0 V.
            warmth = f"{1 - floor!r}*pow((abs(v({a},{b}))+1e-12)/{rated!r},{bend * exponent!r})"
            through = f"{hot!r}*pow({floor!r}+{warmth},{1 / bend!r})"
            return (f"B{name} {a} {b} I=v({a},{b})/({through})",)
        case Junction(saturation, thermal, series):
            ideality = thermal / THERMAL_VOLT
            return (
                f"D{name} {a} {b} M{name}",
                f".model M{name} D(IS={saturation!r} N={ideality!r} RS={series!r})",
                f"R{name} {a} {b} {DIODE_LEAK_OHM!r}",
            )
        case Armature():
            return _armature(name, a, b, law)


def _ohmic(name: str, a: str, b: str, ohm: float, emf: float) -> tuple[str, ...]:
    ohm = max(ohm, LEAST_OHM)
    if not emf:
        return (f"R{name} {a} {b} {ohm!r}",)
    return (f"R{name} {a} {name}i {ohm!r}", f"V{name} {name}i {b} DC {emf!r}")


def _armature(name: str, a: str, b: str, law: Armature) -> tuple[str, ...]:
    """Return winding, current sense and back EMF, which rises once the torque beats friction."""
    ohm = max(law.ohm, LEAST_OHM)
    if law.stalled:
        return (f"R{name} {a} {b} {ohm!r}",)
    torque, friction = f"{law.k!r}*i(V{name})", law.friction_nm
    surplus = f"{torque}-max({-friction!r},min({friction!r},{torque}))"
    per_torque = law.k / max(law.drag, LEAST_DRAG)
    return (
        f"R{name} {a} {name}i {ohm!r}",
        f"V{name} {name}i {name}j DC 0",
        f"B{name} {name}j {b} V={per_torque!r}*({surplus})",
    )


def pins(elements: Iterable[Element], number: Mapping[str, int]) -> Iterator[str]:
    """Yield a resistor to the body for each island of nodes with no path to it.

    An island carries no net current, so its pin biases nothing.
    """
    for count, island in enumerate(islands(elements, number), start=1):
        if BODY not in island:
            yield f"Rpin{count} {spice_node(number[island[0]])} 0 {PIN_OHM!r}"


def islands(elements: Iterable[Element], nodes: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """Return the nodes in groups that elements join, each in the order given."""
    head = {node: node for node in nodes}

    def find(node: str) -> str:
        while head[node] != node:
            head[node] = node = head[head[node]]
        return node

    for element in elements:
        head[find(element.b)] = find(element.a)
    groups: dict[str, list[str]] = {}
    for node in head:
        groups.setdefault(find(node), []).append(node)
    return tuple(tuple(group) for group in groups.values())

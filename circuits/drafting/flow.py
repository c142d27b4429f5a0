"""Flow: which way the wires run, from the feed to the load."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from circuits.model import Circuit, Connector
from circuits.spec import BODY, join


@dataclass(frozen=True, slots=True)
class Flow:
    """Which way each terminal's wires run: positive where they leave it for the load."""

    circuit: Circuit
    by_node: Mapping[str, int]

    def of(self, part: str, *pins: str) -> int:
        """Return the sum over some pins of a part."""
        return sum(self.by_node.get(wired_node(self.circuit, join(part, p)), 0) for p in pins)


def wired_node(circuit: Circuit, terminal: str) -> str:
    """Return the node under which wires name a terminal: a cavity's first face."""
    node = circuit.node(terminal)
    cavity, _, face = node.partition("@")
    connector = circuit.connector_by_name.get(cavity.partition(".")[0])
    if face and connector and connector.part:
        return f"{cavity}@{connector.faces[0]}"
    return node


SOURCES = ("pos", "out")
SINKS = ("in",)
"""Terminals that tell which way a wire runs; a relay's or a diode's can be used both ways."""


def flow_of(circuit: Circuit) -> Flow:
    """Return which way the wires run, by the file's order unless the terminals know better.

    A wire that starts at a ground point or at a fuse's load side is turned to suit.
    """
    flow: dict[str, int] = {}
    for start, end in oriented_wires(circuit):
        flow[start] = flow.get(start, 0) + 1
        flow[end] = flow.get(end, 0) - 1
    return Flow(circuit, flow)


def oriented_wires(circuit: Circuit) -> Iterator[tuple[str, str]]:
    """Yield each wire's nodes, the one nearer the feed first, in the file's order."""
    for wire in circuit.wires:
        start, end = (wired_node(circuit, t) for t in (wire.start, wire.end))
        lean = _lean(circuit, wire.start) - _lean(circuit, wire.end)
        yield (end, start) if lean < 0 else (start, end)


def _lean(circuit: Circuit, terminal: str) -> int:
    """Return how surely a terminal is the feed end of its wires, from -2 to 2."""
    head, _, pin = terminal.partition(".")
    part = circuit.part_by_name.get(head)
    if terminal == BODY or (part and part.spec.sort == "ground point"):
        return -2
    if not part:
        return 0
    if pin == "pos":
        return 2
    return (pin in SOURCES) - (pin in SINKS)


def grounded(circuit: Circuit, node: str) -> bool:
    """Say whether a node is a ground point or the body."""
    part = circuit.part_by_name.get(node)
    return node == BODY or (part is not None and part.spec.sort == "ground point")


def cavity_of(circuit: Circuit, node: str) -> tuple[Connector | None, int]:
    """Return the connector and the cavity's number of a node, (None, 0) if it is none."""
    head, _, rest = node.partition(".")
    connector = circuit.connector_by_name.get(head)
    number = rest.partition("@")[0]
    return (connector, int(number)) if connector and number.isdigit() else (None, 0)

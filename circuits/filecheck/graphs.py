"""Graphs of a circuit: what its wires join, and what conducts like a wire.

They are ``networkx`` multigraphs of nodes as ``Circuit.node`` names them; the key of an edge
is the name of the wire, cavity or part that joins its ends.
"""

from collections.abc import Iterable, Iterator
from itertools import chain, pairwise

import networkx as nx

from circuits.filecheck.draft import cut
from circuits.laws import Ohmic
from circuits.model import Circuit, Part
from circuits.spec import BODY, CONTACT_OHM, Circumstance, Element, join

CONDUCTS_OHM = 5 * CONTACT_OHM
"""A part of no more ohms than this is a joint or contact; of more, a load."""


def batteries_of(circuit: Circuit) -> list[str]:
    """Return the names of the batteries."""
    return [part.name for part in circuit.parts if part.spec.sort == "battery"]


def posts_of(circuit: Circuit, battery: str) -> tuple[str, str]:
    """Return the nodes of a battery's posts, positive first."""
    return circuit.node(join(battery, "pos")), circuit.node(join(battery, "neg"))


def fuses_of(circuit: Circuit) -> set[str]:
    """Return the names of the fuses."""
    return {part.name for part in circuit.parts if part.spec.sort == "fuse"}


def settings_of(circuit: Circuit) -> Iterator[list[Element]]:
    """Yield the elements of all parts as found, then with each switch in each position."""
    found = {
        part.name: part.spec.elements(part.name, Circumstance(position=rests))
        for part in circuit.parts
        for rests in [getattr(part.spec, "rests", "")]
    }
    yield list(chain.from_iterable(found.values()))
    for part in circuit.parts:
        for position in getattr(part.spec, "positions", ()):
            moved = part.spec.elements(part.name, Circumstance(position=position))
            yield list(chain.from_iterable({**found, part.name: moved}.values()))


def possible_elements(part: Part) -> tuple[Element, ...]:
    """Return the elements of a part in any position and any memory."""
    positions = ("", *getattr(part.spec, "positions", ()))
    memories = (frozenset[str](), *(frozenset({flag}) for flag in part.spec.memory_flags))
    return tuple(
        element
        for position in positions
        for memory in memories
        for element in part.spec.elements(part.name, Circumstance(position, memory=memory))
    )


def harness_graph(circuit: Circuit) -> "nx.MultiGraph[str]":
    """Return the graph of wires and mated cavities."""
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    graph.add_node(BODY)
    for wire in circuit.wires:
        graph.add_edge(circuit.node(wire.start), circuit.node(wire.end), key=wire.name)
    for connector in circuit.connectors:
        for number in connector.cavities():
            first, second = (connector.face(number, face) for face in connector.faces)
            graph.add_edge(first, second, key=f"{connector.name}.{number}")
    return graph


def conductor_graph(circuit: Circuit, elements: Iterable[Element]) -> "nx.MultiGraph[str]":
    """Return the graph of wires, cavities, fuses and whatever else is no load."""
    graph = harness_graph(circuit)
    fuses = fuses_of(circuit)
    for element in elements:
        law = element.law
        joint = isinstance(law, Ohmic) and law.emf == 0 and law.ohm <= CONDUCTS_OHM
        if joint or element.name in fuses:
            name = element.name.partition(".")[0]
            graph.add_edge(circuit.node(element.a), circuit.node(element.b), key=name)
    return graph


def join_all(graph: "nx.MultiGraph[str]", nodes: list[str], name: str) -> None:
    """Join nodes in a row, adding those that the graph lacks."""
    graph.add_nodes_from(nodes)
    for a, b in pairwise(nodes):
        graph.add_edge(a, b, key=name)


def path_between(graph: "nx.MultiGraph[str]", start: str, end: str) -> list[str]:
    """Return the names of what joins two nodes, by the shortest way; empty for no way."""
    if start not in graph or end not in graph or not nx.has_path(graph, start, end):
        return []
    nodes = nx.shortest_path(graph, start, end)
    return list(dict.fromkeys(next(iter(graph[a][b])) for a, b in pairwise(nodes)))


def listed(names: Iterable[str]) -> str:
    """Return names as a sentence lists them.

    >>> listed(["W1", "F1", "W2"])
    'W1, F1 and W2'
    """
    names = list(names)
    shown = names if len(names) <= 12 else [*names[:12], f"{len(names) - 12} more"]
    if len(shown) == 1:
        return cut(shown[0])
    return f"{', '.join(shown[:-1])} and {shown[-1]}"

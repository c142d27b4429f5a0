"""What a circuit's wires join: no loose ends, no floating islands, a ground, no dead short.

The graphs are ``networkx`` multigraphs of nodes as ``Circuit.node`` names them; the key of
an edge is the name of the wire, cavity or part that joins its ends.
"""

from collections.abc import Iterable, Iterator
from itertools import chain, pairwise

import networkx as nx

from circuits.filecheck.draft import Draft, cut
from circuits.laws import Ohmic
from circuits.model import Circuit, Part
from circuits.spec import BODY, CONTACT_OHM, Circumstance, Element, join

SPARE = "spare"
"""A cavity whose label begins so may have no wire."""

CONDUCTS_OHM = 5 * CONTACT_OHM
"""A part of no more ohms than this is a joint or contact; of more, a load."""


def graph_problems(draft: Draft) -> Iterator[str]:
    """Yield what is wrong with the circuit as a whole; its entries must be good."""
    if not any(_is_battery(part) for part in draft.circuit.parts):
        yield "parts: found no battery; accepted: at least one part of kind 'battery'"
        return
    yield from chain(
        _loose_terminals(draft),
        _loose_cavities(draft),
        _islands(draft),
        _batteries(draft),
        _live_wire(draft),
    )


def _is_battery(part: Part) -> bool:
    return part.spec.sort == "battery"


def _with_wires(circuit: Circuit) -> set[str]:
    ends = (end for wire in circuit.wires for end in (wire.start, wire.end))
    return {circuit.node(end) for end in ends}


def _loose_terminals(draft: Draft) -> Iterator[str]:
    circuit = draft.circuit
    wired = _with_wires(circuit)
    for where, part in draft.entries("parts"):
        plugged = {pin for c in circuit.plugged_in(part.name) for pin in c.pins}
        loose = [
            join(part.name, terminal)
            for terminal in part.spec.terminals()
            if terminal not in plugged and join(part.name, terminal) not in wired
        ]
        if loose:
            yield f"{where}: {_joined_to_nothing(loose)}; accepted: a wire to each terminal"


def _joined_to_nothing(names: list[str]) -> str:
    return f"{_listed(names)} {'is' if len(names) == 1 else 'are'} joined to nothing"


def _loose_cavities(draft: Draft) -> Iterator[str]:
    wired = _with_wires(draft.circuit)
    for where, connector in draft.entries("connectors"):
        for number in connector.cavities():
            if connector.labels[number - 1].lower().startswith(SPARE):
                continue
            first, second = (connector.face(number, face) for face in connector.faces)
            if connector.inline:
                loose = [face for face in (first, second) if face not in wired]
                wanted = "a wire to both faces"
            else:
                pin = connector.pins[number - 1]
                dead_end = first in wired and not pin
                loose = [f"{connector.name}.{number}"] if pin and first not in wired else []
                loose += [second] if dead_end else []
                wanted = "a pin of the part" if dead_end else "a wire"
            if loose:
                yield (
                    f"{where}: {_joined_to_nothing(loose)}; "
                    f"accepted: {wanted}, or a label that begins with Spare"
                )


def _islands(draft: Draft) -> Iterator[str]:
    """Yield the parts that no wire leads from to the body; batteries are told elsewhere."""
    circuit = draft.circuit
    graph = _harness(circuit)
    for part in circuit.parts:
        nodes = [circuit.node(join(part.name, terminal)) for terminal in part.spec.terminals()]
        nodes += [circuit.node(n) for e in _possible(part) for n in (e.a, e.b)]
        _join_all(graph, nodes, part.name)
    batteries = {join(p.name, "neg") for p in circuit.parts if _is_battery(p)}
    for island in nx.connected_components(graph):
        members = [
            join(part.name, terminal)
            for part in circuit.parts
            for terminal in part.spec.terminals()
            if circuit.node(join(part.name, terminal)) in island
        ]
        loose = len(members) <= 1  # told as a terminal that is joined to nothing
        if BODY not in island and not loose and not {circuit.node(b) for b in batteries} & island:
            yield (
                f"parts: {_listed(members)} are joined to each other alone; "
                "accepted: a path to the battery and the body"
            )


def _batteries(draft: Draft) -> Iterator[str]:
    circuit = draft.circuit
    graph = _conductors(circuit, chain.from_iterable(map(_possible, circuit.parts)))
    for where, part in draft.entries("parts"):
        if not _is_battery(part):
            continue
        negative = circuit.node(join(part.name, "neg"))
        others = [p for p in circuit.parts if _is_battery(p) and p != part]
        series = graph.copy()
        for other in others:
            posts = [circuit.node(join(other.name, post)) for post in ("pos", "neg")]
            _join_all(series, posts, other.name)
        if not _path(series, negative, BODY):
            yield (
                f"{where}: found no path from {part.name}.neg to {BODY}; "
                f"accepted: a ground wire from {part.name}.neg to {BODY} or to a ground point"
            )
        yield from _short(circuit, where, part)


def _short(circuit: Circuit, where: str, part: Part) -> Iterator[str]:
    positive, negative = (circuit.node(join(part.name, post)) for post in ("pos", "neg"))
    for elements in _settings(circuit):
        path = _path(_conductors(circuit, elements), positive, negative)
        if path:
            fuses = [n for n in path if n in _fuses(circuit)]
            blows = f", so {_listed(fuses)} would blow" if fuses else " and no fuse"
            yield (
                f"{where}: {_listed(path)} join its posts with no load between{blows}; "
                "accepted: a load between the posts"
            )
            return


def _live_wire(draft: Draft) -> Iterator[str]:
    circuit = draft.circuit
    graph = _conductors(circuit, next(iter(_settings(circuit))))
    feed = circuit.node(circuit.live_wire)
    posts = [circuit.node(join(p.name, "pos")) for p in circuit.parts if _is_battery(p)]
    if feed not in posts and not any(_path(graph, post, feed) for post in posts):
        yield (
            f"live_wire: {circuit.live_wire} has no constant feed; accepted: a terminal that a "
            "battery's positive post reaches with every switch as found"
        )


def _fuses(circuit: Circuit) -> set[str]:
    return {part.name for part in circuit.parts if part.spec.sort == "fuse"}


def _settings(circuit: Circuit) -> Iterator[list[Element]]:
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


def _possible(part: Part) -> tuple[Element, ...]:
    """Return the elements of a part in any position and any memory."""
    positions = ("", *getattr(part.spec, "positions", ()))
    memories = (frozenset[str](), *(frozenset({flag}) for flag in part.spec.memory_flags))
    return tuple(
        element
        for position in positions
        for memory in memories
        for element in part.spec.elements(part.name, Circumstance(position, memory=memory))
    )


def _harness(circuit: Circuit) -> "nx.MultiGraph[str]":
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


def _conductors(circuit: Circuit, elements: Iterable[Element]) -> "nx.MultiGraph[str]":
    """Return the graph of wires, cavities, fuses and whatever else is no load."""
    graph = _harness(circuit)
    fuses = _fuses(circuit)
    for element in elements:
        law = element.law
        joint = isinstance(law, Ohmic) and law.emf == 0 and law.ohm <= CONDUCTS_OHM
        if joint or element.name in fuses:
            name = element.name.partition(".")[0]
            graph.add_edge(circuit.node(element.a), circuit.node(element.b), key=name)
    return graph


def _join_all(graph: "nx.MultiGraph[str]", nodes: list[str], name: str) -> None:
    graph.add_nodes_from(nodes)
    for a, b in pairwise(nodes):
        graph.add_edge(a, b, key=name)


def _path(graph: "nx.MultiGraph[str]", start: str, end: str) -> list[str]:
    """Return the names of what joins two nodes, by the shortest way; empty for no way."""
    if start not in graph or end not in graph or not nx.has_path(graph, start, end):
        return []
    nodes = nx.shortest_path(graph, start, end)
    return list(dict.fromkeys(next(iter(graph[a][b])) for a, b in pairwise(nodes)))


def _listed(names: Iterable[str]) -> str:
    names = list(names)
    shown = names if len(names) <= 12 else [*names[:12], f"{len(names) - 12} more"]
    if len(shown) == 1:
        return cut(shown[0])
    return f"{', '.join(shown[:-1])} and {shown[-1]}"

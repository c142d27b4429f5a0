"""What a circuit's wires join: no loose ends, no floating islands, a ground, no dead short."""

from collections.abc import Iterator, Mapping
from itertools import chain, islice

import networkx as nx

from circuits.filecheck.draft import Draft
from circuits.filecheck.graphs import (
    batteries_of,
    conductor_graph,
    fuses_of,
    harness_graph,
    join_all,
    listed,
    path_between,
    possible_elements,
    posts_of,
    settings_of,
)
from circuits.model import Circuit
from circuits.spec import BODY, Element, join

SPARE = "spare"
"""A cavity whose label begins so may have no wire."""


MAX_BATTERIES = 8
MAX_SETTINGS = 100

Possible = Mapping[str, tuple[Element, ...]]
"""By part: the elements that it may have in any position and any memory."""


def graph_problems(draft: Draft) -> Iterator[str]:
    """Yield what is wrong with the circuit as a whole; its entries must be good."""
    batteries = batteries_of(draft.circuit)
    if len(batteries) > MAX_BATTERIES:
        yield f"parts: found {len(batteries)} batteries; accepted: up to {MAX_BATTERIES}"
        return
    if not batteries:
        yield "parts: found no battery; accepted: at least one part of kind 'battery'"
        return
    possible = {part.name: possible_elements(part) for part in draft.circuit.parts}
    yield from chain(
        _loose_terminals(draft),
        _loose_cavities(draft),
        _islands(draft, possible),
        _grounds(draft, possible),
        _shorts(draft, possible),
        _live_wire(draft),
    )


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
            if terminal not in {*plugged, *part.spec.probes()}
            and join(part.name, terminal) not in wired
        ]
        if loose:
            yield f"{where}: {_joined_to_nothing(loose)}; accepted: a wire to each terminal"


def _joined_to_nothing(names: list[str]) -> str:
    return f"{listed(names)} {'is' if len(names) == 1 else 'are'} joined to nothing"


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


def _islands(draft: Draft, possible: Possible) -> Iterator[str]:
    """Yield the parts that nothing joins to the body; those with a battery are told elsewhere."""
    circuit = draft.circuit
    graph = harness_graph(circuit)
    terminals = {
        join(part.name, terminal): circuit.node(join(part.name, terminal))
        for part in circuit.parts
        for terminal in part.spec.terminals()
    }
    for part in circuit.parts:
        nodes = [terminals[join(part.name, terminal)] for terminal in part.spec.terminals()]
        nodes += [circuit.node(n) for e in possible[part.name] for n in (e.a, e.b)]
        join_all(graph, nodes, part.name)
    wired = _with_wires(circuit)
    posts = {post for battery in batteries_of(circuit) for post in posts_of(circuit, battery)}
    for island in nx.connected_components(graph):
        if BODY in island or posts & island or not wired & island:
            continue  # what no wire touches has been told as joined to nothing
        members = [name for name, node in terminals.items() if node in island]
        yield (
            f"parts: {listed(members)} are joined to each other alone; "
            "accepted: a path to the battery and the body"
        )


def _grounds(draft: Draft, possible: Possible) -> Iterator[str]:
    """Yield the batteries without a path to the body, be it through other batteries."""
    circuit = draft.circuit
    graph = conductor_graph(circuit, chain.from_iterable(possible.values()))
    batteries = batteries_of(circuit)
    where = {part.name: where for where, part in draft.entries("parts")}
    for battery in batteries:
        series = graph.copy()
        for other in batteries:
            if other != battery:
                join_all(series, list(posts_of(circuit, other)), other)
        if not path_between(series, posts_of(circuit, battery)[1], BODY):
            yield (
                f"{where[battery]}: found no path from {battery}.neg to {BODY}; "
                f"accepted: a ground wire from {battery}.neg to {BODY} or to a ground point"
            )


def _shorts(draft: Draft, possible: Possible) -> Iterator[str]:
    """Yield the batteries with no load between their posts in some position of a switch."""
    circuit = draft.circuit
    where = {part.name: where for where, part in draft.entries("parts")}
    anything = conductor_graph(circuit, chain.from_iterable(possible.values()))
    suspects = [b for b in batteries_of(circuit) if path_between(anything, *posts_of(circuit, b))]
    if not suspects:
        return
    told = set()
    for elements in islice(settings_of(circuit), MAX_SETTINGS):
        graph = conductor_graph(circuit, elements)
        for battery in suspects:
            path = path_between(graph, *posts_of(circuit, battery))
            if path and battery not in told:
                told.add(battery)
                yield _shorted(circuit, where[battery], path)


def _shorted(circuit: Circuit, where: str, path: list[str]) -> str:
    fuses = [name for name in path if name in fuses_of(circuit)]
    blows = f", so {listed(fuses)} would blow" if fuses else " and no fuse"
    joins = "joins" if len(path) == 1 else "join"
    return (
        f"{where}: {listed(path)} {joins} its posts with no load between{blows}; "
        "accepted: a load between the posts"
    )


def _live_wire(draft: Draft) -> Iterator[str]:
    circuit = draft.circuit
    graph = conductor_graph(circuit, next(iter(settings_of(circuit))))
    feed = circuit.node(circuit.live_wire)
    posts = [posts_of(circuit, battery)[0] for battery in batteries_of(circuit)]
    if feed not in posts and not any(path_between(graph, post, feed) for post in posts):
        yield (
            f"live_wire: {circuit.live_wire} has no constant feed; accepted: a terminal that a "
            "battery's positive post reaches with every switch as found"
        )

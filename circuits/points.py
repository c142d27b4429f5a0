"""Test points: where a probe can touch, under which setting, and what it costs to get there."""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from circuits.model import Circuit, CircuitError, Connector, Part, Setting
from circuits.spec import BODY, join

Exposed = Literal["always", "mated", "unmated", "isolated"]

CABLE_END = "cable"
"""The end of a battery's negative cable, as ``C1.4@unit`` names the face of a cavity."""


@dataclass(frozen=True, slots=True)
class TestPoint:
    """A place a probe can touch.

    Attributes
    ----------
    name : ``BAT.pos``, ``BAT.neg@cable``, ``C1.4``, ``C1.4@unit``, ``G1``, ``BODY``.
    node : the node of the network that it touches.
    place : name of the place on the vehicle, empty for the body, which is everywhere.
    exposed : always, or only while ``connector`` is mated, or only while it is unmated, or
        only while the battery is isolated.
    """

    __test__ = False  # pytest would take the class for a test

    name: str
    title: str
    node: str
    place: str
    minutes: float
    exposed: Exposed = "always"
    connector: str = ""

    def is_exposed(self, setting: Setting) -> bool:
        """Say whether a probe can touch the point in this setting."""
        if self.exposed == "always":
            return True
        if self.exposed == "isolated":
            return setting.isolated
        return (self.connector in setting.unmated) == (self.exposed == "unmated")


@lru_cache(maxsize=64)
def test_points(circuit: Circuit) -> tuple[TestPoint, ...]:
    """Return every test point of a circuit, in the order of its file."""
    points = [TestPoint(BODY, "Body, bare metal", BODY, "", 0.0)]
    for part in circuit.parts:
        points += _part_points(circuit, part)
    for connector in circuit.connectors:
        points += _connector_points(circuit, connector)
    return tuple(points)


def _part_points(circuit: Circuit, part: Part) -> list[TestPoint]:
    minutes = circuit.place_by_name[part.place].minutes
    plugged = {pin for connector in circuit.plugged_in(part.name) for pin in connector.pins}
    found = []
    for terminal in part.spec.terminals():
        if terminal in plugged:
            continue  # its cavity is the test point
        name = join(part.name, terminal)
        title = f"{part.title}, {part.spec.terminal_title(terminal)}"
        found.append(TestPoint(name, title, circuit.node(name), part.place, minutes))
        if name in cable_ends(circuit):
            end, title = cable_ends(circuit)[name], f"{part.title}, negative cable off its post"
            found.append(TestPoint(end, title, end, part.place, minutes, "isolated"))
    return found


@lru_cache(maxsize=64)
def cable_ends(circuit: Circuit) -> Mapping[str, str]:
    """Return the end of the cable that comes off each battery's negative post, by the post.

    All that is bolted to one post comes off it together: ``BAT.neg`` has ``BAT.neg@cable``.
    """
    posts = {join(part.name, "neg") for part in circuit.parts if part.spec.sort == "battery"}
    ends = (end for wire in circuit.wires for end in (wire.start, wire.end))
    return {post: f"{post}@{CABLE_END}" for post in ends if post in posts}


def _connector_points(circuit: Circuit, connector: Connector) -> list[TestPoint]:
    minutes = circuit.place_by_name[connector.place].minutes
    found = []
    for number in connector.cavities():
        label = f"{connector.name} cavity {number}, {connector.labels[number - 1].lower()}"
        wired, other = (connector.face(number, face) for face in connector.faces)
        if connector.inline:
            # Wires leave both faces: each can be reached from the back at any time.
            for node, face in zip((wired, other), connector.faces, strict=True):
                title = f"{label}, {face} side"
                found.append(TestPoint(node, title, node, connector.place, minutes))
            continue
        back = f"{connector.name}.{number}"
        found.append(
            TestPoint(back, label, wired, connector.place, minutes, "mated", connector.name)
        )
        for node, face in zip((wired, other), connector.faces, strict=True):
            found.append(
                TestPoint(
                    node,
                    f"{label}, {face} side",
                    node,
                    connector.place,
                    minutes,
                    "unmated",
                    connector.name,
                )
            )
    return found


@lru_cache(maxsize=64)
def _by_name(circuit: Circuit) -> dict[str, TestPoint]:
    return {point.name: point for point in test_points(circuit)}


def exposed_points(circuit: Circuit, setting: Setting) -> tuple[TestPoint, ...]:
    """Return the test points that a probe can touch in a setting."""
    return tuple(point for point in test_points(circuit) if point.is_exposed(setting))


def find_point(circuit: Circuit, setting: Setting, name: str) -> TestPoint:
    """Return the test point of this name.

    Raises
    ------
    CircuitError
        If the circuit has no such point, or the setting hides it.
    """
    point = _by_name(circuit).get(name)
    if point is None:
        known = (p.name for p in exposed_points(circuit, setting))
        raise CircuitError(
            f"test point {name!r}: {circuit.name} has none such{nearest(name, known)}"
        )
    if not point.is_exposed(setting):
        raise CircuitError(_hidden(point))
    return point


def _hidden(point: TestPoint) -> str:
    back = point.name.partition("@")[0]
    if point.exposed == "isolated":
        return (
            f"test point {point.name}: the cable is on its post; accepted: {back}, "
            "or isolate the battery"
        )
    if point.exposed == "mated":
        return (
            f"test point {point.name}: {point.connector} is unmated; accepted: "
            f"{back}@harness, {back}@unit, or mate {point.connector}"
        )
    return (
        f"test point {point.name}: {point.connector} is mated and hides its faces; accepted: "
        f"{back} from the back, or unmate {point.connector}"
    )


def nearest(found: str, known: Iterable[str]) -> str:
    """Return what to say of the accepted names: the nearest if one is near, else all.

    >>> nearest("side_step", ["side_steps", "call_bell"])
    "; did you mean 'side_steps'?"
    """
    names = list(known)
    close = difflib.get_close_matches(found, names, n=1, cutoff=0.6)
    if close:
        return f"; did you mean {close[0]!r}?"
    shown = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return f"; accepted: {shown}" if names else ""

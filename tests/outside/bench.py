"""Networks put together by hand, and a harness of bare posts for the real instruments."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from circuits.laws import Law, Ohmic, wire_ohm
from circuits.model import Circuit, Part, Place, Vehicle, Wire
from circuits.newton import Stack
from circuits.spec import BODY, Circumstance, Element, Live, Spec


def resistor(name: str, a: str, b: str, ohm: float) -> Element:
    """Return a resistance."""
    return Element(name, a, b, Ohmic(ohm))


def source(name: str, a: str, b: str, volt: float, ohm: float = 1e-4) -> Element:
    """Return a source, positive at ``a``, behind a resistance; the least is 0.1 mΩ."""
    return Element(name, a, b, Ohmic(ohm, volt))


def branch(name: str, a: str, b: str, law: Law) -> Element:
    """Return a branch of any law."""
    return Element(name, a, b, law)


def solved(*elements: Element) -> Live:
    """Return the volts by node and amperes by element of a network."""
    solution = Stack([elements]).solve()
    names = [name for name, _, _ in solution.elements]
    return Live(
        dict(zip(solution.nodes, solution.volt[0].tolist(), strict=True)),
        dict(zip(names, solution.ampere[0].tolist(), strict=True)),
        lambda terminal: terminal,
    )


def port_ohm(elements: Iterable[Element], a: str, b: str) -> float:
    """Return the resistance in ohms between two nodes of a network: volts over amperes."""
    probe = source("probe", a, b, 12.0, 100.0)
    live = solved(*elements, probe)
    return live.volt(a, b) / -live.ampere("probe")


@dataclass(frozen=True, slots=True)
class Post(Spec):
    """A bare post to which wires are bolted."""

    kind: ClassVar[str] = "post"
    sort: ClassVar[str] = "post"

    def terminals(self) -> tuple[str, ...]:
        """One node."""
        return ("",)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        """Nothing inside."""
        return ()


def posts_and_wires(posts: Iterable[str], edges: Iterable[tuple[str, str, float]]) -> Vehicle:
    """Return a vehicle of bare posts with a wire of so many ohms along each edge."""
    names = tuple(posts)
    per_metre = wire_ohm(area_mm2=1.0, length_m=1.0)
    wires = tuple(
        Wire(f"W{n}", a, b, area_mm2=1.0, length_m=ohm / per_metre, colour="BK")
        for n, (a, b, ohm) in enumerate(edges)
    )
    return Vehicle(
        Circuit(
            name="posts",
            title="Posts",
            summary="",
            places=(Place("bench", "on the bench", 0.0),),
            parts=tuple(Part(name, name, "bench", Post()) for name in names),
            connectors=(),
            wires=wires,
            live_wire=names[0],
            digest=hashlib.sha256(repr((names, wires)).encode()).hexdigest(),
        )
    )


__all__ = ["BODY", "Post", "branch", "port_ohm", "posts_and_wires", "resistor", "solved", "source"]

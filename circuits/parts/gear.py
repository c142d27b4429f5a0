"""What a tester connects: leads and instruments are parts of the circuit like any other."""

from dataclasses import dataclass
from typing import ClassVar

from circuits.laws import Ohmic
from circuits.parts.supply import FUSE_HOLDS
from circuits.spec import Change, Circumstance, Element, Live, Spec, join


@dataclass(frozen=True, slots=True)
class FusedLead(Spec):
    """A lead with a fuse of its own: a jumper, or an ammeter's input."""

    kind: ClassVar[str] = "fused_lead"
    memory_flags: ClassVar[tuple[str, ...]] = ("blown",)
    heats: ClassVar[bool] = True

    rating_a: float
    ohm: float

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if "blown" in at.memory:
            return ()
        return (Element(name, join(name, "a"), join(name, "b"), Ohmic(self.ohm)),)

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        overload = abs(live.ampere(name)) / self.rating_a
        if overload <= FUSE_HOLDS:
            return None
        return Change(at.memory | {"blown"}, haste=overload)


@dataclass(frozen=True, slots=True)
class Input(Spec):
    """A meter's input: a resistance in ohms, and for an ohmmeter the source behind it."""

    kind: ClassVar[str] = "input"

    ohm: float
    volt: float = 0.0

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        return (Element(name, join(name, "a"), join(name, "b"), Ohmic(self.ohm, self.volt)),)

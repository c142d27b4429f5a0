"""Where current comes from and goes back to: battery, fuse, splice, ground point."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Ge, Gt, Le

from circuits.laws import Ohmic
from circuits.spec import (
    BODY,
    CONTACT_OHM,
    HEAVY_OHM,
    LOGIC_HASTE,
    Change,
    Circumstance,
    Element,
    Live,
    Site,
    Spec,
    contact,
    join,
)

CHARGED = "charged"
NO_AMPERE = 1e-6

FUSE_HOLDS = 1.35
"""A fuse opens above this multiple of its rating (ISO 8820-3, from memory)."""

FUSE_COLD_VOLT = 0.077
"""Cold resistance times rating, in volts (makers' sheets: 0.05 to 0.10 V)."""


@dataclass(frozen=True, slots=True)
class Battery(Spec):
    """A battery at rest: open-circuit volts behind an internal resistance in ohms.

    ``charge_ohm`` is the resistance that it puts up to a charging current, 0 for the same:
    the cells' voltage rises as they take charge, long before their resistance does. Which
    of the two counts follows from the way the current flows.
    """

    kind: ClassVar[str] = "battery"
    sort: ClassVar[str] = "battery"
    memory_flags: ClassVar[tuple[str, ...]] = (CHARGED,)

    volt: Annotated[float, Gt(0), Le(60)]
    ohm: Annotated[float, Gt(0)]
    charge_ohm: Annotated[float, Ge(0)] = 0.0

    def terminals(self) -> tuple[str, ...]:
        return ("pos", "neg")

    def terminal_title(self, terminal: str) -> str:
        return {"pos": "positive post", "neg": "negative post"}[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("weak", "flat", "drained")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        emf = at.severity("flat") or self.volt
        sound = self.charge_ohm if CHARGED in at.memory and self.charge_ohm else self.ohm
        inner = sound + at.added_ohm("weak")
        pos, neg = join(name, "pos"), join(name, "neg")
        cell = Element(name, pos, neg, Ohmic(inner, emf))
        drain = at.severity("drained")
        if drain is None:
            return (cell,)
        return (cell, Element(join(name, "drain"), pos, neg, Ohmic(self.volt / drain)))

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        # The way the current flows does not hang on the resistance, so this cannot chatter.
        ampere = live.ampere(name)
        turned = ampere < -NO_AMPERE if CHARGED in at.memory else ampere > NO_AMPERE
        if not self.charge_ohm or not turned:
            return None
        return Change(at.memory ^ {CHARGED}, LOGIC_HASTE)


@dataclass(frozen=True, slots=True)
class Fuse(Spec):
    """A blade fuse in its holder, rated in amperes."""

    kind: ClassVar[str] = "fuse"
    sort: ClassVar[str] = "fuse"
    memory_flags: ClassVar[tuple[str, ...]] = ("blown",)
    heats: ClassVar[bool] = True

    rating_a: Annotated[float, Gt(0)]

    def terminals(self) -> tuple[str, ...]:
        return ("in", "out")

    def terminal_title(self, terminal: str) -> str:
        return {"in": "feed side", "out": "load side"}[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("blown", "corroded", "underrated")),)

    def fitted_a(self, at: Circumstance) -> float:
        """Return the rating in amperes of the fuse that is really in the holder."""
        return at.severity("underrated") or self.rating_a

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.pulled or at.has("blown") or "blown" in at.memory:
            return ()
        ohm = FUSE_COLD_VOLT / self.fitted_a(at) + at.added_ohm("corroded")
        return (Element(name, join(name, "in"), join(name, "out"), Ohmic(ohm)),)

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        overload = abs(live.ampere(name)) / self.fitted_a(at)
        if overload <= FUSE_HOLDS:
            return None
        return Change(at.memory | {"blown"}, haste=overload)


@dataclass(frozen=True, slots=True)
class Splice(Spec):
    """A crimp that joins the wires on its ``in`` side to those on its ``out`` side."""

    kind: ClassVar[str] = "splice"
    sort: ClassVar[str] = "splice"

    def terminals(self) -> tuple[str, ...]:
        return ("in", "out")

    def terminal_title(self, terminal: str) -> str:
        return {"in": "feed side", "out": "branch side"}[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("open", "corroded")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("open"):
            return ()
        ohm = CONTACT_OHM + at.added_ohm("corroded")
        return (contact(name, join(name, "in"), join(name, "out"), ohm),)


@dataclass(frozen=True, slots=True)
class Ground(Spec):
    """A ring terminal bolted to the vehicle's body, of so many ohms when clean."""

    kind: ClassVar[str] = "ground"
    sort: ClassVar[str] = "ground point"

    ohm: Annotated[float, Gt(0)] = CONTACT_OHM

    def terminals(self) -> tuple[str, ...]:
        return ("",)

    def terminal_title(self, terminal: str) -> str:
        return "ring terminal"

    def sites(self) -> tuple[Site, ...]:
        heavy = ("poor_joint",) if self.ohm < HEAVY_OHM else ()
        return (Site("", "", ("open", "corroded", *heavy)),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("open"):
            return ()
        ohm = self.ohm + at.added_ohm("corroded", "poor_joint")
        return (contact(name, name, BODY, ohm),)

"""Simple loads: lamp, bell, resistor, diode."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Filament, Junction, Ohmic
from circuits.spec import Circumstance, Element, Live, Site, Spec, join

LIGHT_EXPONENT = 3.4
"""Light follows volts to this power (Fink and Beaty, *Standard Handbook for Electrical
Engineers*, 1978, as quoted by an encyclopaedia: 3.4 to 3.5)."""


@dataclass(frozen=True, slots=True)
class Lamp(Spec):
    """A filament lamp, by its rated watts at its rated volts."""

    kind: ClassVar[str] = "lamp"
    sort: ClassVar[str] = "lamp"

    watt: Annotated[float, Gt(0)]
    rated_volt: Annotated[float, Gt(0)] = 12.0

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("open", "wrong_lamp", "shorted")),)

    def filament(self, watt: float) -> Filament:
        """Return the law of a filament of so many watts at the lamp's rated volts."""
        return Filament(hot_ohm=self.rated_volt**2 / watt, rated_volt=self.rated_volt)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        a, b = join(name, "a"), join(name, "b")
        if at.has("open"):
            return ()
        lit = Element(name, a, b, self.filament(at.severity("wrong_lamp") or self.watt))
        short = at.severity("shorted")
        return (lit,) if short is None else (lit, Element(f"{name}.short", a, b, Ohmic(short)))

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if at.has("open"):
            return ("dark", "dark")
        return seen_lamp(live.volt(join(name, "a"), join(name, "b")), self.rated_volt)


def seen_lamp(volt: float, rated_volt: float) -> tuple[str, str]:
    """Return the code and the words for the light of a filament with these volts across it."""
    light = (abs(volt) / rated_volt) ** LIGHT_EXPONENT
    if light > 0.45:
        return ("bright", "bright")
    if light > 0.08:
        return ("dim", "dim")
    return ("glow", "a dull glow") if light > 0.002 else ("dark", "dark")


@dataclass(frozen=True, slots=True)
class Bell(Spec):
    """An electric bell: a resistance in ohms that rings above some volts."""

    kind: ClassVar[str] = "bell"
    sort: ClassVar[str] = "bell"

    ohm: Annotated[float, Gt(0)]
    rings_volt: Annotated[float, Gt(0)] = 9.0
    buzzes_volt: Annotated[float, Gt(0)] = 5.0

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("open", "high_resistance", "shorted")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        a, b = join(name, "a"), join(name, "b")
        if at.has("open"):
            return ()
        short = at.severity("shorted")
        if short is not None:
            return (Element(name, a, b, Ohmic(self.ohm * short / (self.ohm + short))),)
        return (Element(name, a, b, Ohmic(self.ohm + at.added_ohm("high_resistance"))),)

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if at.has("open") or at.has("shorted"):
            return ("silent", "silent")
        share = self.ohm / (self.ohm + at.added_ohm("high_resistance"))
        volt = abs(live.volt(join(name, "a"), join(name, "b"))) * share
        if volt >= self.rings_volt:
            return ("rings", "rings")
        return ("faint", "buzzes faintly") if volt >= self.buzzes_volt else ("silent", "silent")


@dataclass(frozen=True, slots=True)
class Resistor(Spec):
    """A fixed resistor, in ohms."""

    kind: ClassVar[str] = "resistor"
    sort: ClassVar[str] = "resistor"

    ohm: Annotated[float, Gt(0)]

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("open", "high_resistance", "shorted")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("open"):
            return ()
        short = at.severity("shorted")
        ohm = self.ohm + at.added_ohm("high_resistance")
        if short is not None:
            ohm = ohm * short / (ohm + short)
        return (Element(name, join(name, "a"), join(name, "b"), Ohmic(ohm)),)


@dataclass(frozen=True, slots=True)
class Diode(Spec):
    """A silicon diode from ``a`` (anode) to ``k`` (cathode)."""

    kind: ClassVar[str] = "diode"
    sort: ClassVar[str] = "diode"

    def terminals(self) -> tuple[str, ...]:
        return ("a", "k")

    def terminal_title(self, terminal: str) -> str:
        return {"a": "anode", "k": "cathode"}[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("open", "shorted")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        a, k = join(name, "a"), join(name, "k")
        if at.has("open"):
            return ()
        short = at.severity("shorted")
        junction = Element(name, a, k, Junction())
        return (junction,) if short is None else (Element(f"{name}.short", a, k, Ohmic(short)),)

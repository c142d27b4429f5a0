"""Lamps that share a housing and a ground, and the flasher that makes some of them blink."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Ohmic
from circuits.parts.loads import Lamp, seen_lamp
from circuits.spec import CONTACT_OHM, Circumstance, Element, Live, Site, Spec, contact, join

GROUND, STRIP = "ground", "strip"


@dataclass(frozen=True, slots=True)
class ClusterLamp:
    """One filament of a cluster: its name, which is its terminal's too, and its rated watts."""

    name: str
    watt: Annotated[float, Gt(0)]


@dataclass(frozen=True, slots=True)
class LampCluster(Spec):
    """Filament lamps in one housing, each with its own feed, all with one ground.

    Without the ground the filaments still meet on the strip inside, so that the current of
    one goes back through the others and on to whatever their feeds lead to.
    """

    kind: ClassVar[str] = "lamp_cluster"
    sort: ClassVar[str] = "lamp cluster"

    lamps: tuple[ClusterLamp, ...]
    rated_volt: Annotated[float, Gt(0)] = 12.0

    def __post_init__(self) -> None:
        if not self.lamps:
            raise ValueError("lamps is empty; accepted: at least one lamp")
        for lamp in self.lamps:
            if lamp.name in (GROUND, STRIP):
                raise ValueError(
                    f"lamps use {lamp.name!r}, a name of the housing's own; accepted: another"
                )

    def terminals(self) -> tuple[str, ...]:
        return (*(lamp.name for lamp in self.lamps), GROUND)

    def sites(self) -> tuple[Site, ...]:
        return (
            *(
                Site(x.name, f"{x.name} lamp", ("open", "wrong_lamp", "shorted"))
                for x in self.lamps
            ),
            Site(GROUND, "ground strip", ("inner_ground_lost", "inner_ground_poor")),
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        strip = join(name, STRIP)
        found = [e for lamp in self.lamps for e in self._filament(name, lamp, at)]
        if not at.has("inner_ground_lost", GROUND):
            ohm = CONTACT_OHM + at.added_ohm("inner_ground_poor", site=GROUND)
            found.append(contact(strip, strip, join(name, GROUND), ohm))
        return tuple(found)

    def _filament(self, name: str, lamp: ClusterLamp, at: Circumstance) -> tuple[Element, ...]:
        full, strip = join(name, lamp.name), join(name, STRIP)
        if at.has("open", lamp.name):
            return ()
        watt = at.severity("wrong_lamp", lamp.name) or lamp.watt
        lit = Element(full, full, strip, Lamp(lamp.watt, self.rated_volt).filament(watt))
        short = at.severity("shorted", lamp.name)
        return (
            (lit,) if short is None else (lit, Element(f"{full}.short", full, strip, Ohmic(short)))
        )

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        found = [(lamp.name, self._light(name, lamp, at, live)) for lamp in self.lamps]
        code = " ".join(f"{lamp}:{light[0]}" for lamp, light in found)
        return (code, ", ".join(f"{lamp} {light[1]}" for lamp, light in found))

    def _light(self, name: str, lamp: ClusterLamp, at: Circumstance, live: Live) -> tuple[str, str]:
        if at.has("open", lamp.name):
            return ("dark", "dark")
        return seen_lamp(live.volt(join(name, lamp.name), join(name, STRIP)), self.rated_volt)


@dataclass(frozen=True, slots=True)
class Flasher(Spec):
    """A flasher unit between 49 (feed) and 49a (lamps), read while its contact is closed.

    It listens to its own current: at less than ``FAST_BELOW`` of ``full_a`` amperes it
    beats fast, to tell of a lost lamp, and at next to nothing it is silent (common practice,
    no source).
    """

    kind: ClassVar[str] = "flasher"
    sort: ClassVar[str] = "flasher"

    full_a: Annotated[float, Gt(0)]

    def terminals(self) -> tuple[str, ...]:
        return ("49", "49a")

    def terminal_title(self, terminal: str) -> str:
        return {"49": "feed", "49a": "to the lamps"}[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("contact_open", "contact_burnt", "stuck_closed")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("contact_open"):
            return ()
        ohm = CONTACT_OHM + at.added_ohm("contact_burnt")
        return (contact(name, join(name, "49"), join(name, "49a"), ohm),)

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        share = abs(live.ampere(name)) / self.full_a
        if share < SILENT_BELOW:
            return ("silent", "silent")
        if at.has("stuck_closed"):
            return ("steady", "does not click, what it feeds stays lit")
        return ("fast", "clicks fast") if share < FAST_BELOW else ("clicks", "clicks steadily")


FAST_BELOW = 0.7
SILENT_BELOW = 0.1

"""The alternator: rectifier, regulator with a sense line, and the lamp that starts it."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Junction, Ohmic
from circuits.parts.switching import Positioned
from circuits.spec import (
    LOGIC_HASTE,
    REST,
    Change,
    Circumstance,
    Element,
    Live,
    Memory,
    Site,
    contact,
    join,
)

BATTERY, SENSE, LAMP, CASE = "bat", "sense", "lamp", "case"
CHARGING, LIMITING, TRIM = "charging", "limiting", "trim:"

TRIM_VOLT = 0.02
"""The step by which the regulator trims the inner voltage."""
CLOSE_VOLT = 0.03
"""The regulator is content when it senses its voltage within this."""
LEAST_TRIM, MOST_TRIM = -100, 500
LIMIT_OHM = 2.0
"""Slope of the output at its greatest current."""
LIMIT_VOLT = 13.0
"""Volts at which the greatest current is told."""
LAMP_LINE_OHM = 0.3
PHASE_LEFT = 0.55
"""Output left when one phase of three is lost (common practice, no source: about half)."""
OVERLOAD = 1.15
"""It limits itself from this much more than its greatest current, so that no spread of its
parts lets it swing between regulating and limiting."""
RECTIFIER = Junction(saturation_a=1e-6, series_ohm=0.004)


@dataclass(frozen=True, slots=True)
class Output:
    """The greatest current in amperes that the alternator gives in one position."""

    position: str
    ampere: Annotated[float, Gt(0)]


@dataclass(frozen=True, slots=True)
class Alternator(Positioned):
    """An alternator with its regulator; its positions are the engine's.

    Current through the warning lamp excites it; once it charges, the lamp terminal stands
    at the output's voltage and the lamp goes out. The regulator trims the inner voltage
    until the sense terminal is at ``set_volt``, but never lets its own output rise more
    than ``margin_volt`` above that, whatever the sense line tells. Beyond its greatest
    current it is a source of current. Ripple is left out.

    Attributes
    ----------
    outputs : the positions in which it turns fast enough, and its greatest current there.
    set_volt : volts to which it regulates.
    ohm : inner resistance within the greatest current.
    field_ohm : from the lamp terminal to the case while it does not charge.
    excite_a : current through the lamp that excites it.
    sense_ohm : from the sense terminal to the case.
    """

    kind: ClassVar[str] = "alternator"
    sort: ClassVar[str] = "alternator"
    memory_flags: ClassVar[tuple[str, ...]] = (CHARGING, LIMITING)

    outputs: tuple[Output, ...] = ()
    set_volt: Annotated[float, Gt(0)] = 14.4
    margin_volt: Annotated[float, Gt(0)] = 1.2
    ohm: Annotated[float, Gt(0)] = 0.02
    field_ohm: Annotated[float, Gt(0)] = 8.0
    excite_a: Annotated[float, Gt(0)] = 0.06
    sense_ohm: Annotated[float, Gt(0)] = 3000.0

    def named_positions(self) -> list[tuple[str, str]]:
        named = Positioned.named_positions(self)
        return named + [("outputs", output.position) for output in self.outputs]

    def terminals(self) -> tuple[str, ...]:
        return (BATTERY, SENSE, LAMP, CASE)

    def terminal_title(self, terminal: str) -> str:
        return {
            BATTERY: "output stud",
            SENSE: "sense",
            LAMP: "warning lamp",
            CASE: "case",
        }[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("regulator", "regulator", ("no_output", "set_wrong")),
            Site("brushes", "brushes", ("worn_brush", "lifting_brush")),
            Site("diodes", "rectifier", ("shorted", "phase_lost")),
            Site("belt", "belt", ("slipping",)),
        )

    def limit_a(self, at: Circumstance) -> float:
        """Return the greatest current in amperes in a position, 0 if it stands or idles."""
        ampere = next((o.ampere for o in self.outputs if o.position == at.position), 0.0)
        ampere *= 1 - (at.severity("slipping", "belt") or 0.0)
        return ampere * (PHASE_LEFT if at.has("phase_lost", "diodes") else 1.0)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        bat, case = join(name, BATTERY), join(name, CASE)
        found = [Element(join(name, "sensing"), join(name, SENSE), case, Ohmic(self.sense_ohm))]
        short = at.severity("shorted", "diodes")
        if short is not None:
            found.append(Element(join(name, "short"), bat, case, Ohmic(short)))
        if CHARGING not in at.memory:
            return (*found, *self._field(name, at))
        inner = join(name, "inner")
        return (
            *found,
            Element(name, inner, case, self._source(at)),
            Element(join(name, "rectifier"), inner, bat, RECTIFIER),
            contact(join(name, "lamp_line"), join(name, LAMP), bat, LAMP_LINE_OHM),
        )

    def _field(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("lifting_brush", "brushes") and not at.moved:
            return ()
        ohm = self.field_ohm + at.added_ohm("worn_brush", site="brushes")
        return (Element(join(name, "field"), join(name, LAMP), join(name, CASE), Ohmic(ohm)),)

    def _source(self, at: Circumstance) -> Ohmic:
        if LIMITING in at.memory:
            return Ohmic(LIMIT_OHM, LIMIT_VOLT + LIMIT_OHM * self.limit_a(at))
        return Ohmic(self.ohm, self.set_volt + TRIM_VOLT * _trim(at.memory))

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        memory = self._next(name, at, live)
        return None if memory == at.memory else Change(memory, LOGIC_HASTE)

    def _next(self, name: str, at: Circumstance, live: Live) -> Memory:
        limit = self.limit_a(at)
        if not limit or at.has("no_output", "regulator"):
            return REST
        if CHARGING not in at.memory:
            excited = live.ampere(join(name, "field")) >= self.excite_a
            return frozenset({CHARGING}) if excited else at.memory
        short_by = self._target(at) - self._sensed(name, live)
        if LIMITING in at.memory:
            # Back to regulating from an untrimmed start, so that it cannot swing to and fro.
            return frozenset({CHARGING}) if short_by < -CLOSE_VOLT else at.memory
        if -live.ampere(name) > OVERLOAD * limit:
            return frozenset({CHARGING, LIMITING})
        if abs(short_by) <= CLOSE_VOLT:
            return at.memory
        wanted = _trim(at.memory) + round(short_by / TRIM_VOLT)
        trim = min(max(wanted, LEAST_TRIM), MOST_TRIM)
        return frozenset({CHARGING, f"{TRIM}{trim}"})

    def _target(self, at: Circumstance) -> float:
        return at.severity("set_wrong", "regulator") or self.set_volt

    def _sensed(self, name: str, live: Live) -> float:
        case = join(name, CASE)
        own = live.volt(join(name, BATTERY), case) - self.margin_volt
        return max(live.volt(join(name, SENSE), case), own)

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if not any(output.position == at.position for output in self.outputs):
            return None
        if at.has("slipping", "belt"):
            return "squeals", "its belt squeals"
        return "quiet", "its belt runs quietly"


def _trim(memory: Memory) -> int:
    return next((int(f.removeprefix(TRIM)) for f in memory if f.startswith(TRIM)), 0)

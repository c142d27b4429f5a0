"""Buttons told apart by resistors on one wire, and the unit that reads them."""

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Annotated, ClassVar

from annotated_types import Ge, Gt

from circuits.laws import Ohmic
from circuits.parts.switching import Positioned
from circuits.spec import (
    CONTACT_OHM,
    LOGIC_HASTE,
    Change,
    Circumstance,
    Element,
    Live,
    Memory,
    Site,
    Spec,
    contact,
    join,
)

AWAKE = "awake"
DECODED = "decoded:"


@dataclass(frozen=True, slots=True)
class CodedButton(Positioned):
    """A push with a resistor of its own, in ohms, in series with its contact."""

    kind: ClassVar[str] = "coded_button"
    sort: ClassVar[str] = "coded button"

    closed: tuple[str, ...] = field(kw_only=True)
    ohm: Annotated[float, Gt(0)] = field(kw_only=True)

    def named_positions(self) -> list[tuple[str, str]]:
        return [
            *Positioned.named_positions(self),
            *(("closed", position) for position in self.closed),
        ]

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("contact", "contact", ("contact_open", "contact_burnt", "stuck_closed")),
            Site("resistor", "coding resistor", ("open", "wrong_value", "shorted")),
        )

    def coded_ohm(self, at: Circumstance) -> float:
        """Return the ohms of the coding resistor as it is."""
        ohm = self.ohm * (at.severity("wrong_value", "resistor") or 1.0)
        short = at.severity("shorted", "resistor")
        return ohm if short is None else ohm * short / (ohm + short)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        closed = at.position in self.closed or at.has("stuck_closed", "contact")
        broken = at.has("contact_open", "contact") or at.has("open", "resistor")
        if broken or not closed:
            return ()
        ohm = CONTACT_OHM + at.added_ohm("contact_burnt", site="contact") + self.coded_ohm(at)
        return (Element(name, join(name, "a"), join(name, "b"), Ohmic(ohm)),)


@dataclass(frozen=True, slots=True)
class Band:
    """What the reader takes the signal for between two voltages, and the outputs it drives."""

    name: str
    low_volt: Annotated[float, Ge(0)]
    high_volt: Annotated[float, Gt(0)]
    drives: tuple[str, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class CodedReader(Spec):
    """A unit that holds a signal wire up to a reference through a resistor and reads it.

    Its terminals are feed, ground, signal, signal_ground and one for each output. Volts are
    those of signal against its own ground inside. In a gap between two bands it knows
    nothing and drives nothing. The milliamperes of the reference are not asked of the feed.

    Attributes
    ----------
    bands : from low to high, without overlap.
    reference_volt, pull_up_ohm : behind the signal pin.
    wake_volt, sleep_volt : supply volts at which it wakes and falls asleep.
    logic_ohm, output_ohm : of its own supply, and of a closed output to the feed.
    """

    kind: ClassVar[str] = "coded_reader"
    sort: ClassVar[str] = "controller"

    bands: tuple[Band, ...]
    reference_volt: Annotated[float, Gt(0)] = 5.0
    pull_up_ohm: Annotated[float, Gt(0)] = 1000.0
    wake_volt: Annotated[float, Gt(0)] = 8.5
    sleep_volt: Annotated[float, Gt(0)] = 7.5
    logic_ohm: Annotated[float, Gt(0)] = 400.0
    output_ohm: Annotated[float, Gt(0)] = 0.2

    def __post_init__(self) -> None:
        if not self.bands:
            raise ValueError("bands is empty; accepted: at least one band")
        for band in self.bands:
            if band.low_volt >= band.high_volt:
                raise ValueError(
                    f"band {band.name!r}: low_volt is {band.low_volt}; "
                    f"accepted: below high_volt, {band.high_volt}"
                )
        for lower, upper in pairwise(self.bands):
            if upper.low_volt < lower.high_volt:
                raise ValueError(
                    f"band {upper.name!r}: low_volt is {upper.low_volt}; "
                    f"accepted: from high_volt of {lower.name!r}, {lower.high_volt}"
                )
        if self.sleep_volt >= self.wake_volt:
            raise ValueError(
                f"sleep_volt is {self.sleep_volt}; accepted: below wake_volt, {self.wake_volt}"
            )

    def outputs(self) -> tuple[str, ...]:
        """Return the output terminals, in the order in which the bands name them."""
        return tuple(dict.fromkeys(out for band in self.bands for out in band.drives))

    def terminals(self) -> tuple[str, ...]:
        return ("feed", "ground", "signal", "signal_ground", *self.outputs())

    def terminal_title(self, terminal: str) -> str:
        return terminal.replace("_", " ")

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("", "", ("dead",)),
            Site("signal", "signal input", ("input_deaf", "reference_lost")),
            Site("ground", "ground inside", ("inner_ground_lost", "inner_ground_poor")),
            *(Site(out, f"{out} output", ("output_dead",)) for out in self.outputs()),
        )

    def band(self, at: Circumstance) -> Band | None:
        """Return the band that is decoded, None where none is."""
        return next((b for b in self.bands if DECODED + b.name in at.memory), None)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        core, feed = join(name, "core"), join(name, "feed")
        pull_up, signal = join(name, "pull_up"), join(name, "signal")
        awake = AWAKE in at.memory
        found = [contact(join(name, "return"), join(name, "signal_ground"), core)]
        if not at.has("inner_ground_lost", "ground"):
            ohm = CONTACT_OHM + at.added_ohm("inner_ground_poor", site="ground")
            found.append(contact(core, core, join(name, "ground"), ohm))
        if not at.has("dead"):
            found.append(Element(join(name, "logic"), feed, core, Ohmic(self.logic_ohm)))
        volt = self.reference_volt if awake and not at.has("reference_lost", "signal") else 0.0
        found.append(Element(pull_up, signal, core, Ohmic(self.pull_up_ohm, volt)))
        band = self.band(at)
        driven = [out for out in (band.drives if band else ()) if not at.has("output_dead", out)]
        outputs = (contact(join(name, o), feed, join(name, o), self.output_ohm) for o in driven)
        return (*found, *outputs)

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        memory = self._listened(name, at, live)
        return None if memory == at.memory else Change(memory, LOGIC_HASTE)

    def _listened(self, name: str, at: Circumstance, live: Live) -> Memory:
        core = join(name, "core")
        supply = 0.0 if at.has("dead") else live.volt(join(name, "feed"), core)
        if supply < (self.sleep_volt if AWAKE in at.memory else self.wake_volt):
            return frozenset()
        if AWAKE not in at.memory:
            return frozenset({AWAKE})  # the reference comes up before anything is read
        if at.has("input_deaf", "signal"):
            return frozenset({AWAKE})
        volt = max(live.volt(join(name, "signal"), core), 0.0)
        heard = (b.name for b in self.bands if b.low_volt <= volt < b.high_volt)
        return frozenset({AWAKE, *(DECODED + band for band in heard)})

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if AWAKE not in at.memory:
            return ("asleep", "its light is out")
        band = self.band(at)
        if band is None:
            return ("unknown", "its light flickers")
        return (band.name, band.words or f"its light shows {band.name.replace('_', ' ')}")

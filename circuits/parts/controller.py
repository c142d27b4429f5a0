"""A controller that drives reversible motors out on request and back on release."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Junction, Ohmic
from circuits.spec import (
    CONTACT_OHM,
    LOGIC_HASTE,
    MOMENTS,
    Change,
    Circumstance,
    Element,
    Live,
    Memory,
    Moment,
    Site,
    Spec,
    contact,
    join,
)

AWAKE, REQUEST, PERMIT, OUT = "awake", "request", "permit", "out"
OUTPUT_FAULTS = ("output_dead", "forward_dead", "reverse_dead")


@dataclass(frozen=True, slots=True)
class Channel:
    """One motor's pair of outputs, ``name_a`` and ``name_b``, fed from its own pin."""

    name: str
    feed: str

    @property
    def outputs(self) -> tuple[str, str]:
        """The two output terminals, the one that is positive on the way out first."""
        return (f"{self.name}_a", f"{self.name}_b")


@dataclass(frozen=True, slots=True)
class ReversingController(Spec):
    """A controller with a request and a permit input, and an output pair per motor.

    It wakes on either constant feed. When the request comes and the permit is there it
    drives every channel forward; when the request goes again, in reverse. It stops each
    motor on time or on current, so at rest all outputs are off.

    Attributes
    ----------
    channels : one per motor.
    wake_volt, sleep_volt : logic supply volts at which it wakes and falls asleep.
    seen_volt, gone_volt : input volts at which an input counts as there, and as gone.
    input_ohm : from each input, feed and output to ground inside.
    bridge_ohm : of one closed output transistor.
    logic_ohm, sleep_ohm : of its own supply, awake and asleep.
    trip_a : current at which a channel switches itself off until the next request.
    """

    kind: ClassVar[str] = "reversing_controller"
    sort: ClassVar[str] = "controller"
    passing: ClassVar[tuple[Moment, ...]] = MOMENTS

    channels: tuple[Channel, ...]
    wake_volt: Annotated[float, Gt(0)] = 8.5
    sleep_volt: Annotated[float, Gt(0)] = 7.5
    seen_volt: Annotated[float, Gt(0)] = 7.0
    gone_volt: Annotated[float, Gt(0)] = 4.0
    input_ohm: Annotated[float, Gt(0)] = 1e5
    bridge_ohm: Annotated[float, Gt(0)] = 0.12
    logic_ohm: Annotated[float, Gt(0)] = 400.0
    sleep_ohm: Annotated[float, Gt(0)] = 12000.0
    trip_a: Annotated[float, Gt(0)] = 16.0

    def __post_init__(self) -> None:
        if not self.channels:
            raise ValueError("channels is empty; accepted: at least one channel")
        inner = {"core", "logic"} & {c.name for c in self.channels} | {"core", "logic"} & {
            c.feed for c in self.channels
        }
        if inner:
            raise ValueError(
                f"channels use {min(inner)!r}, a name of its inside; accepted: another"
            )
        if self.sleep_volt >= self.wake_volt:
            raise ValueError(
                f"sleep_volt is {self.sleep_volt}; accepted: below wake_volt, {self.wake_volt}"
            )
        if self.gone_volt >= self.seen_volt:
            raise ValueError(
                f"gone_volt is {self.gone_volt}; accepted: below seen_volt, {self.seen_volt}"
            )

    def terminals(self) -> tuple[str, ...]:
        feeds = dict.fromkeys(channel.feed for channel in self.channels)
        outputs = [terminal for channel in self.channels for terminal in channel.outputs]
        return (REQUEST, PERMIT, *feeds, "ground", *outputs)

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("", "", ("dead",)),
            Site(REQUEST, "request input", ("input_deaf",)),
            Site(PERMIT, "permit input", ("input_deaf",)),
            Site("ground", "ground inside", ("inner_ground_lost", "inner_ground_poor")),
            *(Site(c.name, f"{c.name} output", OUTPUT_FAULTS) for c in self.channels),
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        found = [*self._supply(name, at), *self._inputs(name)]
        for channel in self.channels:
            found += self._bridge(name, channel, at)
        return tuple(found)

    def _supply(self, name: str, at: Circumstance) -> list[Element]:
        core, logic = join(name, "core"), join(name, "logic")
        found = []
        if not at.has("inner_ground_lost", "ground"):
            ohm = CONTACT_OHM + at.added_ohm("inner_ground_poor", site="ground")
            found.append(contact(core, core, join(name, "ground"), ohm))
        if not at.has("dead"):
            load = self.logic_ohm if AWAKE in at.memory else self.sleep_ohm
            found.append(Element(logic, logic, core, Ohmic(load)))
            for feed in dict.fromkeys(channel.feed for channel in self.channels):
                way = join(name, f"{feed}.supply")
                found.append(Element(way, join(name, feed), logic, Junction()))
        return found

    def _inputs(self, name: str) -> list[Element]:
        # A feed pin has its path to ground too; without it an open feed would float.
        core = join(name, "core")
        pins = (REQUEST, PERMIT, *dict.fromkeys(channel.feed for channel in self.channels))
        return [
            Element(join(name, f"{pin}.input"), join(name, pin), core, Ohmic(self.input_ohm))
            for pin in pins
        ]

    def _bridge(self, name: str, channel: Channel, at: Circumstance) -> list[Element]:
        core, feed = join(name, "core"), join(name, channel.feed)
        drive = self.drive(channel, at)
        found = []
        for terminal, high_when in zip(channel.outputs, ("forward", "reverse"), strict=True):
            out = join(name, terminal)
            found += [
                Element(f"{out}.up", out, feed, Junction()),
                Element(f"{out}.down", core, out, Junction()),
                Element(f"{out}.bleed", out, core, Ohmic(self.input_ohm)),
            ]
            if drive:
                side = feed if drive == high_when else core
                found.append(Element(out, side, out, Ohmic(self.bridge_ohm)))
        return found

    def drive(self, channel: Channel, at: Circumstance) -> str:
        """Return the way the channel drives its motor: forward, reverse or not at all."""
        way = self._wanted(at)
        dead = at.has("output_dead", channel.name) or at.has(f"{way}_dead", channel.name)
        return "" if dead or f"trip:{channel.name}" in at.memory else way

    def _wanted(self, at: Circumstance) -> str:
        if at.moment == "at_rest" or AWAKE not in at.memory:
            return ""
        if {REQUEST, PERMIT} <= at.memory:
            return "forward"
        return "reverse" if OUT in at.memory and REQUEST not in at.memory else ""

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        memory = self._listened(name, at, live)
        for channel in self.channels:
            if self._overloaded(name, channel, live):
                memory |= {f"trip:{channel.name}"}
        if AWAKE in memory and {REQUEST, PERMIT} <= memory:
            memory |= {OUT}
        elif at.moment == "at_rest" and REQUEST not in memory:
            memory -= {OUT}  # it is in again, or the time for it is over
        return None if memory == at.memory else Change(memory, LOGIC_HASTE)

    def _listened(self, name: str, at: Circumstance, live: Live) -> Memory:
        core = join(name, "core")
        supply = 0.0 if at.has("dead") else live.volt(join(name, "logic"), core)
        awake = _threshold(AWAKE in at.memory, supply, self.wake_volt, self.sleep_volt)
        memory = at.memory - {AWAKE, REQUEST, PERMIT}
        if awake:
            memory |= {AWAKE}
        for pin in (REQUEST, PERMIT):
            volt = 0.0 if at.has("input_deaf", pin) else live.volt(join(name, pin), core)
            if _threshold(pin in at.memory, volt, self.seen_volt, self.gone_volt):
                memory |= {pin}
        return memory

    def _overloaded(self, name: str, channel: Channel, live: Live) -> bool:
        return any(abs(live.ampere(join(name, out))) > self.trip_a for out in channel.outputs)


def _threshold(was: bool, volt: float, rises: float, falls: float) -> bool:
    return volt > falls if was else volt >= rises

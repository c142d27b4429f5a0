"""A two-wire data link as a meter sees it: terminations, idle volts, and who still hears.

High-speed CAN in all but the messages: 120 ohms between the wires at each end (ISO 11898-2,
as a chip maker's tutorial has it), both wires at 2.5 V while idle (a transceiver's data
sheet). A meter shows the mean of idle and messages, so a talker is the mean of its two
drivers: each is there for a small share of the time.
"""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Ge, Gt, Lt

from circuits.laws import Ohmic
from circuits.spec import LOGIC_HASTE, Change, Circumstance, Element, Live, Site, Spec, join

AWAKE = "awake"
HIGH, LOW, FEED, GROUND = "high", "low", "feed", "ground"

IDLE_VOLT = 2.5
DRIVER_OHM = 13.5
"""Of each driver: with 60 ohms across them 3.5 and 1.5 V (workshop manuals)."""
DRIVER_VOLT = 1.45
"""Of each driver above and below the idle volts."""
ASLEEP = 20
"""A node without supply loads the wires with so many times its bias (common practice, no
source: it hardly loads them)."""
HEARS_VOLT = 0.05
"""Least mean volts between the wires by which a node still hears (ours)."""
COMMON_VOLT = (-2.0, 7.0)
"""Mean of both wires within which a node hears (ISO 11898-2, from memory)."""


@dataclass(frozen=True, slots=True)
class BusNode(Spec):
    """A control unit on a data link.

    Attributes
    ----------
    termination_ohm : between the wires inside, 0 for a node that is not at an end.
    talks : share of the time for which it drives the wires, 0 for a node that listens.
    receives, misses : words for what is seen when it hears the talker and when not; empty
        for a node that shows nothing.
    bias_ohm : from each wire to the node's idle volts.
    input_ohm : between the wires inside, which lets a wire that is open drift to the other.
    logic_ohm : of its own supply.
    wake_volt, sleep_volt : supply volts at which it wakes and falls asleep.
    """

    kind: ClassVar[str] = "bus_node"
    sort: ClassVar[str] = "control unit"
    memory_flags: ClassVar[tuple[str, ...]] = (AWAKE,)

    termination_ohm: Annotated[float, Ge(0)] = 0.0
    talks: Annotated[float, Ge(0), Lt(1)] = 0.0
    receives: str = ""
    misses: str = ""
    bias_ohm: Annotated[float, Gt(0)] = 25e3
    input_ohm: Annotated[float, Gt(0)] = 50e3
    logic_ohm: Annotated[float, Gt(0)] = 100.0
    wake_volt: Annotated[float, Gt(0)] = 7.0
    sleep_volt: Annotated[float, Gt(0)] = 5.5

    def __post_init__(self) -> None:
        if self.sleep_volt >= self.wake_volt:
            raise ValueError(
                f"sleep_volt is {self.sleep_volt}; accepted: below wake_volt, {self.wake_volt}"
            )

    def terminals(self) -> tuple[str, ...]:
        return (FEED, GROUND, HIGH, LOW)

    def terminal_title(self, terminal: str) -> str:
        return {
            FEED: "feed",
            GROUND: "ground",
            HIGH: "link high",
            LOW: "link low",
        }[terminal]

    def sites(self) -> tuple[Site, ...]:
        kind = "open" if self.termination_ohm else "extra_termination"
        return (
            Site("", "", ("dead",)),
            Site("termination", "termination", (kind,)),
            Site("link", "link driver", ("shorted",)),
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        ground = join(name, GROUND)
        found = [Element(name, join(name, FEED), ground, Ohmic(self.logic_ohm))]
        awake = AWAKE in at.memory
        for wire, sign in ((HIGH, 1), (LOW, -1)):
            here = join(name, wire)
            bias = Ohmic(self.bias_ohm, IDLE_VOLT) if awake else Ohmic(self.bias_ohm * ASLEEP)
            found.append(Element(f"{here}.bias", here, ground, bias))
            if awake and self.talks:
                law = Ohmic(DRIVER_OHM / self.talks, IDLE_VOLT + sign * DRIVER_VOLT)
                found.append(Element(f"{here}.driver", here, ground, law))
        return (*found, *self._between(name, at))

    def _between(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        high, low = join(name, HIGH), join(name, LOW)
        lost = at.has("open", "termination")
        extra = at.severity("extra_termination", "termination")
        ohms = {
            "input": self.input_ohm,
            "termination": None if lost or not self.termination_ohm else self.termination_ohm,
            "extra": extra,
            "short": at.severity("shorted", "link"),
        }
        return tuple(
            Element(join(name, what), high, low, Ohmic(ohm))
            for what, ohm in ohms.items()
            if ohm is not None
        )

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        volt = 0.0 if at.has("dead") else live.volt(join(name, FEED), join(name, GROUND))
        was = AWAKE in at.memory
        awake = volt > self.sleep_volt if was else volt >= self.wake_volt
        return None if awake == was else Change(at.memory ^ {AWAKE}, LOGIC_HASTE)

    def hears(self, name: str, at: Circumstance, live: Live) -> bool:
        """Say whether the node, awake, hears a talker through its two wires."""
        high, low = (live.volt(join(name, wire), join(name, GROUND)) for wire in (HIGH, LOW))
        least, most = COMMON_VOLT
        common = (high + low) / 2
        return AWAKE in at.memory and high - low >= HEARS_VOLT and least <= common <= most

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if not self.receives:
            return None
        if AWAKE not in at.memory:
            return ("dark", "dark")
        return ("hears", self.receives) if self.hears(name, at, live) else ("misses", self.misses)


@dataclass(frozen=True, slots=True)
class Socket(Spec):
    """A socket into which a tester plugs: its contacts are there to be probed."""

    kind: ClassVar[str] = "socket"
    sort: ClassVar[str] = "socket"

    pins: tuple[str, ...]

    def terminals(self) -> tuple[str, ...]:
        return self.pins

    def terminal_title(self, terminal: str) -> str:
        return terminal.replace("_", " ")

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        return ()

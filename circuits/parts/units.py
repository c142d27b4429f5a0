"""Control units that fall asleep, and what keeps them awake."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Ohmic
from circuits.spec import (
    LOGIC_HASTE,
    Change,
    Circumstance,
    Element,
    Live,
    Moment,
    Site,
    Spec,
    join,
)

AWAKE = "awake"
USUAL_VOLT = 12.6
"""Volts at which a unit draws its ``sleep_a`` and ``awake_a``."""


@dataclass(frozen=True, slots=True)
class SleepingUnit(Spec):
    """A control unit on a constant feed that sleeps once its wake line has gone.

    It stays awake for a while after that: just operated and moving it still is, at rest it
    is asleep. A unit without a wake line wakes by itself now and then and is asleep when
    it is read.

    Attributes
    ----------
    sleep_a, awake_a : amperes drawn asleep and awake, at 12.6 V.
    wake_line : whether it has one.
    wake_volt, gone_volt : volts at which the wake line counts as there, and as gone.
    input_ohm : from the wake line to ground inside.
    """

    kind: ClassVar[str] = "sleeping_unit"
    sort: ClassVar[str] = "control unit"
    passing: ClassVar[tuple[Moment, ...]] = ("just_operated", "at_rest")
    memory_flags: ClassVar[tuple[str, ...]] = (AWAKE,)

    sleep_a: Annotated[float, Gt(0)]
    awake_a: Annotated[float, Gt(0)]
    wake_line: bool = True
    wake_volt: Annotated[float, Gt(0)] = 6.0
    gone_volt: Annotated[float, Gt(0)] = 3.0
    input_ohm: Annotated[float, Gt(0)] = 2e4

    def __post_init__(self) -> None:
        if self.sleep_a >= self.awake_a:
            raise ValueError(f"sleep_a is {self.sleep_a}; accepted: below awake_a, {self.awake_a}")
        if self.gone_volt >= self.wake_volt:
            raise ValueError(
                f"gone_volt is {self.gone_volt}; accepted: below wake_volt, {self.wake_volt}"
            )

    def terminals(self) -> tuple[str, ...]:
        return ("feed", *(("wake",) if self.wake_line else ()), "ground")

    def terminal_title(self, terminal: str) -> str:
        return {"feed": "constant feed", "wake": "wake line", "ground": "ground"}[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("stays_awake", "dead")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        feed, ground = join(name, "feed"), join(name, "ground")
        awake = (AWAKE in at.memory or at.has("stays_awake")) and not at.has("dead")
        ampere = self.awake_a if awake else self.sleep_a
        found = [Element(name, feed, ground, Ohmic(USUAL_VOLT / ampere))]
        if self.wake_line:
            law = Ohmic(self.input_ohm)
            found.append(Element(join(name, "input"), join(name, "wake"), ground, law))
        return tuple(found)

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        if not self.wake_line:
            return None
        volt = live.volt(join(name, "wake"), join(name, "ground"))
        was = AWAKE in at.memory
        woken = volt > self.gone_volt if was else volt >= self.wake_volt
        lingers = was and at.moment != "at_rest"
        if (woken or lingers) == was:
            return None
        return Change(at.memory ^ {AWAKE}, LOGIC_HASTE)

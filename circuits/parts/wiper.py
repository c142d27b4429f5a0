"""The wiper motor: two speeds by a third brush, and a park switch that it works itself."""

from dataclasses import dataclass, replace
from typing import Annotated, ClassVar

from annotated_types import Gt, Lt

from circuits.laws import Armature, Ohmic
from circuits.parts.motor import LEAST_TURNS, Motor
from circuits.parts.switching import CONTACT_KINDS
from circuits.spec import (
    BODY,
    CONTACT_OHM,
    Change,
    Circumstance,
    Element,
    Live,
    Memory,
    Site,
    contact,
    join,
)

AWAY = "away_from_park"
PASSES = "trip:passes"
"""It comes by its park position: the instant in which the park switch changes over."""
RUNS_ON, PARKS = "trip:runs_on", "trip:parks"
"""What the park position has shown: that it runs on through it, or stops there."""

TURN_HASTE = 0.1
"""A turn takes a second: relays, logic and fuses change first."""

BRUSHES = ("slow", "fast")
BRUSH_KINDS = ("worn_brush", "lifting_brush")

PACES = (
    (1.2, "fast", "wipes fast"),
    (0.8, "slow", "wipes"),
    (0.02, "sluggish", "wipes sluggishly"),
)
"""Least share of the usual speed, code and words."""


@dataclass(frozen=True, slots=True)
class WiperMotor(Motor):
    """A wiper motor with the terminals slow, fast, park_feed, park and ground.

    ``ohm`` and ``k`` are those between the slow brush and the common one; the fast brush
    has ``fast_share`` of the turns. Away from the park position the park switch joins
    ``park`` to ``park_feed``; there it joins ``park`` to ``ground``, which stops the motor
    (the trade's 53, 53b, 53a, 53e and 31: DIN 72552, as listed by an encyclopaedia).

    Notes
    -----
    It is found parked. Once it turns it is away, and soon comes by the park position: a
    motor that is fed by the stalk runs on through it, one that only its own park switch
    feeds stops there. While *moving* it is away; *at rest* it has stopped or runs. The volts
    that a turning motor makes at the brush that is not fed are left out.
    """

    kind: ClassVar[str] = "wiper_motor"
    sort: ClassVar[str] = "wiper motor"
    stops: ClassVar[bool] = False
    memory_flags: ClassVar[tuple[str, ...]] = (AWAY,)

    fast_share: Annotated[float, Gt(0.1), Lt(1)] = 0.65

    def terminals(self) -> tuple[str, ...]:
        return (*BRUSHES, "park_feed", "park", "ground")

    def terminal_title(self, terminal: str) -> str:
        return {
            "slow": "slow brush",
            "fast": "fast brush",
            "park_feed": "park switch feed",
            "park": "park switch",
            "ground": "ground",
        }[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("winding", "winding", ("open", "shorted_turns", "to_frame")),
            *(Site(f"{b}_brush", f"{b} brush", BRUSH_KINDS) for b in (*BRUSHES, "common")),
            Site("mechanism", "mechanism", ("stiff", "seized")),
            Site("park_run", "park switch, running contact", CONTACT_KINDS),
            Site("park_stop", "park switch, parking contact", ("contact_open", "contact_burnt")),
        )

    def brush_armature(self, brush: str, at: Circumstance) -> Armature:
        """Return the law between a brush and the common one, faults included."""
        share = 1.0 if brush == "slow" else self.fast_share
        lost = min(at.severity("shorted_turns", "winding") or 0.0, 1 - LEAST_TURNS)
        law = Motor.armature(self, at)
        return replace(
            law,
            ohm=law.ohm * share + at.added_ohm("worn_brush", site=f"{brush}_brush"),
            k=law.k * share,
            drag=self.drag + lost * (self.k * share) ** 2 / (self.ohm * share),
            stalled=at.moment == "just_operated" or at.has("seized", "mechanism"),
        )

    @staticmethod
    def _lifted(brush: str, at: Circumstance) -> bool:
        return at.has("lifting_brush", f"{brush}_brush") and not at.moved

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        found = [*self._windings(name, at), *self._park_switch(name, at)]
        frame = at.severity("to_frame", "winding")
        if frame is not None:
            found.append(Element(f"{name}.frame", join(name, "slow"), BODY, Ohmic(frame)))
        return tuple(found)

    def _windings(self, name: str, at: Circumstance) -> list[Element]:
        common, ground = join(name, "common"), join(name, "ground")
        found = []
        if not self._lifted("common", at):
            ohm = CONTACT_OHM + at.added_ohm("worn_brush", site="common_brush")
            found.append(contact(common, common, ground, ohm))
        if not at.has("open", "winding"):
            found += [
                Element(join(name, b), join(name, b), common, self.brush_armature(b, at))
                for b in BRUSHES
                if not self._lifted(b, at)
            ]
        return found

    def _park_switch(self, name: str, at: Circumstance) -> list[Element]:
        away = AWAY in at.memory or at.has("stuck_closed", "park_run")
        site, other = ("park_run", "park_feed") if away else ("park_stop", "ground")
        if at.has("contact_open", site):
            return []
        ohm = CONTACT_OHM + at.added_ohm("contact_burnt", site=site)
        return [contact(join(name, site), join(name, "park"), join(name, other), ohm)]

    def speed(self, name: str, at: Circumstance, live: Live) -> float:
        """Return the speed in rad/s: that of the brush which drives it harder."""
        if at.has("open", "winding") or self._lifted("common", at):
            return 0.0
        common = join(name, "common")
        speeds = [
            self.brush_armature(b, at).speed(live.volt(join(name, b), common))
            for b in BRUSHES
            if not self._lifted(b, at)
        ]
        return max(speeds, key=abs, default=0.0)

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        if at.moment == "just_operated":
            return None
        runs = abs(self.speed(name, at, live)) > PACES[-1][0] * self.usual_speed()
        memory = self._turned(at, runs=runs)
        return None if memory == at.memory else Change(memory, TURN_HASTE)

    @staticmethod
    def _turned(at: Circumstance, *, runs: bool) -> Memory:
        """Return the memory that follows: away, by the park position, and what that showed."""
        if PASSES in at.memory:
            if not runs and at.moment == "at_rest":
                return at.memory
            return frozenset({AWAY, RUNS_ON if runs else PARKS})
        if not runs or {RUNS_ON, PARKS} & at.memory:
            return at.memory
        return frozenset({PASSES}) if AWAY in at.memory else frozenset({AWAY})

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if at.moment == "just_operated":
            return None
        share = self.speed(name, at, live) / self.usual_speed()
        pace = next(((code, words) for least, code, words in PACES if abs(share) >= least), None)
        if pace is None:
            across = AWAY in at.memory
            return ("across", "stands across the screen") if across else ("parked", "stands parked")
        if PARKS in at.memory:
            return ("parks", "wipes on until it is parked")
        if share < 0:
            return (f"{pace[0]}_backward", f"{pace[1]}, backward")
        return pace

"""A motor that travels between two ends, and the limit switches that it works there."""

from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from circuits.laws import Armature
from circuits.parts.motor import Motor
from circuits.parts.switching import CONTACT_KINDS
from circuits.spec import (
    CONTACT_OHM,
    Change,
    Circumstance,
    Element,
    Live,
    Site,
    Spec,
    contact,
    join,
)

FORWARD = "at_forward_end"
"""It stands at its forward end, or is on the way there; without it, at the backward one."""
UNDER_WAY = "trip:under_way"
"""It is between its ends: a state that, as every ``trip:``, ends with the moment it is in."""
TRAVEL_HASTE = 0.1
"""Travel takes seconds: relays, logic and fuses change first."""

End = Literal["forward", "backward"]


@dataclass(frozen=True, slots=True)
class TravelMotor(Motor):
    """A motor that moves something between two ends and knows where it has got to.

    It is found at the backward end. While *moving* it leaves the end at which it stands if
    it is driven away from it; by the next moment it has arrived at the other. Just operated,
    or driven against an end, it stands.
    """

    kind: ClassVar[str] = "travel_motor"
    memory_flags: ClassVar[tuple[str, ...]] = (FORWARD, UNDER_WAY)

    stands: tuple[str, str] = ("stands at its forward end", "stands at its backward end")
    """Words for what is seen of it at each end."""

    def armature(self, at: Circumstance) -> Armature:
        """Return the law of the winding as it is, faults and temperature included."""
        held = UNDER_WAY not in at.memory or at.has("seized", "mechanism")
        return replace(Motor.armature(self, at), stalled=held)

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        if at.moment != "moving" or UNDER_WAY in at.memory:
            return None
        if self._interrupted(at) or at.has("seized", "mechanism"):
            return None
        law = replace(self.armature(at), stalled=False)
        speed = law.speed(live.volt(join(name, "a"), join(name, "b")))
        if FORWARD in at.memory:
            return Change(frozenset({UNDER_WAY}), TRAVEL_HASTE) if speed < 0 else None
        return Change(frozenset({UNDER_WAY, FORWARD}), TRAVEL_HASTE) if speed > 0 else None

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if at.moment == "at_rest":
            forward = FORWARD in at.memory
            return ("forward_end", self.stands[0]) if forward else ("backward_end", self.stands[1])
        return Motor.seen(self, name, at, live)


@dataclass(frozen=True, slots=True)
class LimitSwitch(Spec):
    """A switch that a travelling motor opens at one of its ends.

    ``driven_by`` names the motor, ``opens_at`` the end.
    """

    kind: ClassVar[str] = "limit_switch"
    sort: ClassVar[str] = "limit switch"

    driven_by: str
    opens_at: End

    def follows(self) -> str:
        return self.driven_by

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", CONTACT_KINDS),)

    def is_open(self, at: Circumstance) -> bool:
        """Say whether the motor holds it open."""
        if UNDER_WAY in at.linked:
            return False
        return (FORWARD in at.linked) == (self.opens_at == "forward")

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("contact_open") or (self.is_open(at) and not at.has("stuck_closed")):
            return ()
        ohm = CONTACT_OHM + at.added_ohm("contact_burnt")
        return (contact(name, join(name, "a"), join(name, "b"), ohm),)

"""Motors that keep running while they are fed, and the resistors that slow them down."""

from dataclasses import dataclass, replace
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Armature, Ohmic
from circuits.parts.motor import Motor
from circuits.spec import Change, Circumstance, Element, Live, Moment, Site, Spec, contact, join

PACES = (
    (0.87, "full", "at full speed"),
    (0.65, "brisk", "briskly"),
    (0.45, "middling", "at middling speed"),
    (0.02, "gentle", "gently"),
)
"""Least share of the usual speed, code and words of what is heard of a fan or a pump."""

THERMAL = "thermal"
OPENED = "blown"
"""As of a fuse: it is remembered, and only a new part closes it."""
THERMAL_HASTE = 1e-3
"""A thermal fuse takes seconds: whatever else can change does so first."""


@dataclass(frozen=True, slots=True)
class RunningMotor(Motor):
    """A one-way motor that turns a fan or a pump for as long as it is fed.

    ``drag`` is the load: torque in N*m*s that rises with the speed, so that a resistor in
    series slows the motor down. At rest means: after it has run up.
    """

    kind: ClassVar[str] = "running_motor"
    stops: ClassVar[bool] = False

    def armature(self, at: Circumstance) -> Armature:
        """Return the law of the winding as it is, faults and temperature included."""
        held = at.moment == "just_operated" or at.has("seized", "mechanism")
        return replace(Motor.armature(self, at), stalled=held)

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if at.moment == "just_operated":
            return None
        still = ("still", "does not turn")
        if self._interrupted(at):
            return still
        speed = self.armature(at).speed(live.volt(join(name, "a"), join(name, "b")))
        share = speed / self.usual_speed()
        if share < -PACES[-1][0]:
            return ("backward", self.backward)
        paces = ((code, f"{self.forward} {how}") for least, code, how in PACES if share >= least)
        return next(paces, still)


@dataclass(frozen=True, slots=True)
class PackStep:
    """One resistor of a pack, in ohms, and the terminal at its far end."""

    name: str
    ohm: Annotated[float, Gt(0)]


@dataclass(frozen=True, slots=True)
class ResistorPack(Spec):
    """Resistors in a row behind one thermal fuse, with a terminal after each.

    The pack sits in the fan's air. The thermal fuse opens where the resistors turn more
    than ``opens_watt`` into heat for longer than a start takes, as they do when the fan
    stands, and stays open for as long as the vehicle is in that setting.
    """

    kind: ClassVar[str] = "resistor_pack"
    sort: ClassVar[str] = "resistor pack"
    passing: ClassVar[tuple[Moment, ...]] = ("just_operated", "at_rest")
    memory_flags: ClassVar[tuple[str, ...]] = (OPENED,)
    heats: ClassVar[bool] = True

    steps: tuple[PackStep, ...]
    opens_watt: Annotated[float, Gt(0)]

    def __post_init__(self) -> None:
        if not self.steps:
            raise ValueError("steps is empty; accepted: at least one resistor")
        if {"in", THERMAL} & {step.name for step in self.steps}:
            raise ValueError("steps use 'in' or 'thermal', names of its own; accepted: others")

    def terminals(self) -> tuple[str, ...]:
        return ("in", *(step.name for step in self.steps))

    def sites(self) -> tuple[Site, ...]:
        return (
            Site(THERMAL, "thermal fuse", ("thermal_fuse_open",)),
            *(Site(s.name, f"{s.name} resistor", ("open", "high_resistance")) for s in self.steps),
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        end = join(name, THERMAL)
        found = []
        if OPENED not in at.memory and not at.has("thermal_fuse_open", THERMAL):
            found.append(contact(end, join(name, "in"), end))
        for step in self.steps:
            full = join(name, step.name)
            ohm = step.ohm + at.added_ohm("high_resistance", site=step.name)
            if not at.has("open", step.name):
                found.append(Element(full, end, full, Ohmic(ohm)))
            end = full
        return tuple(found)

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        if at.moment == "just_operated" or OPENED in at.memory:
            return None
        amperes = [(live.ampere(join(name, s.name)), s) for s in self.steps]
        watt = sum(ampere**2 * step.ohm for ampere, step in amperes)
        return Change(at.memory | {OPENED}, THERMAL_HASTE) if watt > self.opens_watt else None

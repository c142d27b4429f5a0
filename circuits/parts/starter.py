"""The starter: solenoid with two windings, heavy contact and motor in one housing."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Ge, Gt

from circuits.laws import Armature, Ohmic
from circuits.parts.motor import LEAST_TURNS
from circuits.parts.switching import CONTACT_KINDS, PULLED_IN
from circuits.spec import (
    MOMENTS,
    RELAY_HASTE,
    Change,
    Circumstance,
    Element,
    Live,
    Moment,
    Site,
    Spec,
    contact,
    join,
)

BATTERY, START, MOTOR, CASE, BLOCK = "bat", "start", "motor", "case", "block"

SLOW = 0.85
"""A starter turning below this share of its usual speed is heard to be slow."""
USUAL_VOLT = 10.8
"""Volts at the motor while a sound vehicle cranks."""


@dataclass(frozen=True, slots=True)
class Starter(Spec):
    """A starter bolted to the engine block.

    The pull-in winding lies between ``start`` and the motor stud, the hold-in winding
    between ``start`` and the case. Both have the same turns, so the plunger feels the sum
    of their currents. Once the contact has closed, the motor stud is at battery voltage,
    the pull-in winding carries nothing and the hold-in winding holds alone. On release the
    two lie in series with opposite currents, and the plunger lets go.

    Attributes
    ----------
    ohm, k, load_nm, drag : of the motor: ohms, V*s, N*m and N*m*s, the engine's drag as
        the motor feels it included.
    pull_in_ohm, hold_in_ohm : of the windings.
    pull_in_a, hold_in_a : currents, summed over the windings, that move and hold the plunger.
    contact_ohm : of the closed contact when clean.
    mount_ohm : of the bolted face between case and engine block when clean.
    """

    kind: ClassVar[str] = "starter"
    sort: ClassVar[str] = "starter"
    passing: ClassVar[tuple[Moment, ...]] = MOMENTS
    memory_flags: ClassVar[tuple[str, ...]] = (PULLED_IN,)

    ohm: Annotated[float, Gt(0)]
    k: Annotated[float, Gt(0)]
    load_nm: Annotated[float, Ge(0)]
    drag: Annotated[float, Gt(0)]
    pull_in_ohm: Annotated[float, Gt(0)]
    hold_in_ohm: Annotated[float, Gt(0)]
    pull_in_a: Annotated[float, Gt(0)]
    hold_in_a: Annotated[float, Gt(0)]
    contact_ohm: Annotated[float, Gt(0)] = 4e-4
    mount_ohm: Annotated[float, Gt(0)] = 2e-4

    def terminals(self) -> tuple[str, ...]:
        return (BATTERY, START, MOTOR, CASE, BLOCK)

    def terminal_title(self, terminal: str) -> str:
        return {
            BATTERY: "battery stud",
            START: "solenoid terminal",
            MOTOR: "motor stud",
            CASE: "case",
            BLOCK: "engine block",
        }[terminal]

    def probes(self) -> tuple[str, ...]:
        return (MOTOR, CASE)

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("pull_in", "pull-in winding", ("coil_open",)),
            Site("hold_in", "hold-in winding", ("coil_open", "coil_shorted_turns")),
            Site("contact", "solenoid contact", (*CONTACT_KINDS, "contact_pitted")),
            Site("plunger", "solenoid plunger", ("seized",)),
            Site("winding", "motor winding", ("open", "shorted_turns")),
            Site("brushes", "motor brushes", ("worn_brush", "lifting_brush")),
            Site("mechanism", "motor and engine", ("stiff", "seized")),
            Site("mount", "mounting face", ("poor_joint",)),
        )

    @staticmethod
    def _interrupted(at: Circumstance) -> bool:
        lifted = at.has("lifting_brush", "brushes") and not at.moved
        return lifted or at.has("open", "winding")

    @staticmethod
    def _made(at: Circumstance) -> bool:
        if at.has("contact_open", "contact"):
            return False
        return PULLED_IN in at.memory or at.has("stuck_closed", "contact")

    def armature(self, at: Circumstance) -> Armature:
        """Return the law of the motor as it is, held still while it has just been switched on."""
        shorted = at.severity("shorted_turns", "winding") or 0.0
        left = max(1 - shorted, LEAST_TURNS)
        return Armature(
            ohm=self.ohm * left + at.added_ohm("worn_brush", site="brushes"),
            k=self.k * left,
            friction_nm=self.load_nm * (at.severity("stiff", "mechanism") or 1.0),
            drag=self.drag + shorted * self.k**2 / self.ohm,
            stalled=at.moment == "just_operated" or at.has("seized", "mechanism"),
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        motor, case = join(name, MOTOR), join(name, CASE)
        mount = self.mount_ohm + at.added_ohm("poor_joint", site="mount")
        found = [
            *self._windings(name, at),
            contact(join(name, "mount"), case, join(name, BLOCK), mount),
        ]
        if not self._interrupted(at):
            found.append(Element(name, motor, case, self.armature(at)))
        if self._made(at):
            worse = at.added_ohm("contact_burnt", "contact_pitted", site="contact")
            ohm = self.contact_ohm + worse
            found.append(contact(join(name, "contact"), join(name, BATTERY), motor, ohm))
        return tuple(found)

    def _windings(self, name: str, at: Circumstance) -> list[Element]:
        start, found = join(name, START), []
        if not at.has("coil_open", "pull_in"):
            law = Ohmic(self.pull_in_ohm)
            found.append(Element(join(name, "pull_in"), start, join(name, MOTOR), law))
        if not at.has("coil_open", "hold_in"):
            left = 1 - (at.severity("coil_shorted_turns", "hold_in") or 0.0)
            law = Ohmic(self.hold_in_ohm * left)
            found.append(Element(join(name, "hold_in"), start, join(name, CASE), law))
        return found

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        pulled = PULLED_IN in at.memory
        # A winding with shorted turns carries more current through fewer turns.
        left = 1 - (at.severity("coil_shorted_turns", "hold_in") or 0.0)
        hold = live.ampere(join(name, "hold_in")) * left
        force = (
            0.0 if at.has("seized", "plunger") else abs(live.ampere(join(name, "pull_in")) + hold)
        )
        if force > self.hold_in_a if pulled else force < self.pull_in_a:
            return None
        memory = at.memory - {PULLED_IN} if pulled else at.memory | {PULLED_IN}
        return Change(memory, RELAY_HASTE)

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        volt = live.volt(join(name, MOTOR), join(name, CASE))
        speed = 0.0 if self._interrupted(at) else abs(self.armature(at).speed(volt))
        share = speed / self.armature(Circumstance()).speed(USUAL_VOLT)
        if share < 0.02:
            clicks = PULLED_IN in at.memory
            return ("clicks", "clicks, does not turn") if clicks else ("silent", "silent")
        slow = share < SLOW
        return ("cranks_slowly", "turns slowly") if slow else ("cranks", "turns the engine")

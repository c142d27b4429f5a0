"""The reversible permanent-magnet motor and what wears in it."""

from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Ge, Gt

from circuits.laws import Armature, Ohmic, copper_factor
from circuits.spec import BODY, MOMENTS, Circumstance, Element, Live, Moment, Site, Spec, join

SLOW = 0.85
"""A motor turning below this share of its usual speed is seen to be slow."""

USUAL_VOLT = 12.0

LEAST_TURNS = 0.02


@dataclass(frozen=True, slots=True)
class Motor(Spec):
    """A brushed permanent-magnet motor that drives a mechanism to a stop and back.

    Attributes
    ----------
    ohm : winding resistance in ohms at 20 degrees C, brushes included.
    k : torque and back-EMF constant in V*s.
    load_nm : torque of the mechanism in N*m.
    drag : viscous torque in N*m*s.
    forward, backward : words for the motion when ``a`` is positive, and the reverse.
    heat_j_per_k : heat capacity of the winding in J/K.

    Notes
    -----
    With a share s of the turns shorted, R and k fall to (1 - s) of themselves and the
    shorted turns brake with s * k**2 / R: more current, and less speed only through the
    resistance of the supply path. Without the brake the motor would run faster, which a
    worn motor does not.
    """

    kind: ClassVar[str] = "motor"
    sort: ClassVar[str] = "motor"
    passing: ClassVar[tuple[Moment, ...]] = MOMENTS
    stops: ClassVar[bool] = True
    """Whether it comes to a stop, so that current at rest means that it is held there."""

    ohm: Annotated[float, Gt(0)]
    k: Annotated[float, Gt(0)]
    load_nm: Annotated[float, Ge(0)]
    drag: Annotated[float, Gt(0)] = 1e-5
    forward: str = "turns forward"
    backward: str = "turns backward"
    heat_j_per_k: Annotated[float, Gt(0)] = 60.0

    def terminal_title(self, terminal: str) -> str:
        return f"motor terminal {terminal}"

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("winding", "winding", ("open", "shorted_turns", "to_frame")),
            Site("brushes", "brushes", ("worn_brush", "lifting_brush")),
            Site("mechanism", "mechanism", ("stiff", "seized")),
        )

    @staticmethod
    def _interrupted(at: Circumstance) -> bool:
        # A lifting brush falls back on the commutator when the motor is tapped.
        lifted = at.has("lifting_brush", "brushes") and not at.moved
        return lifted or at.has("open", "winding")

    def armature(self, at: Circumstance) -> Armature:
        """Return the law of the winding as it is, faults and temperature included."""
        shorted = at.severity("shorted_turns", "winding") or 0.0
        left = max(1 - shorted, LEAST_TURNS)
        held = at.moment != "moving" or at.has("seized", "mechanism")
        return Armature(
            ohm=self.ohm * left * copper_factor(at.celsius)
            + at.added_ohm("worn_brush", site="brushes"),
            k=self.k * left,
            friction_nm=self.load_nm * (at.severity("stiff", "mechanism") or 1.0),
            drag=self.drag + shorted * self.k**2 / self.ohm,
            stalled=held,
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        a, b = join(name, "a"), join(name, "b")
        frame = at.severity("to_frame", "winding")
        leak = () if frame is None else (Element(f"{name}.frame", a, BODY, Ohmic(frame)),)
        if self._interrupted(at):
            return leak
        return (Element(name, a, b, self.armature(at)), *leak)

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        if at.moment == "just_operated":
            return None
        if self._interrupted(at):
            return ("still", "does not move")
        volt = live.volt(join(name, "a"), join(name, "b"))
        speed = self.armature(at).speed(volt)
        if abs(speed) < 0.02 * self.usual_speed():
            return ("still", "does not move")
        way = ("forward", self.forward) if speed > 0 else ("backward", self.backward)
        slow = abs(speed) < SLOW * self.usual_speed()
        return (f"{way[0]}_slow", f"{way[1]}, slowly") if slow else way

    def usual_speed(self) -> float:
        """Return the speed in rad/s of the sound motor in a vehicle at rest."""
        return Armature(self.ohm, self.k, self.load_nm, self.drag).speed(USUAL_VOLT)

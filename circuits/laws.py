"""Element laws: how the current through one branch follows from the volts across it.

Every law is monotone (the current never falls as its own voltage rises), so a
network of them has one answer, the minimum of a convex function (Millar's
co-content). Whatever remembers or jumps, such as a relay or a fuse, is a discrete
state outside the laws (see ``circuits.operate``).
"""

import math
from dataclasses import dataclass

COPPER_OHM_MM2_PER_M = 1 / 58
"""Resistivity of annealed copper at 20 degrees C (100 % IACS; IEC 60028, from memory)."""

COPPER_PER_KELVIN = 0.00393
"""Temperature coefficient of copper at 20 degrees C (IEC 60028, from memory; gives the
temperature factors reprinted from IEC 60228)."""

FILAMENT_BEND = 4.0
"""How sharply a filament's resistance turns from the cold value to the power law."""

LEAST_OHM = 1e-4
MOST_OHM = 1e8


def wire_ohm(*, area_mm2: float, length_m: float, celsius: float = 20.0) -> float:
    """Return the resistance in ohms of a copper conductor.

    >>> round(wire_ohm(area_mm2=0.75, length_m=10.0), 4)
    0.2299
    """
    return COPPER_OHM_MM2_PER_M * length_m / area_mm2 * copper_factor(celsius)


def copper_factor(celsius: float) -> float:
    """Return the resistance of copper at a temperature over that at 20 degrees C."""
    return 1 + COPPER_PER_KELVIN * (celsius - 20)


@dataclass(frozen=True, slots=True)
class Ohmic:
    """A resistance in series with an EMF: i = (v - emf) / ohm.

    ``emf`` is in volts, positive towards the first terminal. A resistance above
    ``MOST_OHM`` (infinite, for an open contact) is no element at all; one below
    ``LEAST_OHM`` counts as ``LEAST_OHM``.
    """

    ohm: float
    emf: float = 0.0


@dataclass(frozen=True, slots=True)
class Filament:
    """A lamp filament: its resistance goes with volts to a power, down to that of the cold wire.

    R = hot_ohm * (cold**m + (1 - cold**m) * u**(m * exponent)) ** (1 / m), u = |v| /
    rated_volt and m = ``FILAMENT_BEND``: a power law that stops at the cold value.

    The exponent gives i ~ v**0.55 near the rated voltage (Fink and Beaty, *Standard
    Handbook for Electrical Engineers*, 1978, as quoted by an encyclopaedia);
    ``cold`` is the cold resistance over the hot one (OpenStax *University Physics*
    section 9.3: 0.350 / 4.8 ohm).
    """

    hot_ohm: float
    rated_volt: float
    cold: float = 0.08
    exponent: float = 0.45


@dataclass(frozen=True, slots=True)
class Junction:
    """A diode from a (anode) to b (cathode) with a series resistance.

    Solved in closed form by the Wright omega function, so that its slope never
    exceeds 1 / series_ohm.
    """

    saturation_a: float = 1e-9
    thermal_volt: float = 0.0452
    series_ohm: float = 0.05


@dataclass(frozen=True, slots=True)
class Armature:
    """A brushed motor at steady speed: v = i*ohm + k*w and k*i = friction + drag*w.

    Attributes
    ----------
    ohm : winding resistance in ohms.
    k : torque and back-EMF constant in V*s (N*m/A).
    friction_nm : load torque in N*m, opposing the motion.
    drag : torque per speed in N*m*s, the brake of shorted turns included.
    stalled : whether the shaft is held: then i = v / ohm.
    """

    ohm: float
    k: float
    friction_nm: float
    drag: float
    stalled: bool = False

    def speed(self, volt: float) -> float:
        """Return the speed in rad/s at a voltage across the terminals."""
        breakaway = self.friction_nm * self.ohm / self.k
        if self.stalled or abs(volt) <= breakaway:
            return 0.0
        ampere = (self.friction_nm * self.k + self.drag * abs(volt)) / (
            self.drag * self.ohm + self.k**2
        )
        return math.copysign((abs(volt) - ampere * self.ohm) / self.k, volt)


Law = Ohmic | Filament | Junction | Armature

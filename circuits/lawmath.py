"""The laws of ``circuits.laws`` over arrays: current and slope for many elements at once.

An element's parameters are five numbers; ``LAWS[code]`` takes volts (case, element) and the
parameters (5, case, element), and returns amperes and siemens of the same shape.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.special import wrightomega

from circuits.laws import (
    FILAMENT_BEND,
    LEAST_OHM,
    MOST_OHM,
    Armature,
    Filament,
    Junction,
    Law,
    Ohmic,
)

Array = NDArray[np.float64]
ArrayLaw = Callable[[Array, Array], tuple[Array, Array]]
Numbers = tuple[float, float, float, float, float]

DIODE_LEAK_S = 1e-8

KINDS: tuple[type, ...] = (Ohmic, Filament, Junction, Armature)
"""The laws by the code under which their parameters are stacked."""


def conducts(law: Law) -> bool:
    """Say whether an element with this law is one at all."""
    return not isinstance(law, Ohmic) or law.ohm <= MOST_OHM


def numbers_of(law: Law) -> Numbers:
    """Return the parameters of a law as five numbers."""
    match law:
        case Ohmic(ohm, emf):
            return (1 / max(ohm, LEAST_OHM), emf, 0.0, 0.0, 0.0)
        case Filament(hot, rated, cold, exponent):
            return (hot, rated, cold, exponent, 0.0)
        case Junction(saturation, thermal, series):
            return (saturation, thermal, series, 0.0, 0.0)
        case Armature(ohm, k, friction, drag, stalled):
            return (max(ohm, LEAST_OHM), k, friction, drag, float(stalled))


def _ohmic(v: Array, p: Array) -> tuple[Array, Array]:
    return p[0] * (v - p[1]), p[0]


def _filament(v: Array, p: Array) -> tuple[Array, Array]:
    hot, rated, cold, exponent, _ = p
    floor = cold**FILAMENT_BEND
    warmth = (1 - floor) * (np.abs(v) / rated) ** (FILAMENT_BEND * exponent)
    ohm = hot * (floor + warmth) ** (1 / FILAMENT_BEND)
    return v / ohm, (1 - exponent * warmth / (floor + warmth)) / ohm


def _junction(v: Array, p: Array) -> tuple[Array, Array]:
    saturation, thermal, series, _, _ = p
    drop = saturation * series
    omega = wrightomega(np.log(drop / thermal) + (v + drop) / thermal).real
    current = thermal / series * omega - saturation
    return current + DIODE_LEAK_S * v, omega / (series * (1 + omega)) + DIODE_LEAK_S


def _armature(v: Array, p: Array) -> tuple[Array, Array]:
    ohm, k, friction, drag, stalled = p
    still = (stalled > 0) | (np.abs(v) * k <= friction * ohm)
    through = drag * ohm + k**2
    turning = (friction * k * np.sign(v) + drag * v) / through
    return np.where(still, v / ohm, turning), np.where(still, 1 / ohm, drag / through)


LAWS: tuple[ArrayLaw, ...] = (_ohmic, _filament, _junction, _armature)

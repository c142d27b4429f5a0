"""What a learner learned at one moment, and whether a fault would have shown the same."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from circuits.behaviour import seen_in
from circuits.instruments import LAMP_WORDS, Measurement, Reading
from circuits.methods import METER_FUSE_A, TEST_LAMP, reading_of
from circuits.model import Fault, Setting, State, Vehicle
from circuits.parts.loads import LIGHT_EXPONENT
from circuits.parts.supply import FUSE_HOLDS
from exercises.shown import Shown

NO_FAULT = Fault("", "no_fault")

USELESS = {"ohms_live", "meter_fuse_gone", "meter_battery_low"}
"""Cautions that make a reading worthless."""

Seen = frozenset[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a learner learned at one moment.

    Attributes
    ----------
    setting : how the vehicle was set.
    what, shown : a measurement and what it showed, None where nothing was measured.
    seen : ``(part, code)`` of what the vehicle did, None where nobody watched.
    renewed : fuses that were replaced just before.
    fresh : fuses that were replaced since a switch was last worked.
    repaired : ``(place, repair)`` of all that had been repaired by then.
    celsius : temperatures of the parts that had been heated.
    """

    setting: Setting
    what: Measurement | None = None
    shown: Shown | None = None
    seen: Seen | None = None
    renewed: frozenset[str] = frozenset()
    repaired: tuple[tuple[str, str], ...] = ()
    celsius: tuple[tuple[str, float], ...] = ()
    fresh: frozenset[str] = frozenset()

    @property
    def reading(self) -> Shown | None:
        """What was shown, where it tells of the vehicle: not ohms on a live circuit, which are
        nonsense, and nothing with the meter's fuse gone or its battery low."""
        if self.shown is None or USELESS & set(self.shown.caution_names):
            return None
        return self.shown


METER_FUSE_WENT = "amps_across_supply"
"""The caution of a reading that cost the meter's fuse."""

METER_BURSTS_A = METER_FUSE_A * FUSE_HOLDS

NEAR_BURST = 0.25
"""Share of a current by which tolerances may bring it under what the meter's fuse holds."""

SHARES = (0.92, 1.0, 1.08)
"""Volts either way at which a sound part of another make may be seen otherwise."""


def codes(vehicle: Vehicle, state: State, shares: Sequence[float] = SHARES) -> Seen:
    """Return what may be seen of a vehicle as ``(part, code)`` pairs.

    A part that is seen otherwise at one of these shares of its volts has a pair for each.
    """
    return frozenset(
        (seen.part, seen.code) for share in shares for seen in seen_in(vehicle, state, share=share)
    )


def fits(
    shown: Shown, low: Reading, high: Reading, reach: tuple[float, float] = (0.0, 0.0)
) -> bool:
    """Say whether a reading may come from a severity between two whose readings are given.

    ``reach`` is how far tolerances can move each of the two, in the reading's unit; for a
    test lamp, whose share of light nobody reads, in volts across it.
    """
    if shown.unit == "%" and shown.swing is not None:
        return True  # nobody reads two brightnesses off a lamp that flickers
    if shown.unit == "%":
        return _lamp_fits(shown.display, low, high, reach)
    beyond = _beyond(shown.display) if shown.value is None else shown.value
    found = shown.swing or (beyond, beyond)
    ends = list(zip(_ends(low), _ends(high), strict=True))
    return all(
        min(a - reach[0], b - reach[1]) - shown.off
        <= value
        <= max(a + reach[0], b + reach[1]) + shown.off
        for value, (a, b) in zip(found, ends, strict=True)
    )


def _ends(reading: Reading) -> tuple[float, float]:
    if reading.swing is not None:
        return reading.swing
    exact = _beyond(reading.display) if reading.exact is None else reading.exact
    return (exact, exact)


def widened(reading: Reading, reach: float, off: float) -> tuple[float, float]:
    """Return the least and the most that may be shown where ``reading`` is nominal, in its unit.

    ``reach`` is as for ``fits``, ``off`` the meter's accuracy; ``OL`` is infinite.
    """
    if reading.unit == "%":
        volt = _lamp_volt(reading)
        return _lamp_light(max(0.0, volt - reach)), _lamp_light(volt + reach)
    low, high = _ends(reading)
    return low - reach - off, high + reach + off


def _beyond(display: str) -> float:
    """Return what stands for a display beyond its range: its sign is shown."""
    return float("-inf" if display.startswith("-") else "inf")


def fuse_fits(
    shown: Shown, low: Reading, high: Reading, reach: tuple[float, float], *, flips: bool
) -> bool:
    """Say whether a severity between two may leave the meter's fuse as it was left.

    ``flips`` tells that the vehicle behaves otherwise at the two with the meter in line, so
    that the current between them need not lie between theirs.
    """
    if flips:
        return True
    bursts = [reading.burst for reading in (low, high)]
    if METER_FUSE_WENT in shown.caution_names:
        ends = zip((low, high), reach, strict=True)
        return any(_may_burst(reading, by) for reading, by in ends)
    gone = [abs(burst) for burst in bursts if burst is not None]
    if len(gone) == len(bursts):
        least = min(gone) * (1 - NEAR_BURST)
        found = float("inf") if shown.value is None else abs(shown.value) + shown.off
        return least <= min(found, METER_BURSTS_A)
    # In between the current rises to the one at which the fuse goes, or flows within range.
    return shown.swing is not None or fits(shown, _holding(low), _holding(high), reach)


def _may_burst(reading: Reading, reach: float) -> bool:
    if any("blown" in memory for _, memory in reading.loaded):
        return True  # the vehicle's fuse won the race; off nominal the meter's may
    most = max(map(abs, _ends(reading)))
    return reading.burst is not None or most + reach > METER_BURSTS_A


def _holding(reading: Reading) -> Reading:
    """Return a reading with the meter's fuse about to go, where it went."""
    if reading.burst is None:
        return reading
    return reading_of("amps", math.copysign(METER_BURSTS_A, reading.burst))


def _lamp_fits(shown: str, low: Reading, high: Reading, reach: tuple[float, float]) -> bool:
    volts = [
        max(0.0, _lamp_volt(reading) + by)
        for reading, most in zip((low, high), reach, strict=True)
        for by in (-most, most)
    ]
    order = [word for _, word in LAMP_WORDS]
    ends = [order.index(_lamp_word(volt)) for volt in (max(volts), min(volts))]
    return ends[0] <= order.index(shown) <= ends[1]


def _lamp_volt(reading: Reading) -> float:
    light = max(0.0, reading.exact or 0.0)
    return TEST_LAMP.rated_volt * float((light / 100) ** (1 / LIGHT_EXPONENT))


def _lamp_word(volt: float) -> str:
    light = _lamp_light(volt)
    return next(word for least, word in LAMP_WORDS if light >= least)


def _lamp_light(volt: float) -> float:
    """Return the light of a test lamp in per cent."""
    return float(100 * (volt / TEST_LAMP.rated_volt) ** LIGHT_EXPONENT)

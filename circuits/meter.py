"""The meter's ranges, display and accuracy: from a value to what is shown."""

import math
from dataclasses import dataclass

COUNTS = 6000


@dataclass(frozen=True, slots=True)
class Function:
    """A function of the meter.

    Attributes
    ----------
    ranges : full scales in ``unit``; the display steps by a range's 6000th.
    per_cent, digits : accuracy, as a part of the reading and counts of the last digit.
    """

    name: str
    unit: str
    ranges: tuple[float, ...]
    per_cent: float
    digits: int


FUNCTIONS: dict[str, Function] = {
    f.name: f
    for f in (
        Function("volts", "V", (0.6, 6.0, 60.0, 600.0), 0.5, 2),
        Function("ohms", "Ω", (600.0, 6e3, 6e4, 6e5, 6e6, 4e7), 0.9, 2),
        Function("continuity", "Ω", (600.0,), 1.0, 3),
        Function("diode", "V", (2.0,), 1.0, 3),
        Function("amps", "A", (6.0, 10.0), 1.5, 3),
        Function("clamp", "A", (60.0, 600.0), 2.0, 5),
        Function("lamp", "%", (200.0,), 10.0, 0),
    )
}
"""Handheld meters' published figures: ohms 0.8 to 1 % and 2 to 3 digits; the others are
common practice, no source."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What a display shows: the text, the value it stands for, how far it may be off.

    ``value`` is None for ``OL``, and for ``-OL``, which is beyond range the other way;
    ``step`` is the value of the last digit and ``off`` the accuracy, both in the function's
    unit.
    """

    display: str
    value: float | None
    step: float
    off: float


def show(function: str, value: float | None) -> Shown:
    """Return what the meter shows of a value in the function's unit; None is beyond range.

    Beyond range it still shows the sign (common practice, no source).

    >>> show("volts", 12.6123).display, show("ohms", 6.04).display, show("ohms", None).display
    ('12.61', '6.0', 'OL')
    >>> show("ohms", 44_210.0).display, show("volts", 0.0123).display
    ('44.21k', '12.3m')
    >>> show("clamp", 700.0).display, show("clamp", -700.0).display
    ('OL', '-OL')
    """
    spec = FUNCTIONS[function]
    if value is None or not math.isfinite(value):
        return _beyond(value or 0.0)
    for full in spec.ranges:
        step = _step(full)
        rounded = round(value / step)
        if abs(rounded) * step < full or (full == spec.ranges[-1] and abs(value) <= full):
            shown = rounded * step
            off = abs(shown) * spec.per_cent / 100 + spec.digits * step
            return Shown(_text(shown, step, full), _clean(shown, step), step, off)
    return _beyond(value)


def _beyond(value: float) -> Shown:
    return Shown("-OL" if value < 0 else "OL", None, 0.0, 0.0)


def _step(full: float) -> float:
    """Return the value of the last digit: a range's 6000th, as a power of ten."""
    return float(10.0 ** round(math.log10(full / COUNTS)))


def _clean(value: float, step: float) -> float:
    return round(value, max(0, -math.floor(math.log10(step) + 0.5))) + 0.0


def _text(value: float, step: float, full: float) -> str:
    scale, suffix = next((scale, suffix) for least, scale, suffix in _PREFIXES if full >= least)
    places = max(0, -math.floor(math.log10(step / scale) + 0.5))
    return f"{_clean(value / scale, step / scale):.{places}f}{suffix}"


_PREFIXES = ((6e6, 1e6, "M"), (6e3, 1e3, "k"), (1.0, 1.0, ""), (0.0, 1e-3, "m"))
"""Least full scale, scale and letter of what stands behind the digits."""

LOW_BATTERY_SAG = 0.08
"""Share by which a meter's own reference, and the source of its ohms and diode tests, sag
while its low-battery sign shows (common practice, no source: makers warn that readings come
out wrong, and too high, but print no figure)."""


def too_high(value: float) -> float:
    """Return what a meter with a low battery makes of a value: its reference is too small.

    >>> round(too_high(12.6), 2)
    13.7
    """
    return value / (1 - LOW_BATTERY_SAG)


def out_of_range(function: str, value: float) -> bool:
    """Say whether the meter shows ``OL`` for a value."""
    return show(function, value).value is None

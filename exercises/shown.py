"""A reading as the learner saw it, kept as data so that no later engine changes it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from circuits.cautions import sentences
from circuits.instruments import Measurement, Reading


@dataclass(frozen=True, slots=True)
class Shown:
    """What a display showed, and with which leads where.

    ``value``, ``off`` and ``swing`` are in ``unit``; ``off`` is the meter's accuracy, half
    a digit included. ``expected`` is what a healthy vehicle would have shown, empty where
    the exercise does not tell.
    """

    display: str
    unit: str
    value: float | None
    off: float
    swing: tuple[float, float] | None = None
    beep: bool = False
    caution_names: tuple[str, ...] = ()
    expected: str = ""

    @property
    def text(self) -> str:
        """The reading with its unit: ``12.61 V``, ``OL``, ``bright``."""
        return reading_text(self.display, self.unit)

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions in words."""
        return sentences(self.caution_names)

    def to_json(self) -> dict[str, Any]:
        """Return the reading as data that JSON can hold."""
        return {
            "display": self.display,
            "unit": self.unit,
            "value": self.value,
            "off": self.off,
            "swing": list(self.swing) if self.swing else None,
            "beep": self.beep,
            "cautions": list(self.caution_names),
            "expected": self.expected,
        }


def reading_text(display: str, unit: str) -> str:
    """Return a display with its unit; two ends on unlike ranges have a unit each.

    >>> reading_text("44.21k", "Ω"), reading_text("OL", "Ω"), reading_text("dim", "%")
    ('44.21 kΩ', 'OL', 'dim')
    >>> reading_text("3.1m…12.3m", "V"), reading_text("3.1m…12.61", "V")
    ('3.1…12.3 mV', '3.1 mV…12.61 V')
    """
    if display in ("OL", "-OL") or unit == "%":
        return display
    ends = [
        (end.rstrip(_PREFIXES), end[len(end.rstrip(_PREFIXES)) :]) for end in display.split("…")
    ]
    if len({prefix for _, prefix in ends}) == 1:
        return f"{'…'.join(digits for digits, _ in ends)} {ends[0][1]}{unit}"
    return "…".join(f"{digits} {prefix}{unit}" for digits, prefix in ends)


_PREFIXES = "mkM"


def shown_of(reading: Reading, expected: Reading | None = None) -> Shown:
    """Return a reading as shown, with what a healthy vehicle would have shown if given."""
    return Shown(
        reading.display,
        reading.unit,
        reading.value,
        reading.off,
        reading.swing,
        reading.beep,
        reading.caution_names,
        "" if expected is None else reading_text(expected.display, expected.unit),
    )


def shown_from_json(data: Mapping[str, Any]) -> Shown:
    """Return the reading that ``Shown.to_json`` made."""
    return Shown(
        data["display"],
        data["unit"],
        data["value"],
        data["off"],
        tuple(data["swing"]) if data["swing"] else None,
        data["beep"],
        tuple(data["cautions"]),
        data["expected"],
    )


def measurement_to_json(what: Measurement) -> dict[str, Any]:
    """Return a measurement as data that JSON can hold."""
    return {
        "instrument": what.instrument,
        "red": what.red,
        "black": what.black,
        "wire": what.wire,
        "zeroed": what.zeroed,
        "hold": what.hold,
        "load_w": what.load_w,
        "low_battery": what.low_battery,
    }


def measurement_from_json(data: Mapping[str, Any]) -> Measurement:
    """Return the measurement that ``measurement_to_json`` made."""
    return Measurement(**data)

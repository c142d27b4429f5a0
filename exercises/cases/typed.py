"""A reading as somebody types it at a vehicle: its value and its last digit, or why not.

Accepted are ``12.41 V``, ``12,41``, ``450 mV``, ``1.2k``, ``1k2``, ``0.3 ohm``, ``OL``. What
cannot be is refused with a sentence; what is likelier a slip than a reading is doubted, and
kept once it is confirmed.
"""

import re
from dataclasses import dataclass

from exercises.plans.expected import Band

LONGEST = 20
MOST = {"volts": 16.0, "ohms": 60e6, "clamp": 600.0}
"""Most of each unit: the highest supply voltage of a 12 V system while it charges (code A of
ISO 16750-2, as reprinted), and the ends of a handheld meter's ranges."""

UNITS = {"volts": "V", "ohms": "Ω", "clamp": "A"}
EXAMPLES = {"volts": "12.41 V or 450 mV", "ohms": "0.3, 1.2 kΩ or OL", "clamp": "3.5 A or 40 mA"}

_NUMBER = re.compile(r"([+-]?)([0-9]{1,9}(?:\.[0-9]{0,6})?|\.[0-9]{1,6})([µmkKM]?)(V|Ω|A|ohms?|R)?")
_INFIX = re.compile(r"([+-]?)([0-9]{1,6})([kM])([0-9]{1,3})(Ω|ohms?)?")
_OL = frozenset({"ol", "0l", "o.l", "o.l.", "0.l", "1.", "open", "∞"})
_SCALES = {"": 1.0, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}
_SLIPS = (1e-3, 1e3)
"""By how much one is off who takes milli for none, or kilo for none, and the other way."""


class TypedError(Exception):
    """What was typed is no reading; the message is one sentence for a person."""


@dataclass(frozen=True, slots=True)
class Typed:
    """A reading as typed.

    Attributes
    ----------
    display, value : as a meter shows it, ``450m``; in the instrument's unit, None for ``OL``.
    step : what one of its last digit stands for, 0 for ``OL``.
    doubt : a question to answer before it counts, empty without one.
    """

    display: str
    value: float | None
    step: float
    doubt: str = ""


def typed(instrument: str, text: str, expected: Band | None = None) -> Typed:
    """Return the reading that was typed for an instrument.

    Parameters
    ----------
    expected : what a sound vehicle shows, to catch slips of the unit by.

    >>> typed("volts", "450 mV").value, typed("ohms", "1k2").value, typed("ohms", "OL").value
    (0.45, 1200.0, None)

    Raises
    ------
    TypedError
        If it is no reading of this instrument.
    """
    said = _plain(text)
    if said.casefold() in _OL:
        return _beyond(instrument)
    number = _number(instrument, said, text)
    _check(instrument, number.value or 0.0, text)
    slip = _slip(instrument, number, expected)
    return Typed(number.display, number.value, number.step, slip)


def _plain(text: str) -> str:
    said = "".join(text.split()).replace(",", ".").replace("−", "-").replace("–", "-")
    return said.replace("Ω", "Ω").replace("μ", "µ")


def _beyond(instrument: str) -> Typed:
    if instrument != "ohms":
        raise TypedError(
            f"found OL on {UNITS[instrument]}; accepted: a figure such as {EXAMPLES[instrument]}. "
            "A meter shows OL there only on too low a range: take a higher one and read again."
        )
    return Typed("OL", None, 0.0)


def _number(instrument: str, said: str, text: str) -> Typed:
    infix = _INFIX.fullmatch(said) if instrument == "ohms" else None
    if infix is not None:
        said = f"{infix[1]}{infix[2]}.{infix[4]}{infix[3]}"
    found = _NUMBER.fullmatch(said) if len(said) <= LONGEST else None
    unit = UNITS[instrument]
    if found is None or not _unit_fits(found[4], unit):
        raise TypedError(f"found {text.strip()[:LONGEST]!r}; accepted: {EXAMPLES[instrument]}.")
    sign, digits, prefix = found[1].replace("+", ""), found[2], found[3].replace("K", "k")
    scale = _SCALES[prefix]
    places = len(digits.partition(".")[2])
    shown = digits.rstrip(".") if not digits.startswith(".") else f"0{digits}"
    return Typed(f"{sign}{shown}{prefix}", float(f"{sign}{digits}") * scale, scale * 10.0**-places)


def _unit_fits(found: str | None, unit: str) -> bool:
    return not found or ("Ω" if found in {"ohm", "ohms", "R"} else found) == unit


def _check(instrument: str, value: float, text: str) -> None:
    most, unit = MOST[instrument], UNITS[instrument]
    said = text.strip()[:LONGEST]
    if instrument == "ohms" and value < 0:
        raise TypedError(
            f"found {said!r}; accepted: 0 Ω or more. Less than nothing means that there is "
            "voltage between the leads: take the battery off and read again."
        )
    if abs(value) > most:
        raise TypedError(f"found {said!r}; accepted: up to {most:g} {unit} here.{_hint(text)}")


def _hint(text: str) -> str:
    if text.strip()[-1:].isdigit():
        return " Type the unit with it: was it milli, as in mV?"
    return " Was the meter on DC? Leave alone whatever has more than 60 V." if "V" in text else ""


def _slip(instrument: str, number: Typed, expected: Band | None) -> str:
    """Return what to ask where another prefix would be just what is expected."""
    if expected is None or number.value is None or _within(expected, number.value):
        return ""
    for by in _SLIPS:
        if _within(expected, number.value * by) and abs(number.value) > 2 * number.step:
            meant = f"{number.value * by:g} {UNITS[instrument]}"
            return (
                f"A sound circuit shows {expected.text} here. Did you mean {meant}? Type it so, "
                "or keep it as it is."
            )
    return ""


def _within(band: Band, value: float) -> bool:
    return band.low <= value <= band.high

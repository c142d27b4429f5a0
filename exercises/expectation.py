"""What a learner expects a sound vehicle to show, and whether it would.

An expectation is one of the choices offered for an instrument, or a figure as one writes it
on a job card: ``12.4``, ``12.4 V``, ``350 mV``, ``4.7 kΩ``, ``OL``. Either is a stretch of the
instrument's scale, wider than its words say: a choice reaches half as far again at both ends
(battery voltage a tenth), a figure goes a tenth either way in volts and half as far again
elsewhere, and at least as far as ``LEAST``. It is right when the stretch holds anything that a
sound vehicle may show there, every part within its tolerance and the meter within its
accuracy. ``OL`` fits ``OL`` only; a figure has a sign, a choice has none. Where a sound vehicle
shows nonsense, as ohms on a live circuit do, and where the learner is not sure, it is neither
right nor wrong. The widths are common practice, no source.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from circuits.instruments import LAMP_WORDS, Instrument, Measurement, Reading, read
from circuits.meter import FUNCTIONS, show
from circuits.methods import BEEPS_BELOW_OHM
from circuits.model import Vehicle
from circuits.moves import reading_moves
from circuits.operate import solve
from exercises.attempt import AttemptError
from exercises.candidates import BEYOND
from exercises.evidence import USELESS
from exercises.shown import reading_text

NOT_SURE = "Not sure"

LEAST: Mapping[Instrument, float] = {
    "volts": 0.5,
    "ohms": 1.0,
    "continuity": 1.0,
    "diode": 0.15,
    "amps": 0.02,
    "clamp": 0.1,
}
"""How far a figure reaches at least, in the instrument's unit."""

RATED_VOLT = 12.0
"""Battery voltage of a circuit without a battery."""

_OL = (math.inf, math.inf)
_Stretch = tuple[float, float]

_CHOICES: Mapping[Instrument, Mapping[str, _Stretch]] = {
    "volts": {"Battery voltage": (0.9, 1.1), "In between": (0.04, 0.96), "About 0 V": (0.0, 0.04)},
    "ohms": {
        "Under 1 Ω": (0.0, 1.5),
        "1 to 30 Ω": (0.67, 45.0),
        "Over 30 Ω": (20.0, 1e9),
        "OL": _OL,
    },
    "continuity": {"Beep": (0.0, BEEPS_BELOW_OHM), "No beep": (BEEPS_BELOW_OHM, math.inf)},
    "diode": {"About 0 V": (0.0, 0.25), "About 0.6 V": (0.4, 0.9), "OL": _OL},
    "amps": {"None": (0.0, 0.15), "Up to 5 A": (0.07, 7.5), "Over 5 A": (3.3, 1e9)},
    "clamp": {
        "None": (0.0, 0.15),
        "Up to 5 A": (0.07, 7.5),
        "5 to 30 A": (3.3, 45.0),
        "Over 30 A": (20.0, 1e9),
    },
    "lamp": {"Bright": (40.0, 1e9), "Dim": (0.1, 90.0), "Dark": (0.0, 0.5)},
}
"""The stretch of each choice in the instrument's unit; of volts, in parts of the battery's."""

_FIGURE = re.compile(r"([+\-−]?)\s*(\d+(?:[.,]\d+)?|[.,]\d+)\s*([mkKM]?)\s*(V|Ω|ohms?|A)?")
_SCALES = {"": 1.0, "m": 1e-3, "k": 1e3, "K": 1e3, "M": 1e6}
_LONGEST = 20


@dataclass(frozen=True, slots=True)
class Expectation:
    """An expectation as kept: its words, whether it was right, what a sound vehicle shows.

    ``right`` is None where it cannot be said.
    """

    words: str
    right: bool | None
    sound: str


def choices(instrument: Instrument) -> tuple[str, ...]:
    """Return the expectations that are offered for an instrument, *not sure* last."""
    return (*_CHOICES[instrument], NOT_SURE)


def judged(sound: Vehicle, what: Measurement, words: str) -> Expectation:
    """Return an expectation of a measurement held against a sound vehicle.

    Raises
    ------
    AttemptError
        If the words are no expectation that this instrument can answer.
    """
    what = replace(what, low_battery=False)
    told, stretch = _understood(sound, what.instrument, words)
    reading = read(sound, what)
    if USELESS & set(reading.caution_names) or reading.meter_fuse_blew:
        return Expectation(told, None, "nothing that can be used")
    band = _band(sound, what, reading)
    right = None if stretch is None else _overlap(stretch, band, signed=told not in _names(what))
    return Expectation(told, right, band_text(what.instrument, band))


def _names(what: Measurement) -> Mapping[str, _Stretch]:
    return _CHOICES[what.instrument]


def _understood(sound: Vehicle, instrument: Instrument, words: str) -> tuple[str, _Stretch | None]:
    """Return an expectation as it is kept, and its stretch in the instrument's unit."""
    said = " ".join(words.split())
    by_name = {name.casefold(): name for name in choices(instrument)}
    name = by_name.get(said.casefold())
    if name == NOT_SURE:
        return name, None
    if name is not None:
        low, high = _CHOICES[instrument][name]
        whole = _battery_volts(sound) if instrument == "volts" else 1.0
        return name, (low * whole, high * whole)
    if said.casefold() == "ol" and instrument in LEAST:
        return "OL", _OL
    return _figure(instrument, said)


def _figure(instrument: Instrument, said: str) -> tuple[str, _Stretch]:
    unit = FUNCTIONS[instrument].unit
    found = _FIGURE.fullmatch(said) if len(said) <= _LONGEST and instrument in LEAST else None
    if found is None or not _fits(found[4], unit):
        forms = f", or a figure such as {_EXAMPLES[unit]}" if instrument in LEAST else ""
        accepted = f"one of the choices{forms}"
        raise AttemptError(f"Expectation: found {said[:_LONGEST]!r}; accepted: {accepted}.")
    value = float(found[2].replace(",", ".")) * _SCALES[found[3]]
    value = -value if found[1] in {"-", "−"} else value
    share = 0.1 if instrument == "volts" else 0.5
    reach = max(LEAST[instrument], share * abs(value))
    digits = f"{found[1].replace('+', '')}{found[2].replace(',', '.')}"
    return f"{digits} {found[3].replace('K', 'k')}{unit}", (value - reach, value + reach)


_EXAMPLES = {"V": "12.4 or 350 mV", "Ω": "5.8, 4.7 k or OL", "A": "3.5 or 40 mA"}


def _fits(found: str | None, unit: str) -> bool:
    return not found or ("Ω" if found.startswith("ohm") else found) == unit


def _battery_volts(sound: Vehicle) -> float:
    """Return the volts across the battery in this setting."""
    circuit, volt = sound.circuit, solve(sound).volt
    batteries = [part.name for part in circuit.parts if part.spec.sort == "battery"]
    posts = ((circuit.node(f"{n}.pos"), circuit.node(f"{n}.neg")) for n in batteries)
    return max((abs(volt.get(a, 0.0) - volt.get(b, 0.0)) for a, b in posts), default=RATED_VOLT)


def _overlap(stretch: _Stretch, band: _Stretch, *, signed: bool) -> bool:
    low, high = band
    if not signed and low < 0:
        low, high = (0.0, max(-low, high)) if high > 0 else (-high, -low)
    return stretch[0] <= high and low <= stretch[1]


_WHOLE: Mapping[str, float] = MappingProxyType({})


def sound_band(vehicle: Vehicle, what: Measurement, left: Mapping[str, float] = _WHOLE) -> _Stretch:
    """Return the least and the most that the meter shows of a sound vehicle, in the
    reading's unit, infinite for ``OL``.

    ``left`` tells of unknowns that were measured how much of their spread is left, of 1.
    """
    return _band(vehicle, what, read(vehicle, what), left)


def _band(
    vehicle: Vehicle, what: Measurement, reading: Reading, left: Mapping[str, float] = _WHOLE
) -> _Stretch:
    if reading.exact is None:
        return _OL
    moves = reading_moves([vehicle], [solve(vehicle)], what, [reading])
    shares = np.array([left.get(name, 1.0) for name in moves.unknowns])
    reach = BEYOND * float((np.abs(moves.move) * shares).sum()) + reading.off
    low, high = reading.swing or (reading.exact, reading.exact)
    return low - reach, high + reach


def band_text(instrument: Instrument, band: _Stretch) -> str:
    """Return a band as a meter would show its two ends: ``12.31 V to 12.83 V``, ``OL``."""
    texts = [_shown_text(instrument, end) for end in band]
    return texts[0] if texts[0] == texts[1] else f"{texts[0]} to {texts[1]}"


def _shown_text(instrument: Instrument, value: float) -> str:
    if instrument == "lamp":
        return next((word for least, word in LAMP_WORDS if value >= least), LAMP_WORDS[-1][1])
    return reading_text(show(instrument, value).display, FUNCTIONS[instrument].unit)

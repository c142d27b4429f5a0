"""What a sound vehicle shows in a test, as a band that a real meter's reading must lie in."""

from dataclasses import dataclass, replace

from circuits.instruments import Measurement
from circuits.meter import FUNCTIONS, show
from circuits.model import Circuit, CircuitError, Vehicle
from circuits.parts.supply import Battery
from circuits.tolerance import EMF_VOLT
from exercises.expectation import sound_band
from exercises.planning.allowed import AllowedTest
from exercises.shown import reading_text

UNKNOWN_PER_CENT = 2.2
"""How much further off a meter may be of which nobody knows the accuracy (common practice,
no source): its readings are widened, and none is forgiven."""

UNITS = {"volts": "V", "ohms": "Ω", "clamp": "A"}
DIALS = {"volts": "V DC", "ohms": "Ω", "clamp": "A DC, clamp", "": "look and listen"}

BATTERY_LOW_V, BATTERY_HIGH_V = 9.0, 14.0
"""Rest volts outside which no 12 V battery is worth testing with (common practice, no source)."""

_MEASURED = " battery measured "

REST_VOLT_OFF = 0.08
"""Volts by which a battery's rest voltage moves while one works (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Band:
    """The least and the most that is read, in the instrument's unit; infinite for ``OL``."""

    instrument: str
    low: float
    high: float

    @property
    def is_open(self) -> bool:
        """Whether a sound vehicle shows ``OL``."""
        return self.low == float("inf")

    @property
    def text(self) -> str:
        """The band in words: ``12.23 V to 13.07 V``, ``OL``."""
        ends = [_text(self.instrument, end) for end in (self.low, self.high)]
        return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"

    @property
    def range_text(self) -> str:
        """The smallest range of a meter that shows all of it: ``60 V``, ``600 Ω``."""
        spec = FUNCTIONS[self.instrument]
        most = max((abs(end) for end in (self.low, self.high) if end < float("inf")), default=None)
        full = spec.ranges[-1] if most is None else next(f for f in spec.ranges if most < f)
        for least, scale, prefix in _SCALES:
            if full >= least:
                return f"{full / scale:g} {prefix}{spec.unit}"
        raise AssertionError(full)  # every range is above 0


_SCALES = ((1e6, 1e6, "M"), (1e3, 1e3, "k"), (1.0, 1.0, ""), (0.0, 1e-3, "m"))


def _text(instrument: str, value: float) -> str:
    return reading_text(show(instrument, value).display, UNITS[instrument])


def with_battery(circuit: Circuit, volt: float) -> Circuit:
    """Return the circuit with its battery resting at what was measured on the day.

    Raises
    ------
    CircuitError
        If no battery that is fit for testing rests so.
    """
    if not BATTERY_LOW_V <= volt <= BATTERY_HIGH_V:
        raise CircuitError(
            f"battery: found {volt:g} V; accepted: {BATTERY_LOW_V:g} to {BATTERY_HIGH_V:g} V at "
            "rest. Charge or test the battery first"
        )
    parts = tuple(
        replace(part, spec=replace(part.spec, volt=volt))
        if isinstance(part.spec, Battery)
        else part
        for part in circuit.parts
    )
    return replace(circuit, parts=parts, digest=f"{circuit.digest}{_MEASURED}{volt!r}")


def _measured_battery(circuit: Circuit) -> dict[str, float]:
    """Return how much of the battery's spread is left where it was measured on the day."""
    if _MEASURED not in circuit.digest:
        return {}
    batteries = (part.name for part in circuit.parts if isinstance(part.spec, Battery))
    return {f"{name}:emf": REST_VOLT_OFF / EMF_VOLT for name in batteries}


def turned(circuit: Circuit, test: AllowedTest) -> AllowedTest:
    """Return a test with red where the sound vehicle has the more volts, so that it reads up."""
    what = test.what
    if what is None or what.instrument != "volts":
        return test
    low, high = sound_band(Vehicle(circuit, (), test.setting), what, _measured_battery(circuit))
    if low + high >= 0:
        return test
    return replace(test, what=replace(what, red=what.black, black=what.red))


def band_of(circuit: Circuit, test: AllowedTest) -> Band:
    """Return what a sound vehicle shows in a test that measures, the meter not known."""
    what = _measured(test)
    low, high = sound_band(Vehicle(circuit, (), test.setting), what, _measured_battery(circuit))
    more = max((abs(end) for end in (low, high) if end < float("inf")), default=0.0)
    more *= UNKNOWN_PER_CENT / 100
    least = 0.0 if what.instrument == "ohms" else -float("inf")
    return Band(what.instrument, max(low - more, least), high + more)


def _measured(test: AllowedTest) -> Measurement:
    if test.what is None:
        raise ValueError("the test only watches")
    return test.what

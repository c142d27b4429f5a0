"""What is asked before the first reading: the leads, the battery of the day, the meter."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from circuits.instruments import Measurement
from circuits.meter import FUNCTIONS
from circuits.model import AS_FOUND, Circuit
from circuits.parts.supply import Battery
from circuits.spec import join
from exercises.cases.typed import Typed, TypedError, typed
from exercises.evidence import Evidence
from exercises.plans.expected import BATTERY_HIGH_V, BATTERY_LOW_V, REST_VOLT_OFF, UNKNOWN_PER_CENT
from exercises.shown import Shown

WORST_LEADS_OHM = 1.0
"""Leads that read more are broken inside or badly plugged in (makers say to replace them above
0.5 ohms)."""

MOST_PER_CENT = 10.0
LEADS_AGAIN_OHM = 0.1
"""By how much the leads' own ohms differ from one touch to the next (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Day:
    """The meter and the battery of the day.

    Attributes
    ----------
    lead_ohm : ohms of the leads held together.
    battery_volt : rest volts of the battery, with their last digit.
    per_cent : accuracy of the meter on volts, None where nobody knows it.
    """

    lead_ohm: float
    battery_volt: float
    battery_step: float
    per_cent: float | None = None

    def to_json(self) -> dict[str, Any]:
        """Return the day as data that JSON can hold."""
        return {
            "lead_ohm": self.lead_ohm,
            "battery_volt": self.battery_volt,
            "battery_step": self.battery_step,
            "per_cent": self.per_cent,
        }

    def off(self, instrument: str, value: float, step: float) -> float:
        """Return how far a reading may be off, half of its last digit included.

        A meter that nobody knows is taken to be worse; no reading of it is forgiven.
        """
        spec = FUNCTIONS[instrument]
        share = spec.per_cent + UNKNOWN_PER_CENT
        if self.per_cent is not None:
            # Its maker's figure is for volts; ohms and clamps are as much worse as usual.
            share = self.per_cent + spec.per_cent - FUNCTIONS["volts"].per_cent
        return abs(value) * share / 100 + (spec.digits + 0.5) * step

    def shown(self, what: Measurement, reading: Typed) -> Shown:
        """Return a typed reading as evidence: the leads' ohms off, the meter's accuracy told.

        Raises
        ------
        TypedError
            If it is less than the leads alone read.
        """
        unit = FUNCTIONS[what.instrument].unit
        if reading.value is None:
            return Shown(reading.display, unit, None, 0.0)
        off = self.off(what.instrument, reading.value, reading.step)
        if what.instrument != "ohms":
            return Shown(reading.display, unit, reading.value, off)
        off += LEADS_AGAIN_OHM
        value = reading.value - self.lead_ohm
        if value < -off:
            raise TypedError(
                f"found {reading.value:g} Ω; accepted: at least what the leads alone read, "
                f"{self.lead_ohm:g} Ω. Had the meter been zeroed, say 0 for the leads."
            )
        return Shown(reading.display, unit, max(value, 0.0), off)

    def battery_evidence(self, circuit: Circuit) -> tuple[Evidence, ...]:
        """Return what the battery's rest volts tell, nothing for a circuit without one."""
        names = [part.name for part in circuit.parts if isinstance(part.spec, Battery)]
        if len(names) != 1:
            return ()
        what = Measurement("volts", join(names[0], "pos"), join(names[0], "neg"))
        off = self.off("volts", self.battery_volt, self.battery_step) + REST_VOLT_OFF
        shown = Shown(f"{self.battery_volt:g}", "V", self.battery_volt, off)
        return (Evidence(AS_FOUND, what, shown),)


def day_from_json(data: Mapping[str, Any]) -> Day:
    """Return the day that ``Day.to_json`` made."""
    return Day(**data)


def day_typed(leads: str, battery: str, accuracy: str) -> Day:
    """Return the day as typed; an empty accuracy is unknown.

    Raises
    ------
    TypedError
        Naming the field, what was found and what is accepted.
    """
    lead_ohm = _leads(leads)
    volts = _field("Battery at rest", "volts", battery)
    value = volts.value or 0.0
    if not BATTERY_LOW_V <= value <= BATTERY_HIGH_V:
        raise TypedError(
            f"Battery at rest: found {value:g} V; accepted: {BATTERY_LOW_V:g} to "
            f"{BATTERY_HIGH_V:g} V. Charge it or test it before you go on."
        )
    return Day(lead_ohm, value, volts.step, _accuracy(accuracy))


def _leads(text: str) -> float:
    found = _field("Leads held together", "ohms", text)
    if found.value is None or found.value > WORST_LEADS_OHM:
        said, most = text.strip()[:20], f"{WORST_LEADS_OHM:g} Ω"
        raise TypedError(
            f"Leads held together: found {said}; accepted: 0 to {most}. Clean the tips, plug the "
            "leads home, or fit others."
        )
    return found.value


def _field(name: str, instrument: str, text: str) -> Typed:
    try:
        return typed(instrument, text)
    except TypedError as error:
        raise TypedError(f"{name}: {error}") from error


def _accuracy(text: str) -> float | None:
    said = text.replace("%", " ").replace(",", ".").replace("±", " ").strip()
    if not said:
        return None
    try:
        found = float(said)
    except ValueError:
        found = -1.0
    if not 0 < found <= MOST_PER_CENT:
        raise TypedError(
            f"Accuracy on volts: found {text.strip()[:20]!r}; accepted: per cent of the reading "
            f"as the meter's booklet says, up to {MOST_PER_CENT:g}, or nothing if you do not know."
        )
    return found

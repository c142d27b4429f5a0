"""What a learner learned at one moment, and whether a fault would have shown the same."""

from dataclasses import dataclass

from circuits.behaviour import seen_in
from circuits.instruments import LAMP_WORDS, Measurement, Reading
from circuits.model import Fault, Setting, State, Vehicle
from exercises.shown import Shown

NO_FAULT = Fault("", "no_fault")

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
    celsius : temperatures of the parts that had been heated.
    """

    setting: Setting
    what: Measurement | None = None
    shown: Shown | None = None
    seen: Seen | None = None
    renewed: frozenset[str] = frozenset()
    celsius: tuple[tuple[str, float], ...] = ()

    @property
    def reading(self) -> Shown | None:
        """What was shown, where it tells of the vehicle: not with the meter's fuse gone."""
        if self.shown is None or "meter_fuse_gone" in self.shown.caution_names:
            return None
        return self.shown


def codes(vehicle: Vehicle, state: State) -> Seen:
    """Return what is seen of a vehicle as ``(part, code)`` pairs."""
    return frozenset((seen.part, seen.code) for seen in seen_in(vehicle, state))


def fits(shown: Shown, low: Reading, high: Reading) -> bool:
    """Say whether a reading may come from a severity between two whose readings are given."""
    if shown.unit == "%":
        return _lamp_fits(shown.display, low.display, high.display)
    if shown.value is None:
        return low.exact is None or high.exact is None
    found = shown.swing or (shown.value, shown.value)
    ends = [_ends(reading) for reading in (low, high)]
    return all(
        min(pair) - shown.off <= value <= max(pair) + shown.off
        for value, pair in zip(found, zip(*ends, strict=True), strict=True)
    )


def _ends(reading: Reading) -> tuple[float, float]:
    if reading.swing is not None:
        return reading.swing
    exact = float("inf") if reading.exact is None else reading.exact
    return (exact, exact)


def _lamp_fits(shown: str, low: str, high: str) -> bool:
    order = [word for _, word in LAMP_WORDS]
    ends = sorted((order.index(low), order.index(high)))
    return ends[0] <= order.index(shown) <= ends[1]

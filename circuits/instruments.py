"""What an instrument shows: it is connected, the vehicle settles, the display follows.

No reading comes from anywhere else.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from circuits.consequences import act_cautions
from circuits.measurement import (
    INSTRUMENTS,
    LAMP_WORDS,
    LOADS_W,
    Instrument,
    Measurement,
    Reading,
    check,
)
from circuits.meter import too_high
from circuits.methods import BEEPS_BELOW_OHM, LEAD_OHM, METHODS, SHUNT_OHM, Vehicles, reading_of
from circuits.model import State, Vehicle
from circuits.operate import solve, solve_many
from circuits.spec import MOMENTS

__all__ = [
    "CHECKS",
    "INSTRUMENTS",
    "LAMP_WORDS",
    "LOADS_W",
    "Check",
    "Instrument",
    "Measurement",
    "Reading",
    "check",
    "check_meter",
    "read",
    "read_many",
]

Check = Literal["leads", "fuse"]
CHECKS: tuple[Check, ...] = ("leads", "fuse")
"""What a meter can be asked about itself, on ohms: its leads held together, and the fuse of
its amps socket, with one lead from the ohms socket held into it (common practice, no source)."""


def check_meter(
    what: Check, *, fuse_blown: bool = False, zeroed: bool = False, low_battery: bool = False
) -> Reading:
    """Return the ohms that a meter shows of its own leads or of its own fuse.

    >>> check_meter("leads").display, check_meter("fuse", fuse_blown=True).display
    ('0.2', 'OL')
    """
    ohm: float | None = 0.0 if zeroed else LEAD_OHM
    if what == "fuse":  # through one of the two leads, which nobody zeroes alone
        ohm = None if fuse_blown else LEAD_OHM / 2 + SHUNT_OHM
    reading = reading_of("ohms", ohm)
    return _sagged("ohms", reading) if low_battery else reading


def read(vehicle: Vehicle, what: Measurement) -> Reading:
    """Return what the instrument shows on a vehicle in its setting.

    Raises
    ------
    CircuitError
        If a lead is on no test point, on one that is not exposed, or both are on one; if
        the clamp is round no wire.
    """
    check(vehicle, what)
    return read_many([vehicle], what, None if what.hold else [solve(vehicle)])[0]


def read_many(
    vehicles: Sequence[Vehicle], what: Measurement, states: Sequence[State] | None = None
) -> list[Reading]:
    """Return what the instrument shows on each of several vehicles in one setting.

    ``states`` are the vehicles' solved states where the caller has them already.

    Raises
    ------
    CircuitError
        As ``read``.
    """
    if not vehicles:
        return []
    check(vehicles[0], what)
    if what.hold:
        return _held(vehicles, replace(what, hold=False))
    states = states or solve_many(vehicles)
    found = METHODS[what.instrument](vehicles, states, what)
    if what.low_battery:
        found = [_sagged(what.instrument, reading) for reading in found]
    return [
        replace(reading, caution_names=(*reading.caution_names, *act_cautions(vehicle, state)))
        for reading, vehicle, state in zip(found, vehicles, states, strict=True)
    ]


def _sagged(instrument: Instrument, reading: Reading) -> Reading:
    """Return a reading as a meter with a low battery shows it; a test lamp has no battery."""
    if instrument == "lamp":
        return reading
    names = (*reading.caution_names, "meter_battery_low")
    if reading.exact is None:
        return replace(reading, caution_names=names)
    low, high = (too_high(end) for end in reading.swing or (0.0, 0.0))
    shown = reading_of(
        instrument, too_high(reading.exact), swing=(low, high) if reading.swing else None
    )
    return replace(
        shown,
        beep=reading.beep and shown.value is not None and shown.value < BEEPS_BELOW_OHM,
        caution_names=names,
        meter_fuse_blew=reading.meter_fuse_blew,
        burst=reading.burst,
    )


def _held(vehicles: Vehicles, what: Measurement) -> list[Reading]:
    """Return what min/max hold keeps of one operation: its lowest and highest value."""
    runs = []
    for moment in MOMENTS:
        at_moment = [v.with_setting(replace(v.setting, moment=moment)) for v in vehicles]
        runs.append(read_many(at_moment, what))
    return [_lowest_and_highest(what, readings) for readings in zip(*runs, strict=True)]


def _lowest_and_highest(what: Measurement, readings: Sequence[Reading]) -> Reading:
    values = [v for r in readings for v in (r.swing or (r.exact,)) if v is not None]
    names = tuple(dict.fromkeys(name for r in readings for name in r.caution_names))
    if not values:
        return replace(readings[-1], caution_names=names)
    low, high = min(values), max(values)
    return replace(
        reading_of(what.instrument, high, swing=(low, high)),
        caution_names=names,
        meter_fuse_blew=any(r.meter_fuse_blew for r in readings),
        burst=max((r.burst for r in readings if r.burst is not None), key=abs, default=None),
    )

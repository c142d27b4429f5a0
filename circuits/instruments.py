"""What an instrument shows: it is connected, the vehicle settles, the display follows.

No reading comes from anywhere else. An ohmmeter is a source behind a resistance, put
into the circuit as it stands; a test lamp is a load; an ammeter is a shunt with a fuse.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from circuits.cautions import sentences
from circuits.consequences import act_cautions
from circuits.meter import COUNTS, FUNCTIONS, show
from circuits.model import CircuitError, State, Vehicle
from circuits.network import Attached
from circuits.operate import settle, solve, solve_many
from circuits.parts.gear import FusedLead, Input
from circuits.parts.loads import LIGHT_EXPONENT, Lamp
from circuits.points import find_point, nearest
from circuits.spec import MOMENTS, REST, Spec

Instrument = Literal["volts", "ohms", "continuity", "amps", "clamp", "lamp"]
INSTRUMENTS: tuple[Instrument, ...] = ("volts", "ohms", "continuity", "amps", "clamp", "lamp")

METER_OHM = 1e7
"""Input resistance of the voltmeter (OpenStax *University Physics* 10.4: 10 MΩ)."""

LEAD_OHM = 0.2
"""Both test leads together (published multimeter manuals: 0.1 to 0.2, 0.2 to 0.5 Ω)."""

SOURCE_VOLT = 3.0
TEST_AMPERE: tuple[tuple[float, float], ...] = (
    (600.0, 1e-3),
    (6e3, 1e-4),
    (6e4, 1e-5),
    (6e5, 1e-6),
    (6e6, 1e-7),
    (4e7, 5e-8),
)
"""Test current of each ohms range (from memory)."""

BEEPS_BELOW_OHM = 30.0
"""Continuity sounds below this (common practice, no source)."""

LIVE_VOLT = 0.001
SHUNT_OHM = 0.01
METER_FUSE_A = 10.0
TEST_LAMP = Lamp(watt=5.0, rated_volt=12.0)
LEAST_AMPERE = 1e-12

LAMP_WORDS = ((60.0, "bright"), (8.0, "dim"), (0.2, "glows"), (0.0, "dark"))
"""What a test lamp shows, from the least share of its light in per cent."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """Which instrument, and where its leads are: test points, or a wire for the clamp."""

    instrument: Instrument
    red: str = ""
    black: str = ""
    wire: str = ""
    zeroed: bool = False
    hold: bool = False

    def where(self) -> str:
        """Return where the leads are, in words."""
        return f"round {self.wire}" if self.instrument == "clamp" else f"{self.red} to {self.black}"


@dataclass(frozen=True, slots=True)
class Reading:
    """What an instrument showed.

    Attributes
    ----------
    value : the value displayed, in ``unit``; None where the display is ``OL``.
    display : the text displayed.
    exact : the value before the display rounds it, for judging; None for ``OL``.
    off : accuracy of the display, in ``unit``, half a digit included.
    swing : lowest and highest value, where a chattering vehicle or min/max hold gives two.
    beep : whether the continuity tone sounds.
    caution_names : which cautions go with it.
    meter_fuse_blew : whether the measurement cost the meter's fuse.
    """

    value: float | None
    unit: str
    display: str
    exact: float | None
    off: float
    swing: tuple[float, float] | None = None
    beep: bool = False
    caution_names: tuple[str, ...] = ()
    meter_fuse_blew: bool = False

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions in words."""
        return sentences(self.caution_names)


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
    found = _METHODS[what.instrument](vehicles, states, what)
    return [
        replace(reading, caution_names=(*reading.caution_names, *act_cautions(vehicle, state)))
        for reading, vehicle, state in zip(found, vehicles, states, strict=True)
    ]


def check(vehicle: Vehicle, what: Measurement) -> tuple[str, ...]:
    """Return the nodes that the leads are on, none for a clamp.

    Raises
    ------
    CircuitError
        As ``read``.
    """
    circuit = vehicle.circuit
    if what.instrument == "clamp":
        if what.wire not in circuit.wire_by_name:
            raise CircuitError(
                f"clamp: {circuit.name} has no wire {what.wire!r}"
                f"{nearest(what.wire, circuit.wire_by_name)}"
            )
        return ()
    nodes = tuple(find_point(circuit, vehicle.setting, p).node for p in (what.red, what.black))
    if what.red == what.black:
        raise CircuitError(
            f"leads: both are on {what.red}; accepted: red and black on two different points"
        )
    return nodes


Vehicles = Sequence[Vehicle]
States = Sequence[State]


def _with(vehicles: Vehicles, states: States, what: Measurement, spec: Spec) -> list[State]:
    """Return the states with an instrument's input across the leads."""
    gear = Attached("meter", spec, check(vehicles[0], what))
    return settle(
        vehicles,
        [state.memory for state in states],
        [[gear]] * len(vehicles),
        [state.volt for state in states],
    )


def _across(state: State, nodes: tuple[str, ...]) -> float:
    return state.between(nodes[0], nodes[1])


def _reading(
    instrument: str,
    value: float | None,
    swing: tuple[float, float] | None = None,
) -> Reading:
    shown = show(instrument, value)
    unit = FUNCTIONS[instrument].unit
    display = shown.display
    if swing is not None:
        low, high = (show(instrument, end) for end in swing)
        display = f"{low.display}…{high.display}"
    exact = None if shown.value is None else value
    return Reading(shown.value, unit, display, exact, shown.off + shown.step / 2, swing)


def _swinging(instrument: str, values: Sequence[float]) -> Reading:
    """Return the reading of a value, or of two between which a chattering vehicle swings."""
    low, high = min(values), max(values)
    if show(instrument, low).display == show(instrument, high).display:
        return _reading(instrument, values[0])
    return _reading(instrument, (low + high) / 2, swing=(low, high))


def _both(state: State) -> tuple[State, ...]:
    return (state,) if state.other is None else (state, state.other)


def _volts(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    nodes = check(vehicles[0], what)
    loaded = _with(vehicles, states, what, Input(METER_OHM))
    return [_swinging("volts", [_across(s, nodes) for s in _both(state)]) for state in loaded]


def _ohms(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    nodes = check(vehicles[0], what)
    loaded = _with(vehicles, states, what, Input(METER_OHM))
    found = []
    for ohm, before in zip(_ranged_ohms(vehicles, states, what), loaded, strict=True):
        live = abs(_across(before, nodes)) > LIVE_VOLT
        isolated = vehicles[0].setting.isolated
        names = ("ohms_live",) if live else () if isolated else ("isolate_first",)
        shown = ohm - LEAD_OHM if ohm is not None and what.zeroed else ohm
        found.append(replace(_reading(what.instrument, shown), caution_names=names))
    return found


def _ranged_ohms(vehicles: Vehicles, states: States, what: Measurement) -> list[float | None]:
    """Return the ohms of the first range that holds them, None beyond the last one."""
    found: list[float | None] = [None] * len(vehicles)
    left = list(range(len(vehicles)))
    for full, test_ampere in TEST_AMPERE:
        if not left or full > FUNCTIONS[what.instrument].ranges[-1]:
            break
        some = [vehicles[n] for n in left], [states[n] for n in left]
        for number, ohm in zip(left, _ohms_on_range(*some, what, test_ampere), strict=True):
            fits = ohm is not None and round(abs(ohm) / full * COUNTS) < COUNTS
            found[number] = ohm if fits else None
        left = [number for number in left if found[number] is None]
    return found


def _ohms_on_range(
    vehicles: Vehicles, states: States, what: Measurement, test_ampere: float
) -> list[float | None]:
    nodes = check(vehicles[0], what)
    source = Input(SOURCE_VOLT / test_ampere + LEAD_OHM, SOURCE_VOLT)
    found: list[float | None] = []
    for state in _with(vehicles, states, what, source):
        ampere = -state.ampere.get("meter", 0.0)
        # The display divides the volts at the meter's sockets by the meter's own current.
        ohm = _across(state, nodes) / ampere + LEAD_OHM if ampere > LEAST_AMPERE else None
        found.append(ohm)
    return found


def _continuity(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    return [
        replace(reading, beep=reading.value is not None and reading.value < BEEPS_BELOW_OHM)
        for reading in _ohms(vehicles, states, what)
    ]


def _amps(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    shunt = FusedLead(METER_FUSE_A, SHUNT_OHM + LEAD_OHM)
    found = []
    for state in _with(vehicles, states, what, shunt):
        reading = _swinging("amps", [s.ampere.get("meter", 0.0) for s in _both(state)])
        if "blown" in state.memory.get("meter", REST):
            reading = replace(reading, caution_names=("amps_across_supply",), meter_fuse_blew=True)
        found.append(reading)
    return found


def _clamp(_: Vehicles, states: States, what: Measurement) -> list[Reading]:
    return [
        _swinging("clamp", [s.ampere.get(what.wire, 0.0) for s in _both(state)]) for state in states
    ]


def _lamp(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    nodes = check(vehicles[0], what)
    found = []
    for state in _with(vehicles, states, what, TEST_LAMP):
        volt = max(abs(_across(s, nodes)) for s in _both(state))
        light = 100 * (volt / TEST_LAMP.rated_volt) ** LIGHT_EXPONENT
        shown = show("lamp", light)
        words = next(word for least, word in LAMP_WORDS if light >= least)
        found.append(Reading(shown.value, "%", words, light, shown.off + shown.step / 2))
    return found


_METHODS = {
    "volts": _volts,
    "ohms": _ohms,
    "continuity": _continuity,
    "amps": _amps,
    "clamp": _clamp,
    "lamp": _lamp,
}


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
        _reading(what.instrument, high, swing=(low, high)),
        caution_names=names,
        meter_fuse_blew=any(r.meter_fuse_blew for r in readings),
    )

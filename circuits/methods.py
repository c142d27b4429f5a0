"""How each instrument reads: it goes into the circuit, and the vehicle settles with it in.

An ohmmeter is a source behind a resistance, put into the circuit as it stands; a test lamp
is a load; an ammeter is a shunt with a fuse. Every method reads several vehicles in one
setting side by side.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from circuits.measurement import LAMP_WORDS, Instrument, Measurement, Reading, check
from circuits.meter import COUNTS, FUNCTIONS, LOW_BATTERY_SAG, show
from circuits.model import State, Vehicle
from circuits.network import Attached
from circuits.operate import settle
from circuits.parts.gear import FusedLead, Input
from circuits.parts.loads import LIGHT_EXPONENT, Lamp
from circuits.spec import Memory, Spec

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

DIODE_VOLT, DIODE_AMPERE = 3.3, 1e-3
"""Diode test: open voltage and current (published multimeter manuals: 3.2 to 3.5 V, 1 mA)."""

BEEPS_BELOW_OHM = 30.0
"""Continuity sounds below this (common practice, no source)."""

LIVE_VOLT = 1e-4
SHUNT_OHM = 0.01
METER_FUSE_A = 10.0
TEST_LAMP = Lamp(watt=5.0, rated_volt=12.0)
LEAST_AMPERE = 1e-12

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


def reading_of(
    instrument: str,
    value: float | None,
    swing: tuple[float, float] | None = None,
) -> Reading:
    """Return the reading of a value in the function's unit, None beyond its last range."""
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
        return reading_of(instrument, values[0])
    return reading_of(instrument, (low + high) / 2, swing=(low, high))


def _both(state: State) -> tuple[State, ...]:
    return (state,) if state.other is None else (state, state.other)


def _source_volt(volt: float, what: Measurement) -> float:
    """Return the open volts of the meter's own source: a low battery lets it sag."""
    return volt * (1 - LOW_BATTERY_SAG) if what.low_battery else volt


def _volts(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    nodes = check(vehicles[0], what)
    across = Lamp(watt=what.load_w, rated_volt=12.0) if what.load_w else Input(METER_OHM)
    loaded = _with(vehicles, states, what, across)
    return [
        replace(
            _swinging("volts", [_across(s, nodes) for s in _both(state)]),
            loaded=_remembered(state) if what.load_w else (),
        )
        for state in loaded
    ]


def _remembered(state: State) -> tuple[tuple[str, Memory], ...]:
    return tuple(sorted(state.memory.items()))


def _diode(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    nodes = check(vehicles[0], what)
    source = Input(DIODE_VOLT / DIODE_AMPERE, _source_volt(DIODE_VOLT, what))
    open_volts = [_across(s, nodes) for s in _with(vehicles, states, what, Input(METER_OHM))]
    found = []
    for state, before in zip(_with(vehicles, states, what, source), open_volts, strict=True):
        names = ("ohms_live",) if abs(before) > LIVE_VOLT else ()
        found.append(replace(reading_of("diode", _across(state, nodes)), caution_names=names))
    return found


def _ohms(vehicles: Vehicles, states: States, what: Measurement) -> list[Reading]:
    nodes = check(vehicles[0], what)
    loaded = _with(vehicles, states, what, Input(METER_OHM))
    found = []
    for ohm, before in zip(_ranged_ohms(vehicles, states, what), loaded, strict=True):
        live = abs(_across(before, nodes)) > LIVE_VOLT
        isolated = vehicles[0].setting.isolated
        names = ("ohms_live",) if live else () if isolated else ("isolate_first",)
        shown = ohm - LEAD_OHM if ohm is not None and what.zeroed else ohm
        found.append(replace(reading_of(what.instrument, shown), caution_names=names))
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
    source = Input(SOURCE_VOLT / test_ampere + LEAD_OHM, _source_volt(SOURCE_VOLT, what))
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
        reading = replace(reading, loaded=_remembered(state))
        burst = dict(state.burst).get("meter")
        if burst is not None:
            reading = replace(
                reading,
                caution_names=("amps_across_supply",),
                meter_fuse_blew=True,
                burst=burst.ampere["meter"],
                loaded=_remembered(burst),
            )
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
        off = shown.off + shown.step / 2
        found.append(Reading(shown.value, "%", words, light, off, loaded=_remembered(state)))
    return found


METHODS: Mapping[Instrument, Callable[[Vehicles, States, Measurement], list[Reading]]] = {
    "volts": _volts,
    "ohms": _ohms,
    "continuity": _continuity,
    "diode": _diode,
    "amps": _amps,
    "clamp": _clamp,
    "lamp": _lamp,
}

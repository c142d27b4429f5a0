"""What an instrument shows: it is connected, the vehicle settles, the display follows.

No reading comes from anywhere else. An ohmmeter is a source behind a resistance, put
into the circuit as it stands; a test lamp is a load; an ammeter is a shunt with a fuse.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from circuits.cautions import sentences
from circuits.meter import FUNCTIONS, Shown, show
from circuits.model import CircuitError, State, Vehicle
from circuits.network import Attached
from circuits.operate import settle, solve
from circuits.parts.gear import FusedLead, Input
from circuits.parts.loads import LIGHT_EXPONENT, Lamp
from circuits.parts.motor import Motor
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
HOT_A_PER_MM2 = 25.0
"""Current density above which a wire is called hot (common practice, no source)."""

HELD_SHARE = 0.5


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


def read(vehicle: Vehicle, what: Measurement, state: State | None = None) -> Reading:
    """Return what the instrument shows on a vehicle in its setting.

    ``state`` is the vehicle's solved state where the caller has it already.

    Raises
    ------
    CircuitError
        If a lead is on no test point, on one that is not exposed, or both are on one; if
        the clamp is round no wire.
    """
    check(vehicle, what)
    if what.hold:
        return _held(vehicle, replace(what, hold=False))
    state = state or solve(vehicle)
    found = _METHODS[what.instrument](vehicle, state, what)
    return replace(found, caution_names=(*found.caution_names, *act_cautions(vehicle, state)))


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


def _with(vehicle: Vehicle, state: State, what: Measurement, spec: Spec) -> State:
    """Return the state with an instrument's input across the leads."""
    gear = Attached("meter", spec, check(vehicle, what))
    return settle([vehicle], [state.memory], [[gear]], [state.volt])[0]


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


def _volts(vehicle: Vehicle, state: State, what: Measurement) -> Reading:
    red, black = check(vehicle, what)
    with_meter = _with(vehicle, state, what, Input(METER_OHM))
    return _swinging("volts", [s.between(red, black) for s in _both(with_meter)])


def open_volt(vehicle: Vehicle, state: State, what: Measurement) -> float:
    """Return the volts between the leads before an ohmmeter adds its own."""
    red, black = check(vehicle, what)
    loaded = _with(vehicle, state, what, Input(METER_OHM))
    return loaded.between(red, black)


def _ohms(vehicle: Vehicle, state: State, what: Measurement) -> Reading:
    ranges = [r for r in TEST_AMPERE if r[0] <= FUNCTIONS[what.instrument].ranges[-1]]
    live = abs(open_volt(vehicle, state, what)) > LIVE_VOLT
    names = ("ohms_live",) if live else () if vehicle.setting.isolated else ("isolate_first",)
    for full, test_ampere in ranges:
        ohm = _ohm_on_range(vehicle, state, what, SOURCE_VOLT / test_ampere)
        if ohm is not None and round(abs(ohm) / full * 6000) < 6000:
            break
    else:
        ohm = None
    if ohm is not None and what.zeroed:
        ohm -= LEAD_OHM
    return replace(_reading(what.instrument, ohm), caution_names=names)


def _ohm_on_range(
    vehicle: Vehicle, state: State, what: Measurement, behind_ohm: float
) -> float | None:
    source = Input(behind_ohm + LEAD_OHM, SOURCE_VOLT)
    with_meter = _with(vehicle, state, what, source)
    red, black = check(vehicle, what)
    ampere = -with_meter.ampere.get("meter", 0.0)
    if ampere <= 1e-12:
        return None
    # The display divides the volts at its own sockets by its own current.
    return with_meter.between(red, black) / ampere + LEAD_OHM


def _continuity(vehicle: Vehicle, state: State, what: Measurement) -> Reading:
    found = _ohms(vehicle, state, what)
    beeps = found.value is not None and found.value < BEEPS_BELOW_OHM
    return replace(found, beep=beeps)


def _amps(vehicle: Vehicle, state: State, what: Measurement) -> Reading:
    with_meter = _with(vehicle, state, what, FusedLead(METER_FUSE_A, SHUNT_OHM + LEAD_OHM))
    if "blown" in with_meter.memory.get("meter", REST):
        return replace(
            _reading("amps", 0.0), caution_names=("amps_across_supply",), meter_fuse_blew=True
        )
    return _swinging("amps", [s.ampere.get("meter", 0.0) for s in _both(with_meter)])


def _clamp(_: Vehicle, state: State, what: Measurement) -> Reading:
    return _swinging("clamp", [s.ampere.get(what.wire, 0.0) for s in _both(state)])


def _lamp(vehicle: Vehicle, state: State, what: Measurement) -> Reading:
    red, black = check(vehicle, what)
    with_lamp = _with(vehicle, state, what, TEST_LAMP)
    volt = max(abs(s.between(red, black)) for s in _both(with_lamp))
    light = 100 * (volt / TEST_LAMP.rated_volt) ** LIGHT_EXPONENT
    shown: Shown = show("lamp", light)
    words = "bright" if light > 60 else "dim" if light > 8 else "glows" if light > 0.2 else "dark"
    return Reading(shown.value, "%", words, light, shown.off + shown.step / 2)


_METHODS = {
    "volts": _volts,
    "ohms": _ohms,
    "continuity": _continuity,
    "amps": _amps,
    "clamp": _clamp,
    "lamp": _lamp,
}


def _held(vehicle: Vehicle, what: Measurement) -> Reading:
    """Return what min/max hold keeps of one operation: its lowest and highest value."""
    readings = [
        read(vehicle.with_setting(replace(vehicle.setting, moment=moment)), what)
        for moment in MOMENTS
    ]
    values = [v for r in readings for v in (r.swing or (r.value,)) if v is not None]
    names = tuple(name for r in readings for name in r.caution_names)
    if not values:
        return replace(readings[-1], caution_names=names)
    low, high = min(values), max(values)
    held = _reading(what.instrument, high, swing=(low, high))
    return replace(
        held, caution_names=names, meter_fuse_blew=any(r.meter_fuse_blew for r in readings)
    )


def act_cautions(vehicle: Vehicle, state: State) -> tuple[str, ...]:
    """Return the names of the cautions that the setting itself calls for."""
    names = []
    if vehicle.setting.jumpers:
        names.append("fused_jumper")
        if any("blown" in flags for name, flags in state.memory.items() if "jumper" in name):
            names.append("jumper_blew")
    if held_motors(vehicle, state):
        names.append("held_at_stop")
    if _hot_wires(vehicle, state):
        names.append("hot_conductor")
    return tuple(names)


def held_motors(vehicle: Vehicle, state: State) -> Mapping[str, float]:
    """Return the amperes of the motors that are held at their stop with current on."""
    if vehicle.setting.moment != "at_rest":
        return {}
    found = {}
    for part in vehicle.circuit.parts:
        ampere = abs(state.ampere.get(part.name, 0.0))
        if isinstance(part.spec, Motor) and ampere > HELD_SHARE * 6.0 / part.spec.ohm:
            found[part.name] = ampere
    return found


def _hot_wires(vehicle: Vehicle, state: State) -> bool:
    return any(
        abs(state.ampere.get(wire.name, 0.0)) > HOT_A_PER_MM2 * wire.area_mm2
        for wire in vehicle.circuit.wires
    )

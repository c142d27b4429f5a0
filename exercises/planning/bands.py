"""What severities of faults show in one setting: for every test the band of each.

A band holds whatever a vehicle with parts within their tolerances can show. Bands are
widened by the meter's accuracy and half a digit, and by rounding outwards to steps fine
enough for the meter; they are compared with each other only, so each end is kept as its
step's rank among the ends of its test.
"""

from collections.abc import Container, Hashable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from circuits.consequences import blown_fuses
from circuits.lawmath import Array
from circuits.measurement import Measurement
from circuits.meter import COUNTS, FUNCTIONS
from circuits.model import Circuit, Setting, State, Vehicle
from circuits.operate import solve_many
from circuits.points import find_point
from circuits.spec import BODY, Spec, join
from circuits.survey import Survey, survey
from exercises.candidates import BEYOND, SWING_SHARE
from exercises.evidence import Evidence, Seen, codes
from exercises.planning.allowed import tests_in
from exercises.trial import Behaviour, Trial

Ranks = NDArray[np.uint16]

OHM_SHARE = 0.15
"""How far sound parts' ohms go either way, whatever lies between the leads: as far as a
motor's, the widest that an ohmmeter meets."""

STEPS = {"volts": (0.002, 0.004), "ohms": (0.05, 0.004), "clamp": (0.02, 0.01)}
"""Least step and, for large values, its share, by instrument: well within the accuracy."""

NO_END = 32_000
"""The step of a value beyond all ranges."""


@dataclass(frozen=True)
class Ends:
    """What vehicles show in one setting; rows are vehicles, columns the setting's readings.

    Attributes
    ----------
    low, high : ends of what each reading can be before the meter rounds it.
    seen : what each vehicle may be seen to do; empty where nobody watches.
    behaviour, blown : the discrete state each settles in, and the fuses that are gone then.
    """

    low: NDArray[np.float32]
    high: NDArray[np.float32]
    seen: tuple[Seen, ...]
    behaviour: tuple[Behaviour, ...]
    blown: tuple[frozenset[str], ...]


def measurements_in(circuit: Circuit, setting: Setting) -> tuple[Measurement, ...]:
    """Return what is measured in a setting, in the order of the columns of ``ends_in``."""
    return tuple(test.what for test in tests_in(circuit, setting) if test.what is not None)


def ends_in(
    circuit: Circuit, setting: Setting, tried: Sequence[Trial], watch: Setting | None
) -> Ends:
    """Return what faults, each at one severity, show in a setting.

    ``watch`` is the setting in which they are watched, None where nobody does.
    """
    vehicles = [one.vehicle(circuit, Evidence(setting)) for one in tried]
    whats = measurements_in(circuit, setting)
    pairs = [_nodes(circuit, setting, what) for what in whats if what.instrument != "clamp"]
    wires = [what.wire for what in whats if what.instrument == "clamp"]
    found = survey(vehicles, pairs or [(BODY, BODY)], wires)
    low, high = (ends[:, ends.shape[1] - len(whats) :] for ends in _reached(setting, found))
    _swing(low, high, found.states, pairs, wires)
    seen: tuple[Seen, ...] = ()
    if watch is not None:
        worked = [one.vehicle(circuit, Evidence(watch)) for one in tried]
        seen = _seen(worked, found.states if watch == setting else solve_many(worked))
    return Ends(
        low.astype(np.float32),
        high.astype(np.float32),
        seen,
        tuple(behaviour_of(state) for state in found.states),
        tuple(blown_fuses(v, s) for v, s in zip(vehicles, found.states, strict=True)),
    )


def behaviour_of(state: State) -> Behaviour:
    """Return the discrete state in which a vehicle has settled."""
    return tuple(sorted(state.memory.items())), state.chatter


def _nodes(circuit: Circuit, setting: Setting, what: Measurement) -> tuple[str, str]:
    red, black = (find_point(circuit, setting, name).node for name in (what.red, what.black))
    return red, black


def _reached(setting: Setting, found: Survey) -> tuple[Array, Array]:
    if setting.isolated:
        return found.ohm * (1 - OHM_SHARE), found.ohm * (1 + OHM_SHARE)
    value = np.hstack([found.volt, found.ampere])
    reach = BEYOND * np.hstack([found.volt_reach, found.ampere_reach])
    return value - reach, value + reach


def _swing(
    low: Array,
    high: Array,
    states: Sequence[State],
    pairs: Sequence[tuple[str, str]],
    wires: Sequence[str],
) -> None:
    """Widen the bands of chattering vehicles to both the values between which they swing."""
    for row, state in enumerate(states):
        if state.other is None:
            continue
        every: list[tuple[str, str] | str] = [*pairs, *wires]
        for column, each in enumerate(every):
            swing = [_value(one, each) for one in (state, state.other)]
            more = SWING_SHARE * max(abs(end) for end in swing)
            low[row, column] = min(low[row, column], *(end - more for end in swing))
            high[row, column] = max(high[row, column], *(end + more for end in swing))


def _value(state: State, each: tuple[str, str] | str) -> float:
    if isinstance(each, str):
        return state.ampere.get(each, 0.0)
    return state.between(*each)


def watched(setting: Setting, known: Container[Setting]) -> Setting | None:
    """Return the setting in which the operation is watched that leads to one of some settings.

    None where there is nothing to watch: without a source, with a fuse out, or where the
    operation is watched in another of them.
    """
    moving_there = replace(setting, moment="moving")
    if setting.isolated or setting.pulled:
        return None
    if moving_there != setting and moving_there in known:
        return None
    return moving_there


def _seen(vehicles: Sequence[Vehicle], states: Sequence[State]) -> tuple[Seen, ...]:
    """Return what may be seen of each vehicle; those with the same state are looked at once."""
    known: dict[Hashable, Seen] = {}
    found = []
    for vehicle, state in zip(vehicles, states, strict=True):
        key = _look_of(vehicle, state)
        if key not in known:
            known[key] = codes(vehicle, state)
        found.append(known[key])
    return tuple(found)


def _look_of(vehicle: Vehicle, state: State) -> Hashable:
    """Return all that bears on what is seen, volts and amperes to a ten-thousandth."""
    parts, nodes = _visible(vehicle.circuit)
    own = tuple(f for f in vehicle.faults if f.place.partition(".")[0] in parts)
    volt = tuple(round(state.volt.get(node, 0.0), 4) for node in nodes)
    ampere = tuple(round(state.ampere.get(part, 0.0), 4) for part in parts)
    return own, volt, ampere, frozenset(state.memory.items()), state.chatter


@lru_cache(maxsize=64)
def _visible(circuit: Circuit) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the parts of which something can be seen, and their nodes."""
    parts = [part for part in circuit.parts if type(part.spec).seen is not Spec.seen]
    nodes = (circuit.node(join(p.name, t)) for p in parts for t in p.spec.terminals())
    return tuple(part.name for part in parts), tuple(dict.fromkeys(nodes))


def accuracy(instrument: str, value: Array) -> Array:
    """Return how far the meter's display may be off at these values, half a digit included."""
    spec = FUNCTIONS[instrument]
    step = np.full(value.shape, spec.ranges[-1] / COUNTS)
    for full in reversed(spec.ranges):
        step = np.where(np.abs(value) < full, 10.0 ** round(np.log10(full / COUNTS)), step)
    off: Array = np.abs(value) * spec.per_cent / 100 + (spec.digits + 0.5) * step
    return off


def banded(instruments: Sequence[str], low: Array, high: Array) -> tuple[Ranks, Ranks]:
    """Return bands as the meter shows them: each end's rank among those of its test.

    ``low`` and ``high`` are (candidate, test); what is returned is (test, candidate).
    """
    lows, highs = (np.empty(low.T.shape, dtype=np.uint16) for _ in range(2))
    for number, instrument in enumerate(instruments):
        ends = low[:, number].astype(float), high[:, number].astype(float)
        steps = np.concatenate(
            [
                np.floor(_steps(instrument, ends[0] - _finite(accuracy(instrument, ends[0])))),
                np.ceil(_steps(instrument, ends[1] + _finite(accuracy(instrument, ends[1])))),
            ]
        )
        _, rank = np.unique(steps, return_inverse=True)
        lows[number], highs[number] = np.split(rank, 2)
    return lows, highs


def _finite(off: Array) -> Array:
    return np.where(np.isfinite(off), off, 0.0)


def _steps(instrument: str, value: Array) -> Array:
    least, share = STEPS[instrument]
    most = FUNCTIONS[instrument].ranges[-1]
    step: Array = np.arcsinh(np.clip(value, -most, most) * share / least) / share
    return np.where(value > most, NO_END, step)

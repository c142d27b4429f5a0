"""A fault at one severity tried against one piece of evidence: what it would have shown."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from circuits.behaviour import moving, tips
from circuits.consequences import blown_fuses
from circuits.faultkinds import KINDS
from circuits.faults import cures
from circuits.instruments import Measurement, Reading, read_many
from circuits.lawmath import Array
from circuits.model import Circuit, Fault, State, Vehicle
from circuits.moves import reading_moves
from circuits.network import shows
from circuits.operate import solve_many
from circuits.spec import MOMENTS, Memory
from exercises.evidence import NO_FAULT, Evidence, Seen, codes

_MANY, _SOME = 200, 24

Scatter = tuple[tuple[str, float], ...]

Behaviour = tuple[tuple[tuple[str, Memory], ...], tuple[str, ...]]
"""The discrete states in which a vehicle settles: fuses, relays, controllers."""


@dataclass(frozen=True, slots=True)
class Trial:
    """A fault at one severity, the fuses it has blown, and those renewed since the start.

    ``beside`` are the faults that the vehicle has besides, ``scatter`` is where its parts lie
    within their tolerances (see ``Vehicle``).
    """

    fault: Fault
    blown: frozenset[str]
    renewed: frozenset[str] = frozenset()
    beside: tuple[Fault, ...] = ()
    scatter: Scatter = ()

    def vehicle(self, circuit: Circuit, evidence: Evidence) -> Vehicle:
        """Return the vehicle that has this fault, set as it was for the evidence.

        A fault that shows only when moved or warm is there, or not, as the setting says: so
        those that do not show are one vehicle, and are solved once.
        """
        whole = Vehicle(
            circuit, (), evidence.setting, self.blown, evidence.celsius, scatter=self.scatter
        )
        faults = [one for one in (self.fault, *self.beside) if not self._gone(one, evidence)]
        return replace(whole, faults=tuple(_as_set(whole, faults)))

    def _gone(self, fault: Fault, evidence: Evidence) -> bool:
        return (
            fault == NO_FAULT
            or cured_by_fuses(fault, self.renewed)
            or any(cures(fault, place, repair) for place, repair in evidence.repaired)
        )


def _as_set(vehicle: Vehicle, faults: Iterable[Fault]) -> Iterator[Fault]:
    for fault in faults:
        if fault.when == "loaded":  # it may show later on, when the parts are watched moving
            yield fault
        elif shows(vehicle, fault):
            yield replace(fault, when="")


@dataclass(frozen=True, slots=True)
class Shows:
    """What a fault would have shown; ``seen`` and ``reading`` only as far as asked for."""

    behaviour: Behaviour
    blown: frozenset[str]
    seen: Seen = frozenset()
    reading: Reading | None = None
    moves: "Row | None" = field(default=None, compare=False)


@dataclass(frozen=True)
class Row:
    """The moves of one vehicle's reading: names of the unknowns, and the move of each."""

    unknowns: tuple[str, ...]
    move: Array

    def reach(self) -> float:
        """Return how far all unknowns together can move the reading."""
        return float(np.abs(self.move).sum())


def cured_by_fuses(fault: Fault, renewed: frozenset[str]) -> bool:
    """Say whether a fault went with the old fuse: blown, or of the wrong rating."""
    return fault.place in renewed and "replace_fuse" in KINDS[fault.kind].cures


def trials(circuit: Circuit, evidence: Evidence, tried: Sequence[Trial]) -> dict[Fault, Shows]:
    """Return by fault what each would have shown at the moment of the evidence."""
    asked = [one.vehicle(circuit, evidence) for one in tried]
    vehicles = list(dict.fromkeys(asked))
    states = _solved(vehicles)
    seen = _seen(evidence, vehicles, states)
    readings: Sequence[Reading | None] = [None] * len(vehicles)
    moves: Sequence[Row | None] = [None] * len(vehicles)
    if evidence.what is not None and evidence.reading is not None:
        readings, moves = _read(vehicles, states, evidence.what)
    rows = zip(vehicles, states, seen, readings, moves, strict=True)
    shown = {
        vehicle: Shows(_behaviour(state), blown_fuses(vehicle, state), codes_seen, reading, move)
        for vehicle, state, codes_seen, reading, move in rows
    }
    return {one.fault: shown[vehicle] for one, vehicle in zip(tried, asked, strict=True)}


def _read(
    vehicles: list[Vehicle], states: list[State], what: Measurement
) -> tuple[list[Reading], Sequence[Row | None]]:
    """Return what is read of each vehicle, and how far tolerances move it."""
    readings = read_many(vehicles, what, states)
    if not vehicles:
        return readings, []
    if what.hold:
        return readings, _held_moves(vehicles, replace(what, hold=False))
    moves = reading_moves(vehicles, states, what, readings)
    # through a meter's blown fuse nothing moves the reading
    return readings, [
        None if reading.meter_fuse_blew else Row(moves.unknowns, row)
        for reading, row in zip(readings, moves.move, strict=True)
    ]


def _held_moves(vehicles: list[Vehicle], what: Measurement) -> list[Row | None]:
    """Return the moves at the moment of the operation at which they reach furthest."""
    at_moments = []
    for moment in MOMENTS:
        staged = [v.with_setting(replace(v.setting, moment=moment)) for v in vehicles]
        at_moments.append(_read(staged, solve_many(staged), what)[1])
    return [
        max(rows, key=lambda row: 0.0 if row is None else row.reach())
        for rows in zip(*at_moments, strict=True)
    ]


def on_edge(circuit: Circuit, evidence: Evidence, tried: Sequence[Trial]) -> list[Fault]:
    """Return the faults with a threshold close by: a part's, or that of how one is seen."""
    asked = [one.vehicle(circuit, evidence) for one in tried]
    vehicles = list(dict.fromkeys(asked))
    edgy = {
        vehicle
        for staged in (vehicles, [moving(vehicle) for vehicle in vehicles])
        for vehicle, there, state in zip(vehicles, staged, _solved(staged), strict=True)
        if _near(evidence.seen or frozenset(), there, state)
    }
    return [one.fault for one, vehicle in zip(tried, asked, strict=True) if vehicle in edgy]


NEARLY = (0.88, 1.0, 1.14)
"""Shares of the volts at which a part of a vehicle near by may be seen otherwise."""


def _near(seen: Seen, vehicle: Vehicle, state: State) -> bool:
    """Say whether a vehicle near by may behave otherwise, and as it was seen to."""
    tipping = tips(vehicle, state)
    likely = codes(vehicle, state, NEARLY)
    missing = {part for part, _ in seen - likely}
    # What a tipping part itself would show must be what was seen; what follows is not known.
    own = {part for part, code in tipping if code}
    others = tipping and not missing & own
    return not missing or bool(others) or bool(seen & set(tipping) - likely)


def _behaviour(state: State) -> Behaviour:
    return tuple(sorted(state.memory.items())), state.chatter


def _seen(evidence: Evidence, vehicles: list[Vehicle], states: list[State]) -> list[Seen]:
    if evidence.seen is None:
        return [frozenset()] * len(vehicles)
    worked = [moving(vehicle) for vehicle in vehicles]
    if worked != vehicles:
        states = _solved(worked)
    return [codes(vehicle, state) for vehicle, state in zip(worked, states, strict=True)]


def _solved(vehicles: list[Vehicle]) -> list[State]:
    """Return the states of vehicles; many at once are kept, being asked for by every
    attempt at an exercise."""
    if len(vehicles) < _SOME:
        return solve_many(vehicles)
    return (_solved_some if len(vehicles) < _MANY else _solved_many)(tuple(vehicles))


@lru_cache(maxsize=64)
def _solved_some(vehicles: tuple[Vehicle, ...]) -> list[State]:
    return solve_many(vehicles)


@lru_cache(maxsize=3)
def _solved_many(vehicles: tuple[Vehicle, ...]) -> list[State]:
    return solve_many(vehicles)

"""A fault at one severity tried against one piece of evidence: what it would have shown."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from circuits.behaviour import moving
from circuits.consequences import blown_fuses
from circuits.faultkinds import KINDS
from circuits.faults import cures
from circuits.instruments import Measurement, Reading, read_many
from circuits.lawmath import Array
from circuits.model import Circuit, Fault, State, Vehicle
from circuits.moves import reading_moves
from circuits.nearby import Otherwise, otherwise
from circuits.network import shows
from circuits.operate import solve_many
from circuits.spec import MOMENTS, Memory
from exercises.evidence import NO_FAULT, Evidence, Seen, codes
from exercises.kept import Kept

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
            circuit,
            (),
            evidence.setting,
            self.blown,
            evidence.celsius,
            scatter=self.scatter,
            fresh=evidence.fresh,
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
    found = shown_by(circuit, evidence, tried)
    return {one.fault: shows for one, shows in zip(tried, found, strict=True)}


def shown_by(circuit: Circuit, evidence: Evidence, tried: Sequence[Trial]) -> list[Shows]:
    """Return what each trial would have shown at the moment of the evidence."""
    asked = [one.vehicle(circuit, evidence) for one in tried]
    vehicles = list(dict.fromkeys(asked))
    states = _solved(vehicles)
    seen = _seen(evidence, vehicles)
    readings: Sequence[tuple[Reading | None, Row | None]] = [(None, None)] * len(vehicles)
    if evidence.what is not None and evidence.reading is not None:
        readings = _read(vehicles, evidence.what)
    rows = zip(vehicles, states, seen, readings, strict=True)
    shown = {
        vehicle: Shows(_behaviour(state), blown_fuses(vehicle, state), codes_seen, *reading)
        for vehicle, state, codes_seen, reading in rows
    }
    return [shown[vehicle] for vehicle in asked]


def _read(vehicles: list[Vehicle], what: Measurement) -> list[tuple[Reading, "Row | None"]]:
    """Return what is read of each vehicle, and how far tolerances move it."""

    def read(new: list[tuple[Vehicle, Measurement]]) -> list[tuple[Reading, "Row | None"]]:
        return _read_anew([vehicle for vehicle, _ in new], what)

    return _READINGS.many([(vehicle, what) for vehicle in vehicles], read)


def _read_anew(vehicles: list[Vehicle], what: Measurement) -> list[tuple[Reading, "Row | None"]]:
    states = _solved(vehicles)
    readings = read_many(vehicles, what, states)
    if what.hold:
        moves = _held_moves(vehicles, replace(what, hold=False))
        return list(zip(readings, moves, strict=True))
    told = reading_moves(vehicles, states, what, readings)
    # through a meter's blown fuse nothing moves the reading
    return [
        (reading, None if reading.meter_fuse_blew else Row(told.unknowns, row))
        for reading, row in zip(readings, told.move, strict=True)
    ]


def _held_moves(vehicles: list[Vehicle], what: Measurement) -> list[Row | None]:
    """Return the moves at the moment of the operation at which they reach furthest."""
    at_moments = []
    for moment in MOMENTS:
        staged = [v.with_setting(replace(v.setting, moment=moment)) for v in vehicles]
        at_moments.append([moves for _, moves in _read(staged, what)])
    return [
        max(rows, key=lambda row: 0.0 if row is None else row.reach())
        for rows in zip(*at_moments, strict=True)
    ]


MOST_NEAR = 6
"""Vehicles near by that are tried in place of one."""


def near_by(
    circuit: Circuit, evidence: Evidence, tried: Sequence[Trial]
) -> dict[Fault, list[Scatter]]:
    """Return by fault where a vehicle's parts may lie for it to do what was seen.

    Where a part may be seen to do what was seen and is not seen of the nominal vehicle; and
    where a part settles otherwise, as what follows from that is not known.
    """
    asked = [moving(one.vehicle(circuit, evidence)) for one in tried]
    worked = list(dict.fromkeys(asked))
    told = zip(worked, _NEAR.many(worked, _otherwise), _CODES.many(worked, _looked_at), strict=True)
    seen = evidence.seen or frozenset()
    ways = {vehicle: _worth(found, seen - shown) for vehicle, found, shown in told}
    return {one.fault: ways[vehicle] for one, vehicle in zip(tried, asked, strict=True)}


def _worth(found: Sequence[Otherwise], missing: Seen) -> list[Scatter]:
    told = [one for one in found if not one.tips and (one.part, one.code) in missing]
    tips = [one for one in found if one.tips]
    # Those furthest off come first: what they leave possible is the most.
    ways = dict.fromkeys(one.scatter for one in (*reversed(told), *reversed(tips)))
    return list(ways)[:MOST_NEAR]


def _otherwise(vehicles: list[Vehicle]) -> list[tuple[Otherwise, ...]]:
    return otherwise(vehicles, _solved(vehicles))


def _behaviour(state: State) -> Behaviour:
    return tuple(sorted(state.memory.items())), state.chatter


def _seen(evidence: Evidence, vehicles: list[Vehicle]) -> list[Seen]:
    if evidence.seen is None:
        return [frozenset()] * len(vehicles)
    return _CODES.many([moving(vehicle) for vehicle in vehicles], _looked_at)


def _looked_at(vehicles: list[Vehicle]) -> list[Seen]:
    return [codes(*pair) for pair in zip(vehicles, _solved(vehicles), strict=True)]


_STATES = Kept[Vehicle, State](most=8_000)
_NEAR = Kept[Vehicle, tuple[Otherwise, ...]](most=8_000)
_CODES = Kept[Vehicle, Seen](most=16_000)
_READINGS = Kept[tuple[Vehicle, Measurement], tuple[Reading, Row | None]](most=8_000)


def _solved(vehicles: Sequence[Vehicle]) -> list[State]:
    return _STATES.many(vehicles, solve_many)

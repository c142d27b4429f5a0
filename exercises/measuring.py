"""What an act shows: the reading the leads now give, what the vehicle does, what it costs."""

from dataclasses import replace
from typing import Any

from circuits.behaviour import observe
from circuits.consequences import act_cautions, blown_fuses, heated
from circuits.instruments import Measurement, Reading, read
from circuits.operate import solve
from exercises import minutes
from exercises.attempt import Attempt
from exercises.events import Draft
from exercises.shown import measurement_to_json, shown_of


def watching(after: Attempt) -> dict[str, Any]:
    """Return what the vehicle does in its setting, and which fuses that has cost."""
    vehicle = after.vehicle()
    state = solve(vehicle)
    blown = blown_fuses(vehicle, state)
    cautions = [*act_cautions(vehicle, state), *(["fuse_blew"] if blown - after.blown else [])]
    return {
        "seen": [[seen.part, seen.code, seen.words] for seen in observe(vehicle)],
        "blown": sorted(blown),
        "cautions": cautions,
    }


def measured(kind: str, before: Attempt, after: Attempt, body: dict[str, Any]) -> Draft:
    """Return the event with the reading that the leads now give, and what it all cost."""
    what = after.measurement()
    places = minutes.places_of(after.circuit, after.setting, (after.red, after.black))
    new = places - before.visited
    spent = body.get("minutes", 0.0)
    spent += minutes.setting_minutes(before.setting, after.setting)
    spent += minutes.access_minutes(after.circuit, new)
    if what is None or (after.asks_now and not _expected(after, what, body)):
        body["reading"] = None  # with leads that would make one, it waits for an expectation
    else:
        spent += minutes.PROBE
        body |= _reading_of(after, what)
    return Draft(kind, {**body, "minutes": spent, "visited": sorted(new)})


def _expected(after: Attempt, what: Measurement, body: dict[str, Any]) -> bool:
    """Say whether an expectation stands, now or from an earlier reading of the same."""
    if "expected" in body:
        return True
    earlier = after.stated(what)
    if earlier is not None:
        body |= {
            "expected": earlier.expected,
            "right": earlier.expected_right,
            "sound": earlier.sound,
        }
    return earlier is not None


def _reading_of(after: Attempt, what: Measurement) -> dict[str, Any]:
    vehicle = after.vehicle()
    reading = _meter_reading(after, what)
    expected = None
    if after.exercise.shows_expected:
        expected = read(after.healthy(), replace(what, low_battery=False))
    state = solve(vehicle)
    return {
        "what": measurement_to_json(what),
        "reading": shown_of(reading, expected).to_json(),
        "celsius": [list(pair) for pair in heated(vehicle, state)],
        "blown": sorted(blown_fuses(vehicle, state)),
        "meter_blew": reading.meter_fuse_blew,
    }


def _meter_reading(after: Attempt, what: Measurement) -> Reading:
    if what.instrument == "amps" and after.meter_blown:
        return Reading(0.0, "A", "0.000", 0.0, 0.0, caution_names=("meter_fuse_gone",))
    return read(after.vehicle(), what)

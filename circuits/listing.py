"""What a circuit holds, as plain data that JSON can take: circuit, points, faults, readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from circuits.model import AS_FOUND, Circuit, Connector, Setting, Vehicle
from circuits.settings import setting_from, setting_words, switches

if TYPE_CHECKING:
    from collections.abc import Iterator

    from circuits.measurement import Reading

# Solver and faults are imported where they are used: a list of names should come at once.


def summary_data(circuit: Circuit) -> dict[str, Any]:
    """Return a circuit's name, title and summary."""
    return {"name": circuit.name, "title": circuit.title, "summary": circuit.summary}


def circuit_data(circuit: Circuit) -> dict[str, Any]:
    """Return what a circuit is made of, and what its cavities read on a healthy vehicle."""
    views = circuit.views
    return {
        **summary_data(circuit),
        "views": {
            "where": views.where.strip(),
            "flow": views.flow.strip(),
            "behaviour": views.behaviour.strip(),
            "testing": views.testing.strip(),
        },
        "places": [
            {"name": place.name, "title": place.title, "minutes": place.minutes}
            for place in circuit.places
        ],
        "parts": [
            {"name": p.name, "title": p.title, "sort": p.spec.sort, "place": p.place}
            for p in circuit.parts
        ],
        "connectors": [_connector_data(connector) for connector in circuit.connectors],
        "switches": [
            {
                "name": name,
                "title": circuit.part_by_name[name].title,
                "positions": list(spec.positions),
                "rests": spec.rests,
            }
            for name, spec in switches(circuit)
        ],
        "wires": [
            {
                "name": wire.name,
                "start": wire.start,
                "end": wire.end,
                "area_mm2": wire.area_mm2,
                "length_m": wire.length_m,
                "colour": wire.colour,
            }
            for wire in circuit.wires
        ],
        "healthy": healthy_table(circuit),
    }


def _connector_data(connector: Connector) -> dict[str, Any]:
    return {
        "name": connector.name,
        "title": connector.title,
        "place": connector.place,
        "part": connector.part,
        "faces": list(connector.faces),
        "cavities": [
            {"cavity": number, "label": label}
            for number, label in enumerate(connector.labels, start=1)
        ],
    }


def healthy_table(circuit: Circuit) -> list[dict[str, Any]]:
    """Return the volts against the body that each cavity reads from the back.

    One row for the vehicle as found and one for each other position of each switch, at the
    moment that ``settings.usual_moment`` gives.
    """
    return [
        {
            "setting": setting_words(circuit, setting),
            "positions": _positions(circuit, setting),
            "moment": setting.moment,
            "volts": dict(_cavity_volts(circuit, setting)),
        }
        for setting in table_settings(circuit)
    ]


def table_settings(circuit: Circuit) -> tuple[Setting, ...]:
    """Return the settings of the healthy table: as found, then one switch out at a time."""
    return (
        AS_FOUND,
        *(
            setting_from(circuit, positions={name: position})
            for name, spec in switches(circuit)
            for position in spec.positions
            if position != spec.rests
        ),
    )


def _positions(circuit: Circuit, setting: Setting) -> dict[str, str]:
    return {name: setting.position(name, spec.rests) for name, spec in switches(circuit)}


def back_probed(circuit: Circuit) -> tuple[str, ...]:
    """Return the test points that touch a mated cavity from behind, one a cavity."""
    return tuple(
        c.face(number, c.faces[0]) if c.inline else f"{c.name}.{number}"
        for c in circuit.connectors
        for number in c.cavities()
    )


def _cavity_volts(circuit: Circuit, setting: Setting) -> Iterator[tuple[str, str]]:
    from circuits.instruments import Measurement, read_many  # noqa: PLC0415
    from circuits.operate import solve  # noqa: PLC0415

    vehicle = Vehicle(circuit, setting=setting)
    state = solve(vehicle)
    for point in back_probed(circuit):
        reading = read_many([vehicle], Measurement("volts", point, "BODY"), [state])[0]
        yield point, reading.display


def points_data(circuit: Circuit) -> list[dict[str, Any]]:
    """Return every test point: where it is, what it costs, when a probe can touch it."""
    from circuits.points import test_points  # noqa: PLC0415

    return [
        {
            "name": point.name,
            "title": point.title,
            "place": point.place,
            "minutes": point.minutes,
            "exposed": point.exposed,
        }
        for point in test_points(circuit)
    ]


def faults_data(circuit: Circuit) -> list[dict[str, Any]]:
    """Return every place and kind of fault, with the severities that stand for it."""
    from circuits.faultkinds import KINDS  # noqa: PLC0415
    from circuits.faults import fault_places  # noqa: PLC0415

    return [
        {
            "place": place.name,
            "title": place.title,
            "kind": kind,
            "words": KINDS[kind].words,
            "unit": KINDS[kind].unit,
            "severities": list(KINDS[kind].grid),
            "usual": KINDS[kind].usual if KINDS[kind].grid else None,
        }
        for place in fault_places(circuit)
        for kind in place.kinds
    ]


def reading_data(vehicle: Vehicle, reading: Reading) -> dict[str, Any]:
    """Return what an instrument showed; ``blown`` names the fuses that the state has blown."""
    from circuits.consequences import blown_fuses  # noqa: PLC0415
    from circuits.operate import solve  # noqa: PLC0415

    return {
        "value": reading.value,
        "unit": reading.unit,
        "display": reading.display,
        "cautions": list(reading.cautions),
        "swing": None if reading.swing is None else list(reading.swing),
        "beep": reading.beep,
        "blown": sorted(blown_fuses(vehicle, solve(vehicle))),
        "meter_fuse_blew": reading.meter_fuse_blew,
        "setting": setting_words(vehicle.circuit, vehicle.setting),
    }

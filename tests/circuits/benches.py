"""Vehicles that the tests of the core share."""

import itertools
from collections.abc import Sequence
from dataclasses import replace

from circuits.behaviour import seen_in
from circuits.faults import all_faults, parse_fault, severities, with_faults
from circuits.files import library_circuit
from circuits.instruments import Instrument, Measurement, Reading, read
from circuits.model import Vehicle
from circuits.operate import solve
from circuits.settings import SettingParts, setting_from, switches
from circuits.spec import MOMENTS
from tests.conftest import FULL

STEPS = library_circuit("side_steps")
BELL = library_circuit("call_bell")

DEPLOY: SettingParts = {"positions": {"rocker": "deploy"}}
PRESSED: SettingParts = {"positions": {"push": "pressed"}}
WINDING: SettingParts = {"unmated": ["C2"], "isolated": True}


def steps(*faults: str, **setting: object) -> Vehicle:
    """Return the side steps with these faults in this setting."""
    return vehicle("side_steps", *faults, **setting)


def bell(*faults: str, **setting: object) -> Vehicle:
    """Return the call bell with these faults in this setting."""
    return vehicle("call_bell", *faults, **setting)


def vehicle(name: str, *faults: str, **setting: object) -> Vehicle:
    """Return a circuit of the library with these faults in this setting."""
    circuit = library_circuit(name)
    put = setting_from(circuit, **setting)  # type: ignore[arg-type]
    return with_faults(Vehicle(circuit, setting=put), [parse_fault(circuit, f) for f in faults])


def every_vehicle(name: str, moments: Sequence[str] = MOMENTS, each: int = 3) -> list[Vehicle]:
    """Return a circuit with every fault at every severity in every position and moment.

    But in the full run, it is every ``each``-th of them.
    """
    circuit = library_circuit(name)
    axes = [[(part, p) for p in spec.positions] for part, spec in switches(circuit)]
    settings = [
        setting_from(circuit, positions=dict(positions), moment=moment)
        for positions in itertools.product(*axes)
        for moment in moments
    ]
    faults = [replace(f, severity=s) for f in all_faults(circuit) for s in severities(f)]
    found = [Vehicle(circuit, (f,), setting) for setting in settings for f in faults]
    return found if FULL else found[::each]


def doing(what: Vehicle, part: str) -> str:
    """Return the code of what a person sees or hears of a part in the vehicle's setting."""
    return next(seen.code for seen in seen_in(what, solve(what)) if seen.part == part)


def shows(vehicle: Vehicle, instrument: Instrument, *leads: str, **more: bool) -> Reading:
    """Return what an instrument shows; for the clamp ``leads`` is the wire."""
    if instrument == "clamp":
        return read(vehicle, Measurement(instrument, wire=leads[0], **more))
    return read(vehicle, Measurement(instrument, *leads, **more))

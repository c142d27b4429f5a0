"""Vehicles that the tests of the core share."""

from circuits.faults import parse_fault, with_faults
from circuits.files import library_circuit
from circuits.instruments import Instrument, Measurement, Reading, read
from circuits.model import Vehicle
from circuits.settings import SettingParts, setting_from

STEPS = library_circuit("side_steps")
BELL = library_circuit("call_bell")

DEPLOY: SettingParts = {"positions": {"rocker": "deploy"}}
PRESSED: SettingParts = {"positions": {"push": "pressed"}}
WINDING: SettingParts = {"unmated": ["C2"], "isolated": True}


def steps(*faults: str, **setting: object) -> Vehicle:
    """Return the side steps with these faults in this setting."""
    return _vehicle("side_steps", faults, setting)


def bell(*faults: str, **setting: object) -> Vehicle:
    """Return the call bell with these faults in this setting."""
    return _vehicle("call_bell", faults, setting)


def _vehicle(name: str, faults: tuple[str, ...], setting: dict[str, object]) -> Vehicle:
    circuit = library_circuit(name)
    put = setting_from(circuit, **setting)  # type: ignore[arg-type]
    return with_faults(Vehicle(circuit, setting=put), [parse_fault(circuit, f) for f in faults])


def shows(vehicle: Vehicle, instrument: Instrument, *leads: str, **more: bool) -> Reading:
    """Return what an instrument shows; for the clamp ``leads`` is the wire."""
    if instrument == "clamp":
        return read(vehicle, Measurement(instrument, wire=leads[0], **more))
    return read(vehicle, Measurement(instrument, *leads, **more))

"""The command line's arguments, and the circuit, vehicle and measurement that they name."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from circuits.model import Circuit, CircuitError, Setting, Vehicle

if TYPE_CHECKING:
    from circuits.measurement import Instrument, Measurement

PROBES: Mapping[Instrument, str] = {
    "volts": "DC volts of RED against BLACK",
    "ohms": "ohms from RED to BLACK",
    "continuity": "ohms from RED to BLACK, and whether the tone sounds",
    "diode": "volts of a diode from RED to BLACK at the meter's own milliampere",
    "lamp": "a test lamp from RED to BLACK",
    "amps": "amperes through the meter from RED to BLACK",
}

MOMENT_HELP = (
    "When the reading is taken: just_operated, moving or at_rest. Without --moment it is moving "
    "if a --set puts a switch out of the position it rests in and the circuit has a motor, "
    "else at_rest. --set moment=moving says the same as --moment moving."
)

LOAD = "volts with a test load across the leads: 5, 21 or 55 W at 12 V"
FAULT = "put a fault in; @moved, @warm or @loaded: only then"


def no_arguments(_: argparse.ArgumentParser) -> None:
    """Add nothing: the command has no arguments of its own."""


def circuit_argument(sub: argparse.ArgumentParser) -> None:
    """Add the circuit."""
    sub.add_argument("circuit", metavar="CIRCUIT", help="a library circuit, or a .toml file")


def file_argument(sub: argparse.ArgumentParser) -> None:
    """Add the circuit file."""
    sub.add_argument("file", metavar="FILE.toml", type=Path)


def vehicle_arguments(sub: argparse.ArgumentParser) -> None:
    """Add the circuit, what the tester sets, and its faults."""
    circuit_argument(sub)
    every: dict[str, Any] = {"action": "append", "default": []}
    sub.add_argument("--set", metavar="SWITCH=POSITION", help="set a switch", **every)
    sub.add_argument("--unmate", metavar="CONNECTOR", help="unplug a connector", **every)
    sub.add_argument("--pull", metavar="FUSE", help="take a fuse out", **every)
    sub.add_argument("--isolate", action="store_true", help="battery's negative lead off")
    sub.add_argument("--jumper", nargs=2, metavar=("A", "B"), help="fused jumper lead", **every)
    sub.add_argument("--wiggle", metavar="NAME", default="", help="connector, part or wire moved")
    sub.add_argument("--warm", action="store_true", help="everything at working temperature")
    sub.add_argument("--moment", help=MOMENT_HELP)
    sub.add_argument("--fault", metavar="PART:KIND[:SEVERITY][@CONDITION]", help=FAULT, **every)


def read_arguments(sub: argparse.ArgumentParser) -> None:
    """Add the vehicle and the instrument."""
    vehicle_arguments(sub)
    sub.epilog = MOMENT_HELP
    which = sub.add_mutually_exclusive_group(required=True)
    for instrument, words in PROBES.items():
        which.add_argument(f"--{instrument}", nargs=2, metavar=("RED", "BLACK"), help=words)
    which.add_argument("--clamp", metavar="WIRE", help="amperes in a wire, from start to end")
    sub.add_argument("--hold", action="store_true", help="keep min and max over the moments")
    sub.add_argument("--load", metavar="WATT", type=float, default=0.0, help=LOAD)
    sub.add_argument("--zeroed", action="store_true", help="ohms without those of the leads")


def draw_arguments(sub: argparse.ArgumentParser) -> None:
    """Add the vehicle and the file to write."""
    vehicle_arguments(sub)
    sub.add_argument("-o", dest="output", metavar="FILE.svg", type=Path, required=True)


def circuit_named(name: str) -> Circuit:
    """Return a circuit of the library, or of the file if the name is a path to one.

    Raises
    ------
    CircuitError
        If there is none such, or its file is not good.
    """
    from circuits.files import library_circuit, load_circuit  # noqa: PLC0415

    is_path = name.endswith(".toml") or len(Path(name).parts) > 1
    return load_circuit(Path(name)) if is_path else library_circuit(name)


def vehicle_of(options: argparse.Namespace) -> Vehicle:
    """Return the vehicle that the arguments name.

    Raises
    ------
    CircuitError
        If the circuit, its setting or a fault is not one that can be.
    """
    circuit = circuit_named(options.circuit)
    vehicle = Vehicle(circuit, setting=_setting(circuit, options))
    if options.fault:
        from circuits.faults import parse_fault, with_faults  # noqa: PLC0415

        vehicle = with_faults(vehicle, [parse_fault(circuit, text) for text in options.fault])
    return vehicle


def _setting(circuit: Circuit, options: argparse.Namespace) -> Setting:
    from circuits.settings import setting_from  # noqa: PLC0415

    positions = _positions(options.set)
    moment = options.moment
    if "moment" not in circuit.part_by_name:
        moment = positions.pop("moment", moment)
    return setting_from(
        circuit,
        positions=positions,
        unmated=options.unmate,
        pulled=options.pull,
        isolated=options.isolate,
        jumpers=[(start, end) for start, end in options.jumper],
        moment=moment,
        moved=options.wiggle,
        warm=options.warm,
    )


def _positions(texts: Iterable[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for text in texts:
        name, equals, position = text.partition("=")
        if not (name and equals and position):
            raise CircuitError(f"--set {text}: accepted: SWITCH=POSITION, as in key=on")
        if found.setdefault(name, position) != position:
            raise CircuitError(f"--set {text}: {name} is set to {found[name]} too; accepted: one")
    return found


def measurement_of(options: argparse.Namespace) -> Measurement:
    """Return the measurement that the arguments name.

    Raises
    ------
    CircuitError
        If leads are zeroed where no ohms are shown, or a load is put on without volts.
    """
    from circuits.measurement import Measurement  # noqa: PLC0415

    if options.clamp is not None:
        found = Measurement("clamp", wire=options.clamp)
    else:
        instrument = next(name for name in PROBES if getattr(options, name) is not None)
        found = Measurement(instrument, *getattr(options, instrument))
    if options.zeroed and found.instrument not in {"ohms", "continuity"}:
        raise CircuitError(f"--zeroed: found with --{found.instrument}; accepted: with ohms only")
    if options.load and found.instrument != "volts":
        raise CircuitError(f"--load: found with --{found.instrument}; accepted: with --volts only")
    return replace(found, zeroed=options.zeroed, hold=options.hold, load_w=options.load)

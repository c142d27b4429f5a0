"""What every circuit of the library must pass: all of it solves, and healthy drops are small."""

from collections.abc import Iterator, Sequence

from circuits.behaviour import seen_in
from circuits.faults import all_faults, parse_fault, severities, with_faults
from circuits.files import library_circuit
from circuits.model import Fault, Setting, State, Vehicle
from circuits.operate import solve, solve_many
from circuits.settings import has_mover, setting_from
from tests.conftest import FULL
from tests.outside.cases import every_setting

WIRE_LIMIT, GROUND_LIMIT, SWITCH_LIMIT = 0.2, 0.1, 0.3
"""Volts dropped at most by a sound feed wire, ground and switch (common practice, as told by
an encyclopaedia's article on voltage drop testing)."""


def vehicle(name: str, *faults: str, **setting: object) -> Vehicle:
    """Return a circuit of the library with these faults in this setting."""
    circuit = library_circuit(name)
    put = setting_from(circuit, **setting)  # type: ignore[arg-type]
    return with_faults(Vehicle(circuit, setting=put), [parse_fault(circuit, f) for f in faults])


def state_of(name: str, *faults: str, **setting: object) -> State:
    """Return the solved state of such a vehicle."""
    return solve(vehicle(name, *faults, **setting))


def codes(name: str, *faults: str, **setting: object) -> dict[str, str]:
    """Return what is seen of each part of such a vehicle, at the setting's own moment."""
    put = vehicle(name, *faults, **setting)
    return {seen.part: seen.code for seen in seen_in(put, solve(put))}


def volts(state: State, name: str, red: str, black: str = "BODY") -> float:
    """Return the volts between two terminals as a solved state has them."""
    circuit = library_circuit(name)
    return state.between(circuit.node(red), circuit.node(black))


def settings_to_try(name: str) -> Iterator[Setting]:
    """Yield the combinations of positions; at every moment where something moves.

    In the everyday run at most two switches are out of the position they rest in, and at
    most one where there are moments to try as well.
    """
    circuit = library_circuit(name)
    most = 1 if has_mover(circuit) else 2
    for setting in every_setting(circuit):
        moment = has_mover(circuit) or setting.moment == "at_rest"
        if moment and (FULL or len(setting.positions) <= most):
            yield setting


def _grid(fault: Fault) -> Sequence[float]:
    grid = severities(fault)
    return grid if FULL else tuple(dict.fromkeys((grid[0], grid[-1])))


def solve_everything(name: str) -> dict[str, int]:
    """Solve every fault in every setting; return the parts that chattered, how often.

    ``ConvergenceError`` or volts beyond reason would come out of here.
    """
    circuit = library_circuit(name)
    faults = [Fault(f.place, f.kind, bad) for f in all_faults(circuit) for bad in _grid(f)]
    chattered: dict[str, int] = {}
    for setting in settings_to_try(name):
        for state in solve_many([Vehicle(circuit, (fault,), setting) for fault in faults]):
            assert all(abs(volt) < 40 for volt in state.volt.values())
            for part in state.chatter:
                chattered[part] = chattered.get(part, 0) + 1
    return chattered


def drops_too_great(name: str, **setting: object) -> list[str]:
    """Return a line for each wire, ground and switch of the healthy circuit that drops too much."""
    circuit = library_circuit(name)
    state = state_of(name, **setting)
    found = []
    for wire in circuit.wires:
        drop = abs(volts(state, name, wire.start, wire.end))
        ground = "BODY" in (wire.start, wire.end) or wire.colour == "BK"
        if drop > (GROUND_LIMIT if ground else WIRE_LIMIT):
            found.append(f"{wire.name}: {drop:.3f} V")
    for part in circuit.parts:
        if part.spec.sort == "ground" and abs(volts(state, name, part.name)) > GROUND_LIMIT:
            found.append(f"{part.name}: {volts(state, name, part.name):.3f} V")
        if part.spec.sort == "switch":
            found += _contact_drops(name, part.name, state)
    return found


def _contact_drops(name: str, switch: str, state: State) -> list[str]:
    circuit = library_circuit(name)
    found = []
    for item in getattr(circuit.part_by_name[switch].spec, "contacts", ()):
        full = f"{switch}.{item.name}"
        drop = volts(state, name, f"{switch}.{item.a}", f"{switch}.{item.b}")
        if full in state.ampere and abs(drop) > SWITCH_LIMIT:
            found.append(f"{full}: {drop:.3f} V")
    return found

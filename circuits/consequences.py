"""What a setting does to the vehicle and to the tester: heat, blown fuses, cautions."""

from collections.abc import Mapping

from circuits.model import Circuit, State, Vehicle
from circuits.parts.motor import Motor
from circuits.parts.supply import Fuse

HOT_A_PER_MM2 = 25.0
"""Current density above which a wire is called hot (common practice, no source)."""

HELD_AMPERE = 0.3
"""A motor at its stop with more current than this is being held there."""


HELD_SECONDS = 5.0
"""How long a motor is held while a reading is taken."""


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


def drives_to_stops(circuit: Circuit) -> bool:
    """Say whether a motor of the circuit drives something to a stop, where it must not be held."""
    return any(isinstance(part.spec, Motor) and part.spec.stops for part in circuit.parts)


def held_motors(vehicle: Vehicle, state: State) -> Mapping[str, float]:
    """Return the amperes of the motors that are held at their stop with current on."""
    if vehicle.setting.moment != "at_rest":
        return {}
    found = {}
    for part in vehicle.circuit.parts:
        ampere = abs(state.ampere.get(part.name, 0.0))
        if isinstance(part.spec, Motor) and part.spec.stops and ampere > HELD_AMPERE:
            found[part.name] = ampere
    return found


def _hot_wires(vehicle: Vehicle, state: State) -> bool:
    return any(
        abs(state.ampere.get(wire.name, 0.0)) > HOT_A_PER_MM2 * wire.area_mm2
        for wire in vehicle.circuit.wires
    )


def blown_fuses(vehicle: Vehicle, state: State) -> frozenset[str]:
    """Return what current has blown, earlier or in this state: fuses, parts with a thermal one."""
    found = (name for name, flags in state.memory.items() if "blown" in flags)
    return frozenset(name for name in found if name in vehicle.circuit.part_by_name)


def fitted_by(circuit: Circuit, place: str, repair: str) -> frozenset[str]:
    """Return the fuses, or the part with a thermal fuse, that a repair at a place makes new."""
    part = circuit.part_by_name.get(place.partition(".")[0])
    if part is None or not part.spec.heats:
        return frozenset()
    new = repair == ("replace_fuse" if isinstance(part.spec, Fuse) else "replace_part")
    return frozenset({part.name} if new else ())


def heated(vehicle: Vehicle, state: State) -> tuple[tuple[str, float], ...]:
    """Return the temperatures in degrees C after a reading's length in this state.

    A motor held at its stop turns all its power into heat in the winding.
    """
    celsius = dict(vehicle.celsius)
    for name in held_motors(vehicle, state):
        spec = vehicle.circuit.part_by_name[name].spec
        assert isinstance(spec, Motor)  # held_motors names motors only
        a, b = (vehicle.circuit.node(f"{name}.{terminal}") for terminal in spec.terminals())
        joule = abs(state.between(a, b) * state.ampere[name]) * HELD_SECONDS
        celsius[name] = celsius.get(name, vehicle.ambient) + joule / spec.heat_j_per_k
    return tuple(sorted(celsius.items()))

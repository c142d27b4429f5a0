"""What a person sees and hears of a vehicle as it is worked: lamps, motors, relays, bells."""

from dataclasses import replace

from circuits.model import State, Vehicle
from circuits.network import Network
from circuits.operate import solve
from circuits.spec import REST, Live, Seen


def moving(vehicle: Vehicle) -> Vehicle:
    """Return the vehicle while whatever its setting set off is moving."""
    return vehicle.with_setting(replace(vehicle.setting, moment="moving"))


def observe(vehicle: Vehicle) -> tuple[Seen, ...]:
    """Return what is seen and heard as the vehicle is worked into its setting."""
    vehicle = moving(vehicle)
    return seen_in(vehicle, solve(vehicle))


EDGE = (0.88, 0.92, 0.96, 1.04, 1.08, 1.14)
"""Shares of the volts and amperes at which a part may be near to another state."""


def tips(vehicle: Vehicle, state: State) -> tuple[tuple[str, str], ...]:
    """Return ``(part, code)`` of parts that would change their state at other volts near by.

    The code is what would then be seen of the part, empty where nothing is.
    """
    network, found = Network(vehicle), []
    for share in EDGE:
        live = _scaled(network, state, share)
        for name, spec in network.settling():
            memory = state.memory.get(name, REST)
            change = spec.settle(name, network.circumstance(name, spec, memory), live)
            if change is not None:
                after = network.circumstance(name, spec, change.memory)
                seen = spec.seen(name, after, live)
                found.append((name, seen[0] if seen else ""))
    return tuple(found)


def _scaled(network: Network, state: State, share: float) -> Live:
    volt, ampere = state.volt, state.ampere
    if share != 1.0:
        volt = {node: share * v for node, v in volt.items()}
        ampere = {name: share * i for name, i in ampere.items()}
    return Live(volt, ampere, network.node)


def seen_in(vehicle: Vehicle, state: State, *, share: float = 1.0) -> tuple[Seen, ...]:
    """Return what is seen and heard of a vehicle in a solved state, in the file's order.

    ``share`` looks at it with so much of its volts and amperes, to tell what is close to
    being seen otherwise.
    """
    network = Network(vehicle)
    live = _scaled(network, state, share)
    found = []
    for part in vehicle.circuit.parts:
        if part.name in state.chatter:
            found.append(Seen(part.name, "chatters", f"{part.title} cuts in and out"))
            continue
        at = network.circumstance(part.name, part.spec, state.memory.get(part.name, REST))
        what = part.spec.seen(part.name, at, live)
        if what is not None:
            code, words = what
            found.append(Seen(part.name, code, f"{part.title}: {words}"))
    return tuple(found)

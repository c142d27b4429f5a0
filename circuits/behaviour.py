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


def _live(network: Network, state: State, share: float) -> Live:
    return Live(state.volt, state.ampere, network.node, share)


def seen_in(vehicle: Vehicle, state: State, *, share: float = 1.0) -> tuple[Seen, ...]:
    """Return what is seen and heard of a vehicle in a solved state, in the file's order.

    ``share`` looks at it with so much of its volts and amperes, to tell what is close to
    being seen otherwise.
    """
    network = Network(vehicle)
    live = _live(network, state, share)
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

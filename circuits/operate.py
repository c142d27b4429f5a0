"""From vehicles to solved states: discrete states settle round the nodal analysis.

What remembers or jumps (fuse, relay, controller logic) is a discrete state. The network
is solved, the part that changes fastest goes to its next state, and the network is
solved again, until nothing changes. A state met before means that the vehicle chatters. Then a
fuse goes by the mean square of what it carries over the round of states, each of which is
taken to last as long (common practice, no source): it answers to heat, which goes with the
square of the current, and chatter is far quicker than it warms.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from scipy import sparse

from circuits.model import Circuit, Setting, State, Vehicle
from circuits.network import Attached, Network
from circuits.newton import Solution, Stack
from circuits.parts.motor import Motor
from circuits.parts.switching import Positioned
from circuits.points import test_points
from circuits.rows import Row, rows_of, start_volts
from circuits.spec import BODY, REST, Change, Live, Memory, Moment
from circuits.tolerance import groups_of

Memories = Mapping[str, Memory]

MOST_CHANGES = 60

FEW = 8
STACK_SIZE = 256
"""Networks solved side by side: more, and each carries the nodes of all the others' faults."""


@dataclass
class _Run:
    """One vehicle on its way to rest."""

    network: Network
    memory: dict[str, Memory]
    seen: list[dict[str, Memory]] = field(default_factory=list)
    passed: list[State] = field(default_factory=list)
    burst: dict[str, State] = field(default_factory=dict)
    state: State | None = None
    volt: Mapping[str, float] = field(default_factory=dict)


def solve(vehicle: Vehicle) -> State:
    """Return the solved state of a vehicle in its setting.

    Raises
    ------
    CircuitError
        If a jumper lead of the setting cannot be where it is said to be.
    """
    return _solve_one(vehicle)


@lru_cache(maxsize=512)
def _solve_one(vehicle: Vehicle) -> State:
    return solve_many([vehicle])[0]


def solve_many(vehicles: Sequence[Vehicle]) -> list[State]:
    """Return the solved states of many vehicles of one circuit, solved side by side."""
    legs = [phases(vehicle) for vehicle in vehicles]
    before: Sequence[Vehicle] = ()
    states: list[State] = []
    for back in range(max(map(len, legs), default=0), 0, -1):
        staged = [
            _staged(vehicle, leg[-min(back, len(leg))], last=back == 1)
            for vehicle, leg in zip(vehicles, legs, strict=True)
        ]
        states = _on(staged, before, states) if states else _first(staged)
        before = staged
    return states


def _staged(vehicle: Vehicle, setting: Setting, *, last: bool) -> Vehicle:
    """Return a vehicle in a setting on the way; a fuse fitted since is in for the last one."""
    there = vehicle.with_setting(setting)
    return there if last or not vehicle.fresh else there.with_blown(vehicle.fresh)


def _first(vehicles: Sequence[Vehicle]) -> list[State]:
    return settle(vehicles, [{} for _ in vehicles], starts=_near(vehicles))


def _on(
    vehicles: Sequence[Vehicle], before: Sequence[Vehicle], states: Sequence[State]
) -> list[State]:
    """Return the states that follow from those before."""
    memories = [
        _carried(state.memory, fitted=one.blown - vehicle.blown)
        for one, vehicle, state in zip(before, vehicles, states, strict=True)
    ]
    found = list(states)
    # One that is set as before and has forgotten nothing stays as it is.
    left = [
        number
        for number, (vehicle, state) in enumerate(zip(vehicles, states, strict=True))
        if state.chatter
        or memories[number] != state.memory
        or not _set_alike(vehicle, before[number])
    ]
    settled = settle(
        [vehicles[n] for n in left],
        [memories[n] for n in left],
        starts=[states[n].volt for n in left],
    )
    for number, state in zip(left, settled, strict=True):
        found[number] = state
    return found


def _set_alike(one: Vehicle, other: Vehicle) -> bool:
    """Say whether one vehicle is the same in two settings."""
    if any(fault.when == "loaded" for fault in one.faults):
        return one.setting == other.setting  # what counts as loaded goes by what is named
    return _spelt_out(one.circuit, one.setting) == _spelt_out(other.circuit, other.setting)


@lru_cache(maxsize=4096)
def _spelt_out(circuit: Circuit, setting: Setting) -> Setting:
    """Return a setting in which the position of every switch is named."""
    positions = {
        part.name: setting.position(part.name, part.spec.rests)
        for part in circuit.parts
        if isinstance(part.spec, Positioned)
    }
    return replace(setting, positions=tuple(sorted(positions.items())))


def _near(vehicles: Sequence[Vehicle]) -> list[Mapping[str, float]] | None:
    """Return volts near to those of many vehicles: a sound one's, in each one's setting.

    They only save iterations: a network has one answer, wherever one begins. The discrete
    states begin at rest all the same.
    """
    if len(vehicles) < FEW:
        return None
    known: dict[Setting, Mapping[str, float]] = {}
    for vehicle in vehicles:
        if vehicle.setting not in known:
            alone = Vehicle(vehicle.circuit, (), replace(vehicle.setting, jumpers=()))
            known[vehicle.setting] = solve(alone).volt
    return [known[vehicle.setting] for vehicle in vehicles]


def phases(vehicle: Vehicle) -> tuple[Setting, ...]:
    """Return the settings through which a vehicle comes to its own, that one last.

    A switch that comes from another position was there before, and a vehicle at rest has
    moved before; relays, controllers and fuses remember both.
    """
    found = _phases(vehicle.circuit, vehicle.setting)
    if not vehicle.fresh:
        return found
    # Nobody works it while a fuse is fitted: whatever moved has come to rest without it.
    return (*found[:-1], replace(vehicle.setting, moment="at_rest"), vehicle.setting)


@lru_cache(maxsize=4096)
def _phases(circuit: Circuit, setting: Setting) -> tuple[Setting, ...]:
    parts = circuit.parts
    bridged = any(part.spec.generates for part in parts) or setting.jumpers
    if setting.isolated and not bridged:
        return (setting,)  # without a source nothing pulls in, wakes, blows or moves
    moves = any(isinstance(part.spec, Motor) for part in parts)
    before = dict(setting.positions)
    for part in parts:
        if isinstance(part.spec, Positioned):
            position = setting.position(part.name, part.spec.rests)
            before[part.name] = dict(part.spec.comes_from).get(position, position)
    travel: Moment = "moving" if moves else "at_rest"
    earlier = replace(setting, positions=tuple(sorted(before.items())), moment=travel, moved="")
    passing = replace(setting, moment="moving", moved="")
    found = [earlier]
    if moves and setting.moment == "at_rest":
        found.append(passing)
    return (*found, setting)


def _carried(memory: Memories, *, fitted: frozenset[str]) -> Memories:
    """Return what is remembered from one setting to the next, in which fuses may be fitted."""
    return {
        name: frozenset(flag for flag in flags if not flag.startswith("trip:"))
        for name, flags in memory.items()
        if flags and name not in fitted
    }


def settle(
    vehicles: Sequence[Vehicle],
    memories: Sequence[Memories],
    attached: Sequence[Sequence[Attached]] | None = None,
    starts: Sequence[Mapping[str, float]] | None = None,
) -> list[State]:
    """Return the states in which vehicles come to rest from the given discrete states."""
    runs = []
    for number, vehicle in enumerate(vehicles):
        memory = dict(memories[number])
        for fuse in vehicle.blown:
            memory[fuse] = memory.get(fuse, REST) | {"blown"}
        run = _Run(Network(vehicle, attached[number] if attached else ()), memory)
        run.volt = starts[number] if starts else {}
        runs.append(run)
    waiting = runs
    while waiting:
        for few in _batched(waiting, STACK_SIZE):
            _solve_runs(few)
        waiting = [run for run in waiting if run.state is None]
    return [run.state for run in runs if run.state is not None]


def _batched(items: Sequence[_Run], size: int) -> Iterator[Sequence[_Run]]:
    """Yield the items in groups of at most ``size``."""
    for start in range(0, len(items), size):
        yield items[start : start + size]


def _solve_runs(runs: Sequence[_Run]) -> None:
    nodes = [point.node for point in test_points(runs[0].network.vehicle.circuit)]
    stack = Stack.of_groups([groups_of(run.network, run.memory) for run in runs], nodes)
    solution = stack.solve(start_volts(stack.nodes, [run.volt for run in runs]))
    states = _states(solution, runs, len({BODY, *nodes}))
    for run, state in zip(runs, states, strict=True):
        _advance(run, state)


def _states(solution: Solution, runs: Sequence[_Run], points: int) -> Iterator[State]:
    """Yield the states; the first so many nodes are there whether or not anything joins them."""
    there = solution.touched.copy()
    there[:, :points] = True
    columns = zip(
        rows_of(solution.nodes, solution.volt, there),
        _ampere_rows(solution),
        rows_of(solution.nodes, solution.island, there),
        runs,
        strict=True,
    )
    for volt, ampere, island, run in columns:
        memory = {name: flags for name, flags in run.memory.items() if flags}
        yield State(volt, ampere, island, memory)


def _ampere_rows(solution: Solution) -> list[Row[float]]:
    """Return the amperes by element; one that a fault puts elsewhere has several columns."""
    place: dict[str, int] = {}
    of_column = [place.setdefault(name, len(place)) for name, _, _ in solution.elements]
    summing = sparse.csr_array(
        (np.ones(len(of_column)), (of_column, np.arange(len(of_column)))),
        shape=(len(place), len(of_column)),
    )
    ampere = np.asarray(summing @ solution.ampere.T).T
    there = np.asarray(summing @ solution.present.T.astype(float)).T > 0
    return rows_of(tuple(place), ampere, there)


def _advance(run: _Run, state: State) -> None:
    run.volt = state.volt
    moved = _hastiest(run, state)
    if moved is None:
        run.state = replace(state, burst=tuple(run.burst.items()))
        return
    run.seen.append(dict(run.memory))
    run.passed.append(state)
    _change(run, *moved, state)
    if run.memory in run.seen:
        _go_round(run)
    elif len(run.seen) > MOST_CHANGES:
        raise ArithmeticError(f"{moved[0]} does not come to rest after {MOST_CHANGES} changes")


def _change(run: _Run, name: str, change: Change, state: State) -> None:
    run.memory = {**run.memory, name: change.memory}
    if any(name == gear.name for gear in run.network.attached):
        run.burst[name] = state


def _go_round(run: _Run) -> None:
    """Let the fuse go that the chatter overheats, or come to rest as chattering."""
    mean = _mean_square(run.passed[run.seen.index(run.memory) :])
    hot = _hastiest(run, mean, only_heating=True)
    if hot is None:
        run.state = _chattering(run)
        return
    run.seen, run.passed = [], []
    _change(run, *hot, mean)


def _mean_square(cycle: Sequence[State]) -> State:
    """Return the last of some states with the root of the mean square of their amperes."""
    names = {name for state in cycle for name in state.ampere}
    ampere = {
        name: math.sqrt(sum(s.ampere.get(name, 0.0) ** 2 for s in cycle) / len(cycle))
        for name in names
    }
    return replace(cycle[-1], ampere=ampere)


def _hastiest(run: _Run, state: State, *, only_heating: bool = False) -> tuple[str, Change] | None:
    live = Live(state.volt, state.ampere, run.network.node)
    changes = []
    for name, spec in run.network.settling():
        if only_heating and not spec.heats:
            continue
        memory = run.memory.get(name, REST)
        change = spec.settle(name, run.network.circumstance(name, spec, memory), live)
        if change is not None:
            changes.append((name, change))
    return max(changes, key=lambda pair: pair[1].haste) if changes else None


def _chattering(run: _Run) -> State:
    first = run.seen.index(run.memory)
    cycle, memories = run.passed[first:], run.seen[first:]
    names = {name for memory in memories for name in memory}
    swinging = sorted(n for n in names if len({m.get(n, REST) for m in memories}) > 1)
    low, high = min(cycle, key=_effort), max(cycle, key=_effort)
    return replace(high, chatter=tuple(swinging), other=low, burst=tuple(run.burst.items()))


def _effort(state: State) -> float:
    return sum(abs(ampere) for ampere in state.ampere.values())

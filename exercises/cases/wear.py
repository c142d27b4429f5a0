"""What a worn motor does to the rest: more current, less speed, and whether the fuse holds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from circuits.behaviour import moving
from circuits.model import Circuit, Fault, State, Vehicle
from circuits.network import Network
from circuits.operate import solve_many
from circuits.parts.motor import Motor
from circuits.parts.supply import Fuse
from circuits.spec import join
from exercises.cases.case import Case
from exercises.cases.weighing import candidates_of

WEAR = frozenset({"shorted_turns", "stiff", "worn_brush"})
"""Kinds of fault by which a motor wears out while it still turns."""

SAFE_SHARE = 0.75
"""Of its rating that a fuse carries for long (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Run:
    """How a motor runs: its amperes, and its speed in rad/s."""

    ampere: float
    speed: float


def wear_words(case: Case, faults: Sequence[Fault]) -> Iterator[str]:
    """Yield what the wear that is left does, a sentence or two for each motor that may have it."""
    circuit = case.vehicle()
    spans: dict[tuple[str, str], list[float]] = {}
    for low, high, _ in candidates_of(case).spans():
        spans.setdefault((low.place, low.kind), []).extend((low.severity, high.severity))
    for fault in faults:
        motor = fault.place.partition(".")[0]
        part = circuit.part_by_name.get(motor)
        if fault.kind not in WEAR or part is None or not isinstance(part.spec, Motor):
            continue
        ends = spans[fault.place, fault.kind]
        worn = [replace(fault, severity=how_bad) for how_bad in (min(ends), max(ends))]
        yield from _told(case, circuit, motor, worn)


def _told(case: Case, circuit: Circuit, motor: str, worn: Sequence[Fault]) -> Iterator[str]:
    setting = next((s.setting for s in case.complaint if s.part == motor), None)
    if setting is None:
        return
    vehicles = [moving(Vehicle(circuit, tuple(f), setting)) for f in ([], *([one] for one in worn))]
    states = solve_many(vehicles)
    sound, *runs = (run_of(v, s, motor) for v, s in zip(vehicles, states, strict=True))
    if sound.ampere < 1e-3 or abs(sound.speed) < 1e-9:
        return
    amperes = sorted(run.ampere for run in runs)
    shares = sorted(100 * abs(run.speed / sound.speed) for run in runs)
    title = circuit.part_by_name[motor].title
    yield (
        f"{title}: it draws {_span(amperes, '.1f')} A where a sound one draws "
        f"{sound.ampere:.1f} A, and turns at {_span(shares, '.0f')} % of its speed."
    )
    yield from _fuses(circuit, states)
    more = amperes[-1] / sound.ampere
    if more > 1.2:
        yield (
            f"Its switch contacts and its controller carry up to {more:.1f} times their usual "
            "current: they wear with it, so replace the motor rather than wait."
        )


def _span(ends: Sequence[float], form: str) -> str:
    low, high = (format(end, form) for end in (ends[0], ends[-1]))
    return low if low == high else f"{low} to {high}"


def _fuses(circuit: Circuit, states: Sequence[State]) -> Iterator[str]:
    """Yield what the fuses carry that carry more than they do for a sound motor."""
    sound, *worn = states
    for part in circuit.parts:
        if not isinstance(part.spec, Fuse):
            continue
        most = max(abs(state.ampere.get(part.name, 0.0)) for state in worn)
        if most < abs(sound.ampere.get(part.name, 0.0)) + 0.05:
            continue
        holds = "it holds" if most < SAFE_SHARE * part.spec.rating_a else "it may not hold for long"
        yield f"{part.title} ({part.spec.rating_a:g} A) then carries up to {most:.1f} A: {holds}."


def run_of(vehicle: Vehicle, state: State, motor: str) -> Run:
    """Return how a motor runs in a solved vehicle."""
    spec = vehicle.circuit.part_by_name[motor].spec
    assert isinstance(spec, Motor)  # wear_words names motors only
    at = Network(vehicle).circumstance(motor, spec)
    a, b = (vehicle.circuit.node(join(motor, terminal)) for terminal in spec.terminals())
    volt = state.between(a, b)
    return Run(abs(state.ampere.get(motor, 0.0)), spec.armature(at).speed(volt))

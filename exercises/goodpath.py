"""The good path of an exercise: what it shows, what it rules out, what it costs.

It is walked on the vehicle with its hidden fault, so its readings are computed like a
learner's. What it leaves besides the truth is the group that its tests do not part.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from circuits.behaviour import moving, seen_in
from circuits.consequences import blown_fuses
from circuits.instruments import read
from circuits.model import AS_FOUND, Fault, Setting, Vehicle
from circuits.operate import solve
from circuits.settings import switches
from exercises import minutes
from exercises.candidates import NO_FAULT, Candidates, Evidence
from exercises.exercise import Exercise, Step
from exercises.shown import Shown, shown_of


@dataclass(frozen=True, slots=True)
class Walked:
    """A step of the good path as walked: what was seen and shown, what was left after it."""

    step: Step
    seen: tuple[str, ...]
    shown: Shown | None
    minutes: float
    left: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class GoodPath:
    """A good path as walked, and the faults that it leaves."""

    steps: tuple[Walked, ...]
    before: tuple[Fault, ...]

    @property
    def group(self) -> tuple[Fault, ...]:
        """The faults that the path leaves: the true one, and what it cannot part from it."""
        return self.steps[-1].left

    @property
    def minutes(self) -> float:
        """What the whole path costs."""
        return self.steps[-1].minutes


@lru_cache(maxsize=64)
def good_path(exercise: Exercise) -> GoodPath:
    """Return the exercise's good path, walked."""
    candidates = Candidates(exercise.circuit)
    before = candidates.left()
    vehicle, setting = exercise.vehicle(), AS_FOUND
    spent, visited = 0.0, frozenset[str]()
    steps = []
    for step in exercise.path:
        vehicle = vehicle.with_setting(step.setting)
        vehicle, evidence, words = _take(vehicle, step)
        candidates.weigh(evidence)
        spent += _cost(exercise, setting, step, visited)
        visited |= _places(exercise, step)
        setting = step.setting
        steps.append(Walked(step, words, evidence.shown, spent, candidates.left()))
    return GoodPath(tuple(steps), before)


def _take(vehicle: Vehicle, step: Step) -> tuple[Vehicle, Evidence, tuple[str, ...]]:
    state = solve(vehicle)
    worked = moving(vehicle)
    seen = seen_in(worked, solve(worked))
    codes = frozenset((each.part, each.code) for each in seen)
    shown = shown_of(read(vehicle, step.measurement)) if step.measurement else None
    evidence = Evidence(step.setting, step.measurement, shown, codes)
    return (
        vehicle.with_blown(blown_fuses(vehicle, state)),
        evidence,
        tuple(each.words for each in seen),
    )


def _places(exercise: Exercise, step: Step) -> frozenset[str]:
    what = step.measurement
    points = (what.red, what.black) if what else ()
    return minutes.places_of(exercise.circuit, step.setting, points)


def _cost(exercise: Exercise, before: Setting, step: Step, visited: frozenset[str]) -> float:
    new = _places(exercise, step) - visited
    return (
        minutes.setting_minutes(before, step.setting)
        + minutes.access_minutes(exercise.circuit, new)
        + (minutes.PROBE if step.measurement else 0.0)
    )


def solvable(exercise: Exercise) -> tuple[str, ...]:
    """Return why the good path does not solve the exercise; empty when it does.

    It must keep the truth and leave nothing that is repaired elsewhere. Where nothing is at
    fault it must work the vehicle in every position: a fault too slight to show is no reason
    for a complaint and need not be ruled out.
    """
    group = good_path(exercise).group
    spots = {(fault.place, fault.kind) for fault in group}
    problems = [
        f"{exercise.name}: its own path rules out {fault.place}:{fault.kind}"
        for fault in exercise.faults or (NO_FAULT,)
        if (fault.place, fault.kind) not in spots
    ]
    places = {fault.place for fault in exercise.faults}
    others = sorted({fault.place for fault in group} - places)
    if exercise.faults and others:
        problems.append(f"{exercise.name}: its path leaves faults elsewhere: {', '.join(others)}")
    if not exercise.faults:
        problems += _unworked(exercise)
    return tuple(problems)


def _unworked(exercise: Exercise) -> Iterator[str]:
    for name, spec in switches(exercise.circuit):
        worked = {step.setting.position(name, spec.rests) for step in exercise.path}
        for position in spec.positions:
            if position not in worked:
                yield f"{exercise.name}: its path never works {name} in {position}"

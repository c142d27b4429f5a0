"""The good path of an exercise: what it shows, what it rules out, what it costs.

It is walked on the vehicle with its hidden fault, so its readings are computed like a
learner's. What it leaves besides the truth is the group that its tests do not part.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from circuits.behaviour import observe
from circuits.consequences import blown_fuses, fitted_by
from circuits.faults import cures, share_a_cure
from circuits.instruments import read
from circuits.model import AS_FOUND, Fault, Setting
from circuits.operate import solve
from circuits.settings import switches
from exercises import minutes
from exercises.arriving import as_found
from exercises.evidence import NO_FAULT, Evidence
from exercises.exercise import Exercise, Step
from exercises.narrowing import narrowing, questions
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
    """A good path as walked, and the faults that it leaves.

    ``several`` tells whether more than one fault is hidden.
    """

    steps: tuple[Walked, ...]
    before: tuple[Fault, ...]
    several: bool = False

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
    walk = _walked(exercise)
    before, *lefts = narrowing(questions(exercise), walk.evidence)
    steps = [
        Walked(step, seen, shown, spent, lefts[count - 1])
        for step, seen, shown, spent, count in walk.rows
    ]
    return GoodPath(tuple(steps), before, several=len(exercise.faults) > 1)


def path_evidence(exercise: Exercise) -> tuple[Evidence, ...]:
    """Return what the exercise's good path teaches, piece by piece."""
    return tuple(_walked(exercise).evidence)


def _walked(exercise: Exercise) -> "_Walk":
    walk = _Walk(exercise)
    for step in exercise.path:
        walk.take(step)
    return walk


class _Walk:
    """The vehicle on the good path, and the evidence of each step as a learner gets it.

    Piece by piece it is a careful learner's evidence, so one narrowing serves both.
    """

    def __init__(self, exercise: Exercise) -> None:
        self.exercise, self.vehicle = exercise, as_found(exercise)
        self.evidence: list[Evidence] = []
        self.rows: list[tuple[Step, tuple[str, ...], Shown | None, float, int]] = []
        self._setting, self._spent = AS_FOUND, 0.0
        self._repaired: tuple[tuple[str, str], ...] = ()
        self._visited: frozenset[str] = frozenset()
        self._renewed: frozenset[str] = frozenset()

    def take(self, step: Step) -> None:
        """Set the vehicle, watch it, and measure if the step does."""
        self._spent += _cost(self.exercise, self._setting, step, self._visited)
        self._visited |= _places(self.exercise, step)
        if step.repaired is not None:
            self._repair(*step.repaired)
        vehicle = self.vehicle.with_setting(step.setting)
        self.vehicle = vehicle.with_blown(blown_fuses(vehicle, solve(vehicle)))
        seen = observe(self.vehicle)
        if step.setting != self._setting or step.measurement is None or step.repaired:
            codes = frozenset((each.part, each.code) for each in seen)
            self._learn(Evidence(step.setting, seen=codes))
        shown = self._shown(step)
        if shown is not None:
            self._learn(Evidence(step.setting, step.measurement, shown))
        self._setting = step.setting
        words = tuple(each.words for each in seen)
        self.rows.append((step, words, shown, self._spent, len(self.evidence)))

    def _repair(self, place: str, repair: str) -> None:
        """Put one fault right on the way; another is left."""
        self._repaired = (*self._repaired, (place, repair))
        left = tuple(f for f in self.vehicle.faults if not cures(f, place, repair))
        new = fitted_by(self.exercise.circuit, place, repair)
        self.vehicle = replace(self.vehicle, faults=left, blown=self.vehicle.blown - new)
        self._renewed |= new

    def _learn(self, piece: Evidence) -> None:
        self.evidence.append(replace(piece, repaired=self._repaired, renewed=self._renewed))
        self._renewed = frozenset()

    def _shown(self, step: Step) -> Shown | None:
        if step.measurement is None:
            return None
        sound = self.exercise.healthy().with_setting(step.setting)
        expected = read(sound, step.measurement) if self.exercise.shows_expected else None
        return shown_of(read(self.vehicle, step.measurement), expected)


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
        + (minutes.REPAIR if step.repaired else 0.0)
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
    others = sorted(
        {f.place for f in group if not any(share_a_cure(f, true) for true in exercise.faults)}
    )
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

"""Learners of different kinds, and jobs with a fault of the test's own choosing."""

import tomllib
from dataclasses import replace
from functools import lru_cache
from random import Random
from typing import Any

from circuits.faultkinds import KINDS
from circuits.faults import cures
from circuits.files import LIBRARY
from circuits.instruments import Instrument
from circuits.settings import setting_from, switches
from circuits.spec import MOMENTS
from exercises.actions import (
    Action,
    ChangeSetting,
    ChooseRepair,
    CloseJob,
    NameFault,
    PlaceLead,
    PutClamp,
    SetHold,
    SetLoad,
    TurnDial,
    ZeroLeads,
    perform,
)
from exercises.arriving import as_found
from exercises.asking import Expect, ListSuspects
from exercises.attempt import Attempt, step
from exercises.desk import began
from exercises.diagnosis import fault_menu, repairs_at
from exercises.events import Event, chained
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise, Step
from exercises.expectation import NOT_SURE
from exercises.files import LibraryExercise, exercise_of

ATTEMPT_ID = "A1"

CALL_BELL_STEP = {"because": "Press it and listen.", "set": {"push": "pressed"}}
SIDE_STEPS_STEP = {"because": "Begin at the far end.", "volts": ["C1.2", "BODY"]}


def body(*faults: str, circuit: str = "call_bell", **changed: Any) -> dict[str, Any]:
    """Return the data of a good exercise file; a key that is given as None is left out."""
    step_row = CALL_BELL_STEP if circuit == "call_bell" else SIDE_STEPS_STEP
    data = {
        "title": "A job",
        "circuit": circuit,
        "slip": 901,
        "complaint": "Does not work.",
        "level": 1,
        "skill": "supply checks under load",
        "faults": list(faults),
        "lesson": "Prove a feed at the far end of its wire.",
        "like_case": "A sister bus had the same.",
        "path": [step_row],
    } | changed
    return {key: value for key, value in data.items() if value is not None}


@lru_cache
def _shape(circuit: str) -> dict[str, Any]:
    return tomllib.loads((LIBRARY / f"{circuit}.toml").read_text(encoding="utf-8"))


def entry(*faults: str, circuit: str = "call_bell", **changed: Any) -> LibraryExercise:
    """Return a job with these faults as plain data."""
    data = body(*faults, circuit=circuit, **changed)
    return LibraryExercise("job", data, circuit, _shape(circuit))


def job(*faults: str, circuit: str = "call_bell", **changed: Any) -> Exercise:
    """Return a job with these faults."""
    return exercise_of(entry(*faults, circuit=circuit, **changed))


class Learner:
    """Does one act after another, and keeps the events as a store would."""

    def __init__(self, exercise: Exercise | LibraryExercise, *, seed: int = 0) -> None:
        self.events: list[Event] = []
        if isinstance(exercise, Exercise):
            self.attempt = Attempt(exercise, blown=as_found(exercise).blown)
            return
        self.attempt = Attempt(exercise_of(exercise))
        self._keep(began(exercise, seed))

    def _keep(self, draft: Any) -> None:
        last = self.events[-1] if self.events else None
        number = self.attempt.last + 1
        event = chained(ATTEMPT_ID, last, draft, key=f"press {number}", at=1_000 * number)
        self.events.append(event)
        self.attempt = step(self.attempt, event)

    def do(self, *acts: Action) -> Attempt:
        """Do these acts and return the attempt after them."""
        for act in acts:
            self._keep(perform(self.attempt, act))
        return self.attempt

    def answer(self, words: str = NOT_SURE) -> Attempt:
        """Say what a sound vehicle shows if the meter waits for it."""
        return self.do(Expect(words)) if self.attempt.awaited else self.attempt

    def list_suspects(self) -> None:
        """List every fault that there can be if the exercise wants suspects first."""
        if self.attempt.lacks_suspects:
            places = fault_menu(self.attempt.circuit)
            self.do(ListSuspects(tuple((p.name, k.name) for p in places for k in p.kinds)))

    def set(self, **parts: Any) -> Attempt:
        """Set the vehicle, named as ``setting_from`` names it."""
        return self.do(ChangeSetting(setting_from(self.attempt.circuit, **parts)))

    def probe(self, red: str, black: str, instrument: Instrument = "volts") -> Attempt:
        """Take one reading with leads that were off."""
        self.do(
            PlaceLead("red", ""),
            PlaceLead("black", ""),
            TurnDial(instrument),
            PlaceLead("black", black),
            PlaceLead("red", red),
        )
        return self.answer()

    def take(self, walked: Step) -> Attempt:
        """Do a step of a path, with no reading but its own, after the repair that it wants."""
        what = walked.measurement
        if walked.repaired is not None:
            self.do(name_what_cures(self.attempt, *walked.repaired), ChooseRepair(*walked.repaired))
        self.do(PlaceLead("red", ""), PlaceLead("black", ""), PutClamp(""))
        if walked.setting != self.attempt.setting or what is None:
            self.do(ChangeSetting(walked.setting))
        if what is None:
            return self.attempt
        self.list_suspects()
        self.do(TurnDial(what.instrument), ZeroLeads(what.zeroed), SetHold(what.hold))
        self.do(SetLoad(what.load_w))
        if what.instrument == "clamp":
            self.do(PutClamp(what.wire))
        else:
            self.do(PlaceLead("black", what.black), PlaceLead("red", what.red))
        return self.answer()


def right_repair(attempt: Attempt) -> ChooseRepair:
    """Return a repair that cures the first fault still hidden, or none where there is none."""
    if not attempt.left_faults():
        return ChooseRepair(NO_FAULT.place, "none")
    fault = attempt.left_faults()[0]
    offered = repairs_at(attempt.circuit, fault.place)
    return ChooseRepair(fault.place, next(r for r in offered if r in KINDS[fault.kind].cures))


def name_the_truth(attempt: Attempt) -> NameFault:
    """Return the naming of the first fault still hidden, or of none where there is none."""
    fault = (attempt.left_faults() or (NO_FAULT,))[0]
    return NameFault(fault.place, fault.kind, "the readings")


def name_what_cures(attempt: Attempt, place: str, repair: str) -> NameFault:
    """Return the naming of the hidden fault that a repair puts right."""
    fault = next(f for f in attempt.left_faults() if cures(f, place, repair))
    return NameFault(fault.place, fault.kind, "the readings")


def careful(exercise: Exercise | LibraryExercise) -> Learner:
    """Walk the good path, name and repair the truth, repeat every reading."""
    learner = Learner(exercise)
    path = learner.attempt.exercise.path
    for walked in path:
        learner.take(walked)
    learner.do(name_the_truth(learner.attempt), right_repair(learner.attempt))
    for walked in path:
        if walked.measurement is not None:
            learner.take(replace(walked, repaired=None))
    learner.do(CloseJob())
    return learner


def lucky(exercise: Exercise | LibraryExercise) -> Learner:
    """Name the truth at once and repair it."""
    learner = Learner(exercise)
    learner.do(name_the_truth(learner.attempt), right_repair(learner.attempt), CloseJob())
    return learner


def random_setting(attempt: Attempt, random: Random) -> ChangeSetting:
    """Return another setting within the exercise's rules, with two things changed at most."""
    circuit, closed = attempt.circuit, attempt.exercise.closed_places
    parts: dict[str, Any] = {
        "positions": {name: random.choice(spec.positions) for name, spec in switches(circuit)},
        "moment": random.choice(MOMENTS),
        "isolated": random.random() < 0.3,
    }
    if random.random() < 0.4:
        parts["unmated"] = [random.choice([c.name for c in circuit.connectors])]
    if random.random() < 0.2:
        parts["pulled"] = [random.choice([p.name for p in circuit.parts if p.spec.sort == "fuse"])]
    things = {**circuit.connector_by_name, **circuit.part_by_name}
    for key in ("unmated", "pulled"):
        parts[key] = [name for name in parts.get(key, ()) if things[name].place not in closed]
    return ChangeSetting(setting_from(circuit, **parts))


def random_test(learner: Learner, random: Random) -> None:
    """Take one reading at random, in a setting at random, within the exercise's rules."""
    learner.list_suspects()
    attempt = learner.do(
        PlaceLead("red", ""),
        PlaceLead("black", ""),
        PutClamp(""),
        random_setting(learner.attempt, random),
        TurnDial(random.choice(learner.attempt.exercise.instruments)),
    )
    if attempt.instrument == "clamp":
        learner.do(PutClamp(random.choice([wire.name for wire in attempt.circuit.wires])))
        learner.answer()
        return
    points = [point.name for point in attempt.exercise.points(attempt.setting)]
    red, black = random.sample(points, 2)
    learner.do(PlaceLead("black", black), PlaceLead("red", red))
    learner.answer()

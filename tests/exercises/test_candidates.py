"""Which faults are still possible: the truth always is, and no reading brings one back."""

from dataclasses import replace
from itertools import permutations
from random import Random

import pytest

from circuits.behaviour import observe
from circuits.faultkinds import KINDS
from circuits.files import library_circuit
from circuits.instruments import LAMP_WORDS, Measurement, Reading, read
from circuits.model import AS_FOUND, Fault, Vehicle
from circuits.operate import solve
from circuits.parts.loads import LIGHT_EXPONENT
from circuits.settings import setting_from
from circuits.tolerance import drawn
from exercises.actions import ReplaceFuse
from exercises.candidates import NO_FAULT, Candidates, Evidence, codes, fits
from exercises.exercise import Exercise
from exercises.files import exercise_names, library_exercise
from exercises.narrowing import Question, narrowing, still_possible
from exercises.shown import shown_of
from exercises.variants import draw_variant, varied
from tests.conftest import FULL
from tests.exercises.learners import Learner, job, random_test

EVERYDAY = (
    "bell_never_stops",
    "dim_step_lamps",
    "faint_bell",
    "left_step_stays_in",
    "right_step_slow",
    "silent_bell",
)
"""Exercises on whose faults readings are tried in every run; the full run takes every third."""

CALL_BELL, SIDE_STEPS = library_circuit("call_bell"), library_circuit("side_steps")
BELL = Question(CALL_BELL)
SHORT = "W7:chafed:0.05"


def _spots(faults) -> set[tuple[str, str]]:
    return {(fault.place, fault.kind) for fault in faults}


def _probed(exercise: Exercise, tests: int, random: Random) -> Learner:
    """Walk the exercise's path, then take so many readings at random."""
    learner = Learner(exercise)
    for walked in exercise.path:
        learner.take(walked)
    for _ in range(tests):
        random_test(learner, random)
    return learner


@pytest.mark.parametrize("name", sorted({*EVERYDAY, *exercise_names()[::3]}) if FULL else EVERYDAY)
def test_the_truth_survives_its_path_and_twenty_random_readings(name) -> None:
    """On a vehicle drawn within tolerance, with a severity drawn too."""
    exercise = library_exercise(name)
    other = varied(exercise, draw_variant(exercise, 3))
    truth, *beside = other.faults or (NO_FAULT,)
    evidence = _probed(other, 20, Random(f"{name} 3")).attempt.evidence
    suspect = replace(truth, severity=0.0)
    candidates = Candidates(other.circuit, (suspect,), beside=tuple(beside))
    for piece in evidence:
        candidates.weigh(piece)
        assert _spots(candidates.left()) == _spots([truth]), piece


@pytest.mark.parametrize("seed", range(40 if FULL else 8))
def test_any_fault_of_any_severity_survives_random_readings(seed) -> None:
    random = Random(seed)
    start = Candidates(CALL_BELL).left()
    truth = random.choice([fault for fault in start if fault != NO_FAULT])
    if KINDS[truth.kind].grid:
        kind = KINDS[truth.kind]
        truth = replace(truth, severity=round(random.uniform(kind.low, kind.high), 3))
    text = f"{truth.place}:{truth.kind}" + (f":{truth.severity}" if KINDS[truth.kind].grid else "")
    scatter = drawn(Vehicle(CALL_BELL), random).scatter
    learner = _probed(replace(job(text), scatter=scatter), 12, random)
    candidates = Candidates(CALL_BELL, (truth,))
    for piece in learner.attempt.evidence:
        candidates.weigh(piece)
        assert candidates.left(), (text, piece)


PRESSED = setting_from(CALL_BELL, positions={"push": "pressed"})


@pytest.fixture(scope="module")
def bell_job() -> tuple[Evidence, ...]:
    """Readings on a bell with a poor ground, pressed, no fuse blown by them."""
    vehicle = Vehicle(CALL_BELL, (Fault("G1", "corroded", 20.0),), PRESSED)
    return (
        _reading(vehicle, Measurement("volts", "C1.2", "BODY")),
        _reading(vehicle, Measurement("clamp", wire="W7")),
        _reading(vehicle, Measurement("lamp", "C1.1", "BODY")),
        _reading(vehicle, Measurement("volts", "relay.86", "relay.85")),
    )


def _reading(vehicle: Vehicle, what: Measurement) -> Evidence:
    return Evidence(vehicle.setting, what, shown_of(read(vehicle, what)))


def test_a_reading_never_adds_a_fault(bell_job) -> None:
    before = None
    for left in narrowing((BELL,), bell_job):
        assert before is None or set(left) <= set(before)
        before = left
    assert len(before) < 20


def test_without_evidence_every_fault_and_none_is_possible() -> None:
    left = still_possible((BELL,), ())
    assert NO_FAULT in left
    assert len(left) == 75


def test_the_order_of_readings_is_immaterial_where_no_fuse_blows(bell_job) -> None:
    found = [set(still_possible((BELL,), order)) for order in permutations(bell_job[:3])]
    assert all(left == found[0] for left in found)
    assert 0 < len(found[0]) < 20


def test_a_repeated_reading_changes_nothing(bell_job) -> None:
    candidates = Candidates(CALL_BELL)
    for piece in bell_job:
        candidates.weigh(piece)
        before = candidates.left()
        candidates.weigh(piece)
        assert candidates.left() == before


@pytest.mark.parametrize("times", [1.5, 4.0])
def test_a_less_accurate_meter_never_leaves_fewer_faults(bell_job, times) -> None:
    poorer = [
        replace(piece, shown=replace(piece.shown, off=piece.shown.off * times))
        if piece.shown is not None
        else piece
        for piece in bell_job
    ]
    for good, poor in zip(narrowing((BELL,), bell_job), narrowing((BELL,), poorer), strict=True):
        assert set(good) <= set(poor)


@pytest.mark.parametrize("instrument", ["ohms", "amps"])
def test_a_worthless_reading_rules_nothing_out(instrument) -> None:
    """Ohms on a live circuit, and amps with the meter's fuse gone."""
    learner = Learner(job("W5:open"))
    if instrument == "amps":
        learner.probe("BAT.pos", "BODY", "amps")
    before = still_possible((BELL,), learner.attempt.evidence)
    attempt = learner.probe("F1.out", "BODY", instrument)
    assert attempt.entries[-1].shown.caution_names
    assert still_possible((BELL,), attempt.evidence) == before


def test_a_fuse_that_blew_is_blown_for_those_faults_alone_that_would_blow_it() -> None:
    """A bell dead by a blown fuse is one whose load path is shorted, not one that is open."""
    learner = Learner(job(SHORT))
    learner.set(positions={"push": "pressed"})
    assert learner.attempt.blown == {"F1"}
    learner.set()
    learner.probe("F1.out", "BODY")
    left = _spots(still_possible((BELL,), learner.attempt.evidence))
    assert {("W7", "chafed"), ("F1", "blown")} <= left
    assert ("W7", "open") not in left
    assert ("bell", "open") not in left


def test_a_fault_that_went_with_the_old_fuse_is_no_other_fault() -> None:
    learner = Learner(job("F1:blown"))
    learner.set(positions={"push": "pressed"})
    learner.do(ReplaceFuse("F1"))
    left = _spots(still_possible((BELL,), learner.attempt.evidence))
    assert ("F1", "blown") in left
    assert ("W1", "open") not in left
    assert (NO_FAULT.place, NO_FAULT.kind) not in left


DEPLOY = setting_from(SIDE_STEPS, positions={"rocker": "deploy"})
AMPS = Measurement("clamp", wire="W16")
OHMS = Measurement("ohms", "ML.1@unit", "ML.2@unit", zeroed=True)
APART = setting_from(SIDE_STEPS, unmated=["ML"], isolated=True)
OHM, FRICTION = "left_motor:ohm", "left_motor:friction_nm"


@pytest.mark.parametrize("make", [-1.0, 0.0, 1.0], ids=["low ohms", "nominal", "high ohms"])
def test_a_stiff_step_is_told_from_a_motor_of_another_make(make) -> None:
    """The current of a moving motor goes by its load, its ohms by its winding: both at once
    leave the stiff step alone, whatever the winding within its tolerance."""
    stiff = Fault("left_motor.mechanism", "stiff", 2.0)
    vehicle = Vehicle(SIDE_STEPS, (stiff,), DEPLOY, scatter=((OHM, make),))
    suspects = (stiff, Fault("left_motor.winding", "shorted_turns"), NO_FAULT)
    candidates = Candidates(SIDE_STEPS, suspects)
    candidates.weigh(_reading(vehicle, AMPS))
    candidates.weigh(_reading(vehicle.with_setting(APART), OHMS))
    assert _spots(candidates.left()) == _spots([stiff])


def test_one_winding_is_not_of_high_ohms_to_the_clamp_and_of_low_ohms_to_the_meter() -> None:
    """A seized motor takes volts over ohms: each reading alone fits a make within tolerance,
    the two together fit none."""
    seized = Fault("left_motor.mechanism", "seized")
    high, low = (Vehicle(SIDE_STEPS, (seized,), DEPLOY, scatter=((OHM, at),)) for at in (1.0, -1.0))
    pieces = (_reading(high, AMPS), _reading(low.with_setting(APART), OHMS))
    for piece in pieces:
        alone = Candidates(SIDE_STEPS, (seized,))
        alone.weigh(piece)
        assert alone.left()
    both = Candidates(SIDE_STEPS, (seized,))
    for piece in pieces:
        both.weigh(piece)
    assert both.left() == ()


@pytest.mark.parametrize(
    ("volt", "word", "fits_it"),
    [
        pytest.param(10.2, "bright", True, id="dim by a hair, and within reach of bright"),
        pytest.param(10.2, "dim", True, id="dim"),
        pytest.param(9.0, "bright", False, id="dim, and out of reach of bright"),
        pytest.param(0.1, "dark", True, id="dark"),
        pytest.param(0.1, "dim", False, id="dark, and out of reach of dim"),
    ],
)
def test_a_lamp_may_be_another_word_where_tolerance_reaches_it(volt, word, fits_it) -> None:
    """60 % of a 12 V lamp's light, where a person says *bright*, comes at 10.3 V."""
    light = 100 * (volt / 12.0) ** LIGHT_EXPONENT
    name = next(name for least, name in LAMP_WORDS if light >= least)
    reading = Reading(round(light, 1), "%", name, light, 0.0)
    shown = shown_of(replace(reading, display=word))
    assert fits(shown, reading, reading, (0.3, 0.3)) == fits_it
    assert fits(shown, reading, reading) == (word == name)


def test_a_relay_that_buzzes_only_with_the_ammeter_in_rules_no_severity_out() -> None:
    """At 1 Ω it does not buzz, at 10 Ω it buzzes with less current than in between."""
    fault = Fault("W5", "chafed", 6.74)
    released = setting_from(CALL_BELL, moment="moving")
    piece = _reading(
        Vehicle(CALL_BELL, (fault,), released), Measurement("amps", "C1.1", "relay.85")
    )
    assert piece.shown.swing is not None
    candidates = Candidates(CALL_BELL, (fault,))
    candidates.weigh(piece)
    assert candidates.left()


@pytest.mark.parametrize("at", [-1.0, 1.0], ids=["poor battery", "best battery"])
def test_min_and_max_are_allowed_for_tolerance_as_any_reading(at) -> None:
    vehicle = Vehicle(CALL_BELL, (), PRESSED, scatter=(("BAT:emf", at),))
    candidates = Candidates(CALL_BELL, (NO_FAULT, Fault("G1", "open")))
    candidates.weigh(_reading(vehicle, Measurement("volts", "C1.1", "C1.2", hold=True)))
    assert candidates.left() == (NO_FAULT,)


def test_what_blew_the_meters_fuse_says_nothing_of_the_parts() -> None:
    vehicle = Vehicle(CALL_BELL, scatter=(("BAT:emf", 1.0),))
    candidates = Candidates(CALL_BELL, (NO_FAULT,))
    candidates.weigh(_reading(vehicle, Measurement("volts", "BAT.pos", "BODY")))
    candidates.weigh(_reading(vehicle, Measurement("amps", "BODY", "BAT.pos")))
    assert candidates.left() == (NO_FAULT,)


def test_a_vehicle_that_works_is_not_told_from_a_fault_too_slight_to_show() -> None:
    pieces = []
    for setting in (AS_FOUND, PRESSED):
        seen = observe(Vehicle(CALL_BELL, setting=setting))
        pieces.append(Evidence(setting, seen=frozenset((one.part, one.code) for one in seen)))
    left = still_possible((BELL,), pieces)
    assert NO_FAULT in left
    assert ("G1", "corroded") in _spots(left)
    assert ("G1", "open") not in _spots(left)


def test_what_is_seen_only_between_two_severities_keeps_the_fault() -> None:
    """Lamps that two touching wires feed are lit at 10 Ω, dark at 100 Ω, and glow in between."""
    lamps = library_circuit("rear_lamps")
    setting = setting_from(
        lamps, positions={"brake": "pressed", "stalk": "left"}, unmated=["LC"], moment="moving"
    )
    fault = Fault("W10+W13", "touching", 27.2)
    vehicle = Vehicle(lamps, (fault,), setting)
    seen = frozenset((each.part, each.code) for each in observe(vehicle))
    ends = [replace(vehicle, faults=(replace(fault, severity=each),)) for each in (10.0, 100.0)]
    assert all(("plate", "glow") not in codes(end, solve(end)) for end in ends)
    candidates = Candidates(lamps, (fault,))
    candidates.weigh(Evidence(setting, seen=seen))
    assert candidates.left()

"""Why each fault is ruled out: what it would have shown, and what the meter showed."""

import re
from dataclasses import replace

import pytest

from circuits.behaviour import observe
from circuits.faultkinds import KINDS
from circuits.files import library_circuit
from circuits.instruments import Measurement, read
from circuits.model import Fault, Vehicle
from circuits.settings import setting_from
from exercises.evidence import NO_FAULT, Evidence
from exercises.explaining.bands import band_words
from exercises.explaining.learned import explained
from exercises.explaining.names import fault_names
from exercises.files import exercise_names, library_exercise
from exercises.narrowing import Question, narrowing, questions
from exercises.shown import shown_of
from tests.conftest import FULL
from tests.exercises.learners import Learner, job

CALL_BELL = library_circuit("call_bell")
PRESSED = setting_from(CALL_BELL, positions={"push": "pressed"})


def _reading(vehicle: Vehicle, what: Measurement) -> Evidence:
    return Evidence(vehicle.setting, what, shown_of(read(vehicle, what)))


@pytest.fixture(scope="module")
def walked():
    """The good path of the silent bell, one reading taken twice, one worthless."""
    learner = Learner(library_exercise("silent_bell"))
    for step in learner.attempt.exercise.path:
        learner.take(step)
    learner.probe("relay.86", "BODY")
    learner.probe("relay.86", "relay.85", "ohms")
    attempt = learner.attempt
    asked = questions(attempt.exercise)
    return (
        attempt,
        list(narrowing(asked, attempt.evidence)),
        list(explained(asked, attempt.evidence)),
    )


def test_every_fault_that_goes_is_told_once_and_no_other(walked) -> None:
    _, lefts, told = walked
    for before, after, one in zip(lefts, lefts[1:], told, strict=False):
        gone = [(f.place, f.kind) for group in one.ruled for f in group.faults]
        assert sorted(gone) == sorted(
            {(f.place, f.kind) for f in before} - {(f.place, f.kind) for f in after}
        )
        assert (one.before, one.left) == (len(before), len(after))


def _band(reason: str) -> tuple[float, float]:
    about = re.fullmatch(r"it would have read about ([\d.]+) V", reason)
    if about:
        return float(about[1]) - 0.1, float(about[1]) + 0.1
    low, high = re.fullmatch(r"it would have read ([\d.]+) to ([\d.]+) V", reason).groups()
    return float(low) - 0.05, float(high) + 0.05


def test_what_a_fault_would_have_read_is_what_is_read_where_it_is_put_in(walked) -> None:
    attempt, _, told = walked
    pairs = [(e, o) for e, o in zip(attempt.evidence, told, strict=True) if o.ruled and o.no]
    tried = 0
    for piece, one in pairs:
        for group in one.ruled:
            low, high = _band(group.reason)
            for fault in group.faults:
                if KINDS[fault.kind].grid:
                    continue  # only some of its severities were left by then
                shown = read(Vehicle(CALL_BELL, (fault,), piece.setting), piece.what).exact
                assert low <= shown <= high, (fault, group.reason)
                tried += 1
    assert tried >= 12


def test_what_would_have_been_seen_is_what_is_seen_where_it_is_put_in(walked) -> None:
    attempt, _, told = walked
    piece, one = attempt.evidence[0], told[0]
    tried = 0
    for group in one.ruled:
        for fault in group.faults:
            if fault != NO_FAULT and not KINDS[fault.kind].grid:
                seen = observe(Vehicle(CALL_BELL, (fault,), piece.setting))
                words = re.findall("“(.*?)”", group.reason)
                assert words
                assert set(words) <= {each.words for each in seen}, fault
                tried += 1
    assert tried >= 10


def test_a_reading_is_told_as_at_the_bench_with_its_figures(walked) -> None:
    """The open coil: the feed is at its one end, and all of it stands across it."""
    *_, told = walked
    across = next(one for one in told if one.found.startswith("volts relay.86 to relay.85"))
    first, rule_out, left = across.told
    assert first == (
        "Push Pressed: volts relay.86 to relay.85 read 12.65 V; a sound vehicle shows about 12.5 V."
    )
    assert rule_out.startswith("That rules out 12 of 13: with ground G2, W5, W6 (open circuit), ")
    assert "it would have read about 0 V; with " in rule_out
    assert left == "1 left."


def test_a_reading_taken_again_teaches_nothing_and_is_told_by_its_number(walked) -> None:
    *_, told = walked
    again = told[3]
    assert again.silent == "Nothing is ruled out: it is reading 1 over again."
    assert not again.ruled


def test_ohms_on_a_live_coil_tell_nothing_and_say_why(walked) -> None:
    *_, told = walked
    assert told[-1].told[-1].startswith("It tells nothing of the vehicle. There is voltage")


@pytest.mark.skipif(not FULL, reason="weighs every fault in three settings: LAB_FULL=1")
def test_what_could_have_told_something_is_kept_apart_from_what_never_could() -> None:
    learner = Learner(job("W5:open"))
    learner.probe("F1.out", "BODY")
    learner.set(isolated=True)
    learner.probe("BAT.pos", "BODY")
    one, *_, last = explained(questions(learner.attempt.exercise), learner.attempt.evidence)
    assert one.ruled
    assert last.silent.startswith("Nothing is ruled out, and nothing could have been: all ")
    assert last.silent.endswith("may show about 0 V here.")


def test_what_no_one_vehicle_gives_names_the_reading_it_does_not_go_with() -> None:
    """A bell of high ohms to the clamp is not one of low ohms to the meter: each of the two
    readings is that of a sound vehicle within tolerance."""
    ohm = "bell:ohm"
    clamp = Measurement("clamp", wire="W7")
    ohms = Measurement("ohms", "C1.1@unit", "C1.2@unit", zeroed=True)
    apart = setting_from(CALL_BELL, unmated=["C1"], isolated=True)
    high, low = (Vehicle(CALL_BELL, (), PRESSED, scatter=((ohm, at),)) for at in (1.0, -1.0))
    pieces = (_reading(low, clamp), _reading(high.with_setting(apart), ohms))
    *_, last = explained((Question(CALL_BELL),), pieces)
    joint = [one for one in last.ruled if one.reason.startswith("no one vehicle")]
    assert [one.reason for one in joint] == ["no one vehicle gives both this and reading 1"]
    assert NO_FAULT in joint[0].faults


@pytest.mark.parametrize(
    ("instrument", "shown", "stretches", "words"),
    [
        pytest.param("volts", "W5:open", [(-0.02, 0.03)], "about 0 V", id="nothing"),
        pytest.param("volts", "W5:open", [(12.2, 12.8)], "about 12.5 V", id="narrow"),
        pytest.param("volts", "W5:open", [(3.04, 9.16)], "3 to 9.2 V", id="wide"),
        pytest.param(
            "volts", "W5:open", [(0.0, 0.1), (7.0, 9.0)], "about 0 V or 7 to 9 V", id="two"
        ),
        pytest.param("volts", "W5:open", [(12.71, 12.9)], "12.71 to 12.9 V", id="close by"),
        pytest.param("ohms", "W5:open", [(float("inf"), float("inf"))], "OL", id="OL"),
        pytest.param("ohms", "W5:open", [(2200.0, float("inf"))], "2.2 kΩ or more, up to OL"),
        pytest.param("ohms", "W5:open", [(-0.2, 1.5)], "0 to 1.5 Ω", id="no ohms below 0"),
        pytest.param("lamp", "W5:open", [(0.0, 9.0)], "dark to dim", id="lamp"),
        pytest.param("clamp", "W5:open", [(0.25, 0.4)], "250 to 400 mA", id="milliamps"),
    ],
)
def test_bands_are_told_as_one_says_them_aloud(instrument, shown, stretches, words) -> None:
    """Near the 12.65 V that were read a band is told by the figure that parts it from them."""
    vehicle = Vehicle(CALL_BELL, (Fault("W5", "open"),), PRESSED)
    piece = _reading(vehicle, Measurement("volts", "relay.86", "BODY"))
    what = replace(piece.what, instrument=instrument)
    shown = piece.shown if instrument == "volts" else replace(piece.shown, value=None)
    assert band_words(replace(piece, what=what, shown=shown), stretches) == words


def test_faults_are_named_by_kind_the_likeliest_first_and_the_rest_counted() -> None:
    faults = [Fault("W5+W7", "touching"), Fault("W5", "open"), Fault("C1.1", "backed_out")]
    faults += [Fault("W4", "open"), Fault("relay.coil", "coil_open"), NO_FAULT]
    told = fault_names(CALL_BELL, faults)
    assert told.startswith("W5, W4 (open circuit), C1 cavity 1 (terminal pushed back, no contact)")
    assert "bell relay's coil (" in told
    assert "no fault at all" in told
    assert fault_names(CALL_BELL, faults, most=2) == "W5, W4 (open circuit) and 4 more"


@pytest.mark.skipif(not FULL, reason="walks many paths: LAB_FULL=1")
@pytest.mark.parametrize("name", exercise_names()[::4])
def test_on_every_good_path_each_fault_that_goes_has_one_reason(name) -> None:
    exercise = library_exercise(name)
    learner = Learner(exercise)
    for step in exercise.path:
        learner.take(step)
    for one in explained(questions(exercise), learner.attempt.evidence):
        assert sum(len(group.faults) for group in one.ruled) == one.before - one.left
        assert bool(one.ruled) != bool(one.silent)
        assert all(sentence.endswith((".", "”.")) for sentence in one.told)

"""Hints: from what is left and how the vehicle is set, never from the truth."""

from random import Random

import pytest

from circuits.faultkinds import KINDS
from circuits.faults import all_faults, fault_places
from circuits.instruments import read
from circuits.model import AS_FOUND, Vehicle
from circuits.settings import setting_from
from circuits.tolerance import drawn
from exercises.actions import ChangeSetting
from exercises.expectation import sound_band
from exercises.planning.advice import candidates_of, hint_for, ranked
from exercises.planning.allowed import AllowedTest, allowed_tests
from exercises.planning.hints import DEPTHS, sound_words
from exercises.planning.policy import plan_for
from tests.exercises.learners import Learner, job
from tests.exercises.planning.tables import CALL_BELL, table_of

PRESSED = setting_from(CALL_BELL, positions={"push": "pressed"})


def _hints(learner: Learner) -> list[str]:
    plan = plan_for(learner.attempt.exercise, table_of("call_bell"))
    return [hint_for(learner.attempt, plan, depth=depth).words for depth in DEPTHS]


def _pressed(fault: str) -> Learner:
    learner = Learner(job(fault))
    learner.do(ChangeSetting(PRESSED))
    return learner


def test_the_first_hint_tells_how_many_are_left_and_whether_to_set_the_vehicle_anew() -> None:
    first, second, third = _hints(Learner(job("W4:open")))
    assert first == "75 faults still fit. Set the vehicle otherwise, and watch what it does."
    assert "push Pressed" in second
    assert third.endswith("A sound vehicle: Bell relay: pulled in; Bell: rings.")


def test_later_hints_tell_instrument_and_place_then_test_and_sound_band() -> None:
    first, second, third = _hints(_pressed("W4:open"))
    assert first.startswith("38 faults still fit. Leave the vehicle set as it is")
    assert "Take the voltmeter, engine bay." in second
    assert "volts F1.out to BODY. A sound vehicle: 12." in third


def test_jobs_with_the_same_faults_left_get_the_same_hints_whatever_the_truth() -> None:
    """No bell and no click: a wire, the coil or the push, all the same until measured."""
    dead = [
        _pressed(text) for text in ("W4:open", "relay.coil:coil_open", "push.contact:contact_open")
    ]
    assert len({candidates_of(one.attempt).left() for one in dead}) == 1
    assert len({tuple(_hints(one)) for one in dead}) == 1


def test_no_hint_names_a_fault() -> None:
    titles = {place.title for place in fault_places(CALL_BELL) if place.sort != "battery"}
    words = {KINDS[fault.kind].words for fault in all_faults(CALL_BELL)}
    for fault in all_faults(CALL_BELL)[::17]:
        learner = Learner(job(f"{fault.place}:{fault.kind}"))
        learner.do(ChangeSetting(PRESSED))
        learner.probe("F1.out", "BODY")
        for text in _hints(learner):
            told = text.partition("A sound vehicle")[0]
            assert not any(title in told for title in titles)
            assert not any(word in told for word in words)


def test_when_one_fault_is_left_the_hint_is_to_name_it() -> None:
    learner = Learner(job("F1:blown", path=[{"because": "Look.", "set": {"push": "pressed"}}]))
    learner.do(ChangeSetting(PRESSED))
    for red, black in (("F1.in", "BODY"), ("F1.out", "BODY"), ("F1.in", "F1.out")):
        learner.probe(red, black)
    texts = _hints(learner)
    if len(candidates_of(learner.attempt).left()) == 1:
        assert texts == [texts[0]] * 3
        assert texts[0].startswith("Only one fault still fits")


def test_readings_that_no_single_fault_explains_are_told_so() -> None:
    learner = Learner(job("W5:open", "W8:open"))
    learner.do(ChangeSetting(PRESSED))
    learner.probe("relay.85", "BODY")
    learner.probe("relay.87", "BODY")
    learner.probe("C1.2", "BODY")
    left = candidates_of(learner.attempt).left()
    assert (_hints(learner)[0].startswith("No single fault fits")) == (left == ())


@pytest.mark.parametrize("seed", range(5))
def test_every_sound_vehicle_within_tolerance_reads_within_the_band_told(seed) -> None:
    random = Random(seed)
    tests = [t for t in allowed_tests(CALL_BELL) if t.what is not None]
    for test in random.sample(tests, 12):
        vehicle = drawn(Vehicle(CALL_BELL, (), test.setting), random)
        low, high = sound_band(Vehicle(CALL_BELL, (), test.setting), test.what)
        value = read(vehicle, test.what).value
        assert low <= (float("inf") if value is None else value) <= high


def test_what_a_sound_vehicle_does_is_told_of_a_test_that_only_watches() -> None:
    words = sound_words(CALL_BELL, AllowedTest(AS_FOUND, None))
    assert words == "Bell relay: at rest; Bell: silent"


def test_candidates_are_ranked_by_kind_and_by_how_much_of_them_is_left() -> None:
    found = ranked(candidates_of(Learner(job("W4:open")).attempt))
    assert sum(weight for _, weight in found) == pytest.approx(1.0)
    weights = [weight for _, weight in found]
    assert weights == sorted(weights, reverse=True)
    by_kind = {fault.kind: weight for fault, weight in found}
    assert by_kind["open"] > by_kind["chafed"] > by_kind["leaking"]

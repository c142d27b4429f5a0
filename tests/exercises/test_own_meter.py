"""The meter's own battery and fuse in an attempt: how they are found out, and replaced."""

import pytest

from exercises import minutes
from exercises.actions import CheckMeter, ReadAgain, ReplaceBattery, ReplaceFuse, perform
from exercises.attempt import METER, AttemptError, step
from exercises.events import Event
from exercises.marking.care import care
from exercises.shown import measurement_from_json
from tests.exercises.learners import Learner, entry, job


def _with_a_low_meter(*faults: str) -> Learner:
    learner = Learner(job(*faults))
    body = {"meter_battery": "low"}
    learner.attempt = step(learner.attempt, Event(1, "k", "began", body, 0, ""))
    return learner


def test_some_variants_begin_with_a_low_meter_where_the_exercise_says_so_and_nowhere_else() -> None:
    seeds = range(1, 13)
    may = [Learner(entry(low_meter=True), seed=seed).attempt.meter_low for seed in seeds]
    assert {True, False} == set(may)
    assert not any(Learner(entry(), seed=seed).attempt.meter_low for seed in seeds)
    assert not Learner(entry(low_meter=True), seed=0).attempt.meter_low


def test_the_same_seed_draws_the_same_vehicle_whatever_meter_it_comes_with() -> None:
    with_meter, without = (Learner(entry(low_meter=low), seed=5) for low in (True, False))
    drawn = [learner.events[0].body["variant"] for learner in (with_meter, without)]
    assert drawn[0] == drawn[1]


def _checked(learner: Learner) -> dict[str, str]:
    return {check: shown.display for check, shown in learner.attempt.checked}


def test_a_meter_is_good_unless_the_attempt_says_otherwise() -> None:
    assert not Learner(job()).attempt.meter_low
    assert _with_a_low_meter().attempt.meter_low


def test_a_known_good_battery_gives_a_low_meter_away_and_a_new_one_puts_it_right() -> None:
    learner = _with_a_low_meter()
    low = learner.probe("BAT.pos", "BODY").reading
    spent = learner.attempt.minutes
    good = learner.do(ReplaceBattery()).reading
    assert low.value > 13.5 > good.value
    assert low.caution_names == ("meter_battery_low",)
    assert good.caution_names == ()
    assert learner.attempt.minutes == pytest.approx(spent + minutes.NEW_BATTERY + minutes.PROBE)


def test_what_a_low_meter_shows_is_no_evidence() -> None:
    learner = _with_a_low_meter("F1:blown")
    learner.probe("F1.out", "BODY")
    assert all(piece.reading is None for piece in learner.attempt.evidence)
    assert learner.do(ReplaceBattery()).evidence[-1].reading is not None


def test_a_healthy_vehicle_is_told_as_a_good_meter_shows_it() -> None:
    learner = Learner(job(shows_expected=True))
    good = learner.probe("BAT.pos", "BODY").reading
    body = {"meter_battery": "low"}
    learner.attempt = step(learner.attempt, Event(9, "k", "began", body, 0, ""))
    low = learner.do(ReadAgain()).reading
    assert low.display != good.display
    assert low.expected == good.expected


def test_the_amps_fuse_is_found_blown_on_ohms_and_whole_after_a_new_one() -> None:
    learner = Learner(job())
    learner.do(CheckMeter("fuse"))
    assert _checked(learner) == {"fuse": "0.1"}
    learner.probe("BAT.pos", "BODY", "amps")
    learner.do(CheckMeter("fuse"), CheckMeter("leads"))
    assert _checked(learner) == {"fuse": "OL", "leads": "0.2"}
    learner.do(ReplaceFuse(METER))
    assert "fuse" not in _checked(learner)


def test_a_check_of_the_meter_takes_its_time_and_is_no_reading_of_the_vehicle() -> None:
    learner = Learner(job())
    before = learner.probe("F1.out", "BODY")
    after = learner.do(CheckMeter("leads"))
    assert after.minutes == pytest.approx(before.minutes + minutes.PROBE)
    assert (after.entries, after.reading) == (before.entries, before.reading)


def test_a_check_that_a_meter_does_not_have_is_refused() -> None:
    with pytest.raises(AttemptError, match="accepted: leads, fuse"):
        perform(Learner(job()).attempt, CheckMeter("dial"))  # type: ignore[arg-type]


def test_a_measurement_kept_before_meters_had_batteries_is_read_still() -> None:
    kept = {"instrument": "volts", "red": "F1.out", "black": "BODY", "wire": "", "zeroed": False}
    assert not measurement_from_json({**kept, "hold": False, "load_w": 0.0}).low_battery


def _care(learner: Learner) -> tuple[float, bool]:
    column = care(learner.attempt)
    return column.score, any("low-battery sign" in sentence for sentence in column.evidence)


def test_reading_on_with_the_low_battery_sign_showing_costs_care_once() -> None:
    learner = _with_a_low_meter()
    learner.probe("BAT.pos", "BODY")
    assert _care(learner) == (1.0, False)  # who has not read yet has not seen the sign
    learner.do(ReadAgain())
    assert _care(learner) == (pytest.approx(0.95), True)
    learner.do(ReadAgain(), ReadAgain())
    assert _care(learner) == (pytest.approx(0.95), True)


def test_who_fits_a_new_battery_at_the_sign_keeps_the_whole_mark() -> None:
    learner = _with_a_low_meter()
    learner.probe("BAT.pos", "BODY")
    learner.do(ReplaceBattery(), ReadAgain())
    assert _care(learner) == (1.0, False)

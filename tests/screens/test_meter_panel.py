"""The meter panel: its sign, what it has shown of itself, and the press on each of its keys."""

import pytest

from exercises.actions import CheckMeter, ReadAgain, ReplaceBattery, ReplaceFuse
from exercises.attempt import METER, step
from exercises.events import Event
from exercises.screens.components.touch import touches
from exercises.screens.panels.meter import ACTS, face
from tests.exercises.learners import Learner, job


def _low_meter() -> Learner:
    learner = Learner(job())
    began = Event(1, "k", "began", {"meter_battery": "low"}, 0, "")
    learner.attempt = step(learner.attempt, began)
    return learner


@pytest.mark.parametrize(
    ("sent", "act"),
    [
        pytest.param({"does": "again"}, ReadAgain(), id="again"),
        pytest.param({"does": "check", "part": "fuse"}, CheckMeter("fuse"), id="test the fuse"),
        pytest.param({"does": "check", "part": "leads"}, CheckMeter("leads"), id="tips together"),
        pytest.param({"does": "renew", "part": "fuse"}, ReplaceFuse(METER), id="new fuse"),
        pytest.param({"does": "renew", "part": "battery"}, ReplaceBattery(), id="new battery"),
    ],
)
def test_each_key_of_the_meter_is_one_act(sent, act) -> None:
    (touch,) = touches({"bench": "b", "waiting": [{"key": "k", **sent}]}, bench="b")
    assert ACTS[touch.does](touch) == act


@pytest.mark.parametrize("part", ["", "engine", "x" * 200, 7, None])
def test_a_press_on_a_part_that_no_meter_has_is_dropped(part) -> None:
    waiting = [{"key": "k", "does": does, "part": part} for does in ("check", "renew")]
    assert touches({"bench": "b", "waiting": waiting}, bench="b") == ()


def test_the_low_battery_sign_shows_before_anything_is_read_and_goes_with_a_new_battery() -> None:
    learner = _low_meter()
    assert face(learner.attempt).battery_low
    assert not face(learner.do(ReplaceBattery())).battery_low


def test_the_meter_tells_what_it_last_showed_of_itself() -> None:
    learner = Learner(job())
    assert face(learner.attempt).own == ()
    attempt = learner.do(CheckMeter("fuse"), CheckMeter("leads"))
    assert dict(face(attempt).own) == {"fuse": "0.1 Ω", "leads": "0.2 Ω"}

"""Minutes: places are got at once, and every change of the setting has its price."""

from dataclasses import replace

import pytest

from circuits.files import library_circuit
from circuits.model import AS_FOUND
from circuits.settings import setting_from
from exercises import minutes
from exercises.minutes import access_minutes, places_of, setting_minutes
from tests.exercises.learners import Learner, job

SIDE_STEPS = library_circuit("side_steps")


def _setting(**parts):
    return setting_from(SIDE_STEPS, **parts)


CHANGES = [
    pytest.param({}, 0.0, id="nothing"),
    pytest.param({"positions": {"rocker": "deploy"}}, minutes.SWITCH, id="one switch"),
    pytest.param(
        {"positions": {"rocker": "deploy", "key": "off"}}, minutes.SWITCH, id="two switches at once"
    ),
    pytest.param({"unmate": ("C1", "C2")}, 2 * minutes.UNMATE, id="two connectors"),
    pytest.param({"pulled": ("F1",)}, minutes.PULL, id="a fuse out"),
    pytest.param({"isolated": True}, minutes.ISOLATE, id="battery off"),
    pytest.param({"jumpers": (("F1.out", "BODY"),)}, minutes.JUMPER, id="a jumper"),
    pytest.param({"moved": "C1"}, minutes.HELPER, id="a second person"),
    pytest.param({"moment": "moving"}, minutes.SWITCH, id="worked once more"),
]


@pytest.mark.parametrize(("parts", "cost"), CHANGES)
def test_a_change_of_the_setting_costs_its_minutes(parts, cost) -> None:
    named = {"unmated" if key == "unmate" else key: value for key, value in parts.items()}
    assert setting_minutes(AS_FOUND, _setting(**named)) == pytest.approx(cost)


def test_plugging_in_again_costs_what_unplugging_did() -> None:
    apart = _setting(unmated=["C1"], isolated=True)
    there, back = setting_minutes(AS_FOUND, apart), setting_minutes(apart, AS_FOUND)
    assert there == back == minutes.UNMATE + minutes.ISOLATE


def test_letting_a_vehicle_come_to_rest_costs_nothing() -> None:
    moving = _setting(positions={"rocker": "deploy"})
    assert setting_minutes(moving, replace(moving, moment="at_rest")) == 0.0


def test_the_places_of_a_setting_are_where_it_is_unplugged_jumped_and_probed() -> None:
    setting = _setting(unmated=["C2"], pulled=["F1"], jumpers=[("IL.1@motor", "BODY")])
    assert places_of(SIDE_STEPS, setting, ("C3.1", "")) == {
        "seat",
        "engine_bay",
        "left_sill",
        "dash",
    }


def test_the_body_is_everywhere_and_costs_no_way() -> None:
    assert places_of(SIDE_STEPS, AS_FOUND, ("BODY",)) == frozenset()


def test_access_is_the_sum_of_the_places_own_minutes() -> None:
    assert access_minutes(SIDE_STEPS, {"seat", "left_sill"}) == 3 + 6


def test_a_place_is_paid_for_once_and_each_reading_each_time() -> None:
    learner = Learner(job("W4:open", circuit="side_steps"))
    first = learner.probe("C1.2", "BODY").minutes
    second = learner.probe("C1.3", "BODY").minutes
    assert first == pytest.approx(3 + minutes.PROBE)
    assert second == pytest.approx(first + minutes.PROBE)

"""Each part behaves as the trade knows it, by its own physics."""

import pytest

from circuits.behaviour import observe
from circuits.consequences import blown_fuses, heated, held_motors
from circuits.laws import Armature
from circuits.operate import solve
from circuits.parts.controller import Channel, ReversingController
from circuits.parts.motor import Motor
from circuits.parts.supply import Fuse
from circuits.spec import Circumstance
from tests.circuits.benches import DEPLOY, PRESSED, WINDING, bell, shows, steps


def _does(vehicle, part: str) -> str:
    return next(seen.code for seen in observe(vehicle) if seen.part == part)


@pytest.mark.parametrize(
    ("fault", "left", "right"),
    [
        ("", "forward", "forward"),
        ("W4:open", "still", "forward"),
        ("unit.left:forward_dead", "still", "forward"),
        ("unit.left:reverse_dead", "forward", "forward"),
        ("left_motor.mechanism:seized", "still", "forward"),
        ("W9:open", "still", "still"),
        ("unit.request:input_deaf", "still", "still"),
        ("W13:open", "still", "still"),
        ("C2.1+C2.2:swapped", "backward", "forward"),
    ],
)
def test_the_steps_do_on_deploy_what_the_fault_leaves_them(fault, left, right) -> None:
    vehicle = steps(*([fault] if fault else []), **DEPLOY)
    assert (_does(vehicle, "left_motor"), _does(vehicle, "right_motor")) == (left, right)


def test_a_dead_reverse_output_leaves_the_step_out() -> None:
    vehicle = steps("unit.left:reverse_dead", positions={"rocker": "off"}, moment="moving")
    assert _does(vehicle, "left_motor") == "still"
    assert _does(vehicle, "right_motor") == "backward"


def test_a_tired_motor_draws_more_and_turns_slower_through_its_harness() -> None:
    sound, tired = steps(**DEPLOY), steps("left_motor:shorted_turns:0.85", **DEPLOY)
    amps = [abs(shows(v, "clamp", "W14").value or 0) for v in (sound, tired)]
    assert amps[1] > 5 * amps[0]
    assert _does(tired, "left_motor") == "forward_slow"


def test_shorted_turns_leave_the_speed_alone_on_an_ideal_supply() -> None:
    spec = Motor(ohm=6.0, k=0.06, load_nm=0.03, drag=1e-9)
    speeds = [
        spec.armature(
            Circumstance(moment="moving", faults=(("winding", "shorted_turns", share),))
        ).speed(12.6)
        for share in (0.0, 0.3, 0.6, 0.85)
    ]
    assert speeds == pytest.approx([speeds[0]] * 4, rel=1e-3)


def test_a_held_motor_heats_and_its_winding_reads_higher_afterwards() -> None:
    leads = [("F1.out", "C2.1@harness"), ("BODY", "C2.2@harness")]
    vehicle = steps(unmated=["C2"], jumpers=leads, moment="at_rest")
    state = solve(vehicle)
    assert held_motors(vehicle, state)["left_motor"] == pytest.approx(2.0, abs=0.2)
    warm = dict(heated(vehicle, state))["left_motor"]
    assert warm > 20.5
    motor = Motor(ohm=6.0, k=0.06, load_nm=0.03)
    assert motor.armature(Circumstance(celsius=warm)).ohm > motor.ohm


def test_a_winding_to_frame_shows_at_the_connector_to_the_body() -> None:
    reading = shows(steps("left_motor:to_frame:1000", **WINDING), "ohms", "C2.1@harness", "BODY")
    assert reading.value == pytest.approx(1000, abs=10)


def test_a_lifting_brush_falls_back_when_the_motor_is_tapped() -> None:
    leads = ("C2.1@harness", "C2.2@harness")
    still = shows(steps("left_motor:lifting_brush", **WINDING), "ohms", *leads)
    tapped = shows(steps("left_motor:lifting_brush", moved="left_motor", **WINDING), "ohms", *leads)
    assert still.display == "OL"
    assert tapped.value == pytest.approx(6.2, abs=0.2)


def test_a_spread_terminal_opens_when_its_connector_is_moved() -> None:
    calm = shows(steps("C1.2:spread", **DEPLOY), "volts", "C2.1", "BODY")
    moved = shows(steps("C1.2:spread", moved="C1", **DEPLOY), "volts", "C2.1", "BODY")
    assert (calm.value or 0) > 12
    assert abs(moved.value or 0) < 0.5


@pytest.mark.parametrize(
    ("fault", "heard"),
    [
        ("", "rings"),
        ("G1:corroded:10", "faint"),
        ("W8:open", "silent"),
        ("relay.contact:contact_open", "silent"),
        ("bell:open", "silent"),
    ],
)
def test_the_bell_sounds_by_the_voltage_across_it(fault, heard) -> None:
    assert _does(bell(*([fault] if fault else []), **PRESSED), "bell") == heard


@pytest.mark.parametrize(
    "fault", ["relay.contact:stuck_closed", "W5:chafed:0", "push.contact:stuck_closed"]
)
def test_a_bell_that_never_stops_has_a_stuck_contact_or_a_grounded_coil_wire(fault) -> None:
    assert _does(bell(fault), "bell") == "rings"


def test_a_lamp_is_dim_behind_a_resistance() -> None:
    assert (
        _does(steps("W10:high_resistance:10", positions={"rocker": "lamps"}), "left_lamp") == "dim"
    )
    assert _does(steps(positions={"rocker": "lamps"}), "left_lamp") == "bright"


def test_a_fuse_too_small_blows_in_normal_use() -> None:
    vehicle = steps("F1:underrated:0.25", **DEPLOY)
    assert blown_fuses(vehicle, solve(vehicle)) == {"F1"}


def test_a_pulled_or_blown_fuse_is_no_element() -> None:
    fuse = Fuse(rating_a=10)
    assert fuse.elements("F1", Circumstance(pulled=True)) == ()
    assert fuse.elements("F1", Circumstance(memory=frozenset({"blown"}))) == ()
    assert len(fuse.elements("F1", Circumstance())) == 1


def test_a_weak_battery_sags_under_load_only() -> None:
    idle = shows(steps("BAT:weak:0.3"), "volts", "BAT.pos", "BAT.neg").value
    loaded = shows(
        steps("BAT:weak:0.3", positions={"rocker": "deploy"}, moment="just_operated"),
        "volts",
        "BAT.pos",
        "BAT.neg",
    ).value
    assert idle == pytest.approx(12.64, abs=0.02)
    assert loaded == pytest.approx(12.65 - 0.31 * 4.7, abs=0.4)


def test_an_armature_stands_until_its_torque_breaks_away() -> None:
    armature = Armature(ohm=6.0, k=0.06, friction_nm=0.03, drag=1e-5)
    assert armature.speed(2.9) == 0.0
    assert armature.speed(3.1) > 0.0
    assert armature.speed(-12.0) == -armature.speed(12.0)


@pytest.mark.parametrize(
    ("field", "told"),
    [
        ({"channels": ()}, "at least one channel"),
        ({"sleep_volt": 9.0}, "below wake_volt"),
        ({"gone_volt": 8.0}, "below seen_volt"),
    ],
)
def test_a_controller_that_cannot_work_is_refused(field, told) -> None:
    with pytest.raises(ValueError, match=told):
        ReversingController(**{"channels": (Channel("left", "feed"),), **field})

"""Battery drain: what draws with the key off, and the three ways to find it."""

import pytest

from circuits.operate import solve, solve_many
from circuits.parts.units import SleepingUnit
from tests.circuits.benches import doing, every_vehicle, shows, vehicle

AWAKE_UNIT = "door_unit:stays_awake"
STUCK_RELAY = "relay.contact:stuck_closed"
STUCK_LID = "lid.contact:stuck_closed"
DRAINS = (
    pytest.param(AWAKE_UNIT, "F3", 0.6, id="unit awake"),
    pytest.param("display:stays_awake", "F4", 0.4, id="display awake"),
    pytest.param("tracker:stays_awake", "F5", 0.25, id="tracker awake"),
    pytest.param(STUCK_RELAY, "F1", 2.1, id="relay stuck"),
    pytest.param(STUCK_LID, "F2", 0.43, id="lamp on"),
)


def parked(*faults: str, **setting: object):
    """Return the vehicle with the key off and the lid shut, asleep if it can sleep."""
    return vehicle("battery_drain", *faults, **setting)


def in_line(what_faults: tuple[str, ...], **setting: object) -> float:
    """Return the amperes that a meter shows in place of the negative lead."""
    what = parked(*what_faults, isolated=True, **setting)
    return shows(what, "amps", "G0", "BAT.neg").value or 0.0


def fuse_millivolts(what, fuse: str) -> float:
    return 1e3 * (shows(what, "volts", f"{fuse}.in", f"{fuse}.out").exact or 0.0)


def test_a_sound_vehicle_draws_no_more_than_50_milliamperes_asleep() -> None:
    """Common practice, no source."""
    assert 0.02 < in_line(()) <= 0.05


@pytest.mark.parametrize(("fault", "ampere"), [(p.values[0], p.values[2]) for p in DRAINS])
def test_a_meter_in_line_with_the_negative_lead_shows_the_drain(fault, ampere) -> None:
    """The meter's own 0.2 ohms take a little off."""
    assert in_line((fault,)) == pytest.approx(ampere + 0.025, rel=0.06)


@pytest.mark.parametrize(("fault", "fuse"), [p.values[:2] for p in DRAINS])
def test_the_drain_falls_when_its_own_fuse_is_pulled_and_with_no_other(fault, fuse) -> None:
    before = in_line((fault,))
    for number in range(1, 7):
        after = in_line((fault,), pulled=[f"F{number}"])
        if f"F{number}" == fuse:
            assert after <= 0.05
        else:
            assert after > before - 0.02


@pytest.mark.parametrize(("fault", "fuse", "ampere"), DRAINS)
def test_millivolts_across_a_fuse_tell_the_drain_without_pulling_it(fault, fuse, ampere) -> None:
    """Makers' sheets: cold resistance of a blade fuse 0.05 to 0.10 V over its rating."""
    what = parked(fault)
    rating = what.circuit.part_by_name[fuse].spec.rating_a
    found = fuse_millivolts(what, fuse)
    assert 50 / rating * ampere < found < 100 / rating * ampere * 1.1
    others = [f"F{n}" for n in range(1, 7) if f"F{n}" != fuse]
    assert max(fuse_millivolts(what, other) for other in others) < 0.25


def test_a_clamp_on_the_negative_lead_finds_amperes_and_misses_milliamperes() -> None:
    """A clamp's last digit is 0.01 A and five of them are its accuracy: 30 mA hide in it."""
    drained, sound = (shows(parked(*f), "clamp", "W25") for f in ((STUCK_RELAY,), ()))
    assert abs(drained.value or 0) == pytest.approx(2.1, abs=0.05)
    assert abs(sound.value or 0) < sound.off


def test_units_stay_awake_for_a_while_after_the_key_and_sleep_at_rest() -> None:
    just, rest = (
        abs(solve(parked(moment=moment)).ampere["W25"]) for moment in ("just_operated", "at_rest")
    )
    assert just > 0.9
    assert rest < 0.05


def test_with_the_key_on_both_units_are_awake_and_the_mirror_heats() -> None:
    what = vehicle("battery_drain", positions={"key": "on"})
    assert doing(what, "relay") == "in"
    assert abs(solve(what).ampere["W25"]) == pytest.approx(3.2, abs=0.1)


def test_the_key_on_does_not_cost_the_meters_fuse_here_but_a_headlong_short_does() -> None:
    on = vehicle("battery_drain", isolated=True, positions={"key": "on"})
    assert not shows(on, "amps", "G0", "BAT.neg").meter_fuse_blew
    across = vehicle("battery_drain")
    assert shows(across, "amps", "BAT.pos", "BAT.neg").meter_fuse_blew


def test_a_key_contact_that_sticks_keeps_everything_awake_and_the_heater_on() -> None:
    what = parked("key.contact:stuck_closed")
    assert doing(what, "relay") == "in"
    assert abs(solve(what).ampere["W25"]) > 3


def test_a_wake_line_rubbed_through_to_a_feed_wakes_all_and_pulls_the_relay_in() -> None:
    """The wake lines join at one splice, so one of them feeds them all."""
    what = parked("W23:shorted_to_feed:0")
    assert doing(what, "relay") == "in"


def test_unplugging_the_unit_that_does_not_sleep_ends_the_drain() -> None:
    assert in_line((AWAKE_UNIT,), unmated=["CD"]) <= 0.05


def test_an_open_locker_lights_its_lamp_as_it_should() -> None:
    assert doing(parked(positions={"lid": "open"}), "locker_lamp") == "bright"
    assert doing(parked(), "locker_lamp") == "dark"


def test_a_dead_unit_draws_nothing_more_awake() -> None:
    sound, dead = (
        abs(solve(vehicle("battery_drain", *f, positions={"key": "on"})).ampere["W13"])
        for f in ((), ("door_unit:dead",))
    )
    assert sound == pytest.approx(0.6, abs=0.02)
    assert dead == pytest.approx(0.01, abs=0.002)


@pytest.mark.parametrize(
    ("field", "told"),
    [({"sleep_a": 1.0}, "below awake_a"), ({"gone_volt": 7.0}, "below wake_volt")],
)
def test_a_unit_that_cannot_sleep_is_refused(field, told) -> None:
    with pytest.raises(ValueError, match=told):
        SleepingUnit(**{"sleep_a": 0.01, "awake_a": 0.5, **field})


def test_every_fault_at_every_severity_settles_or_chatters_in_every_setting() -> None:
    states = solve_many(every_vehicle("battery_drain", moments=("just_operated", "at_rest")))
    assert {state.chatter for state in states} <= {(), ("door_unit",), ("display",), ("relay",)}

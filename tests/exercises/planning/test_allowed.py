"""The allowed tests: what a tester would think of, and nothing that cannot be done."""

import pytest

from circuits.files import LIBRARY, library_circuit
from circuits.measurement import check
from circuits.model import Vehicle
from exercises.planning.allowed import allowed_settings, allowed_tests, places_of, working
from tests.exercises.planning.tables import CALL_BELL

CIRCUITS = sorted(path.stem for path in LIBRARY.glob("*.toml"))


@pytest.mark.parametrize("name", CIRCUITS)
def test_there_are_a_few_thousand_at_most_and_none_twice(name) -> None:
    tests = allowed_tests(library_circuit(name))
    assert 300 < len(tests) < 6000
    assert len(set(tests)) == len(tests)


@pytest.mark.parametrize("name", CIRCUITS)
def test_one_thing_is_unplugged_pulled_or_wiggled_at_a_time(name) -> None:
    for setting in allowed_settings(library_circuit(name)):
        moved = (setting.moved,) if setting.moved else ()
        assert len((*setting.unmated, *setting.pulled, *moved)) <= 1


def test_every_test_can_be_taken() -> None:
    for test in allowed_tests(CALL_BELL):
        if test.what is not None:
            check(Vehicle(CALL_BELL, (), test.setting), test.what)


def test_ohms_are_for_an_isolated_battery_and_volts_and_clamp_for_a_live_one() -> None:
    for test in allowed_tests(CALL_BELL):
        assert test.setting.isolated == (test.instrument == "ohms")


def test_every_position_of_every_switch_is_worked_and_watched() -> None:
    circuit = library_circuit("rear_lamps")
    watched = {test.setting.positions for test in allowed_tests(circuit) if test.what is None}
    assert {(), (("lights", "on"),), (("brake", "pressed"),)} <= watched
    assert {(("stalk", "left"),), (("stalk", "right"),)} <= watched


@pytest.mark.parametrize(
    ("name", "positions"),
    [
        ("call_bell", {"push": "pressed"}),
        ("side_steps", {"rocker": "deploy"}),
        ("cranking", {"key": "start"}),
        ("heated_window", {"window_switch": "on"}),
    ],
)
def test_a_circuit_works_where_most_of_its_wires_carry_current(name, positions) -> None:
    assert dict(working(library_circuit(name))) == positions


def test_each_wire_is_measured_across_and_clamped_while_the_circuit_works() -> None:
    at_work = [
        t.what for t in allowed_tests(CALL_BELL) if t.setting == allowed_settings(CALL_BELL)[1]
    ]
    clamped = {what.wire for what in at_work if what and what.instrument == "clamp"}
    assert clamped == set(CALL_BELL.wire_by_name)
    across = {frozenset((what.red, what.black)) for what in at_work if what}
    assert {frozenset(("relay.85", "C2.1")), frozenset(("relay.86", "relay.85"))} <= across


def test_the_places_of_a_test_are_those_of_its_points_and_of_what_is_unplugged() -> None:
    tests = allowed_tests(CALL_BELL)
    unplugged = next(t for t in tests if t.setting.unmated == {"C2"} and t.what is None)
    assert places_of(CALL_BELL, unplugged) == {"pillar"}

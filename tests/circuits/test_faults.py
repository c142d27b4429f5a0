"""Faults are listed, named, checked, put in and cured."""

import pytest

from circuits.faultkinds import KINDS, REPAIRS, repair_names
from circuits.faults import (
    all_faults,
    cures,
    describe,
    fault_places,
    parse_fault,
    severities,
    with_faults,
)
from circuits.files import circuit_names, library_circuit
from circuits.model import CircuitError, Fault, Vehicle
from circuits.operate import solve_many
from tests.circuits.benches import BELL, DEPLOY, PRESSED, STEPS, bell, steps


def test_the_circuits_have_as_many_faults_as_a_course_needs() -> None:
    assert len(all_faults(BELL)) >= 25
    assert len(all_faults(STEPS)) >= 120


@pytest.mark.parametrize("circuit", [BELL, STEPS], ids=lambda c: c.name)
def test_every_fault_is_listed_once(circuit) -> None:
    faults = all_faults(circuit)
    assert len(set(faults)) == len(faults)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_every_kind_has_cures_that_are_known_and_severities_in_order(kind) -> None:
    assert kind.cures
    assert set(kind.cures) <= set(REPAIRS)
    assert list(kind.grid) in (sorted(kind.grid), sorted(kind.grid, reverse=True))
    assert bool(kind.grid) == bool(kind.unit)


@pytest.mark.parametrize(
    ("circuit", "worked"), [(BELL, PRESSED), (STEPS, DEPLOY)], ids=["call_bell", "side_steps"]
)
def test_every_fault_at_every_severity_can_be_solved(circuit, worked) -> None:
    setting = (bell if circuit is BELL else steps)(**worked).setting
    vehicles = [
        Vehicle(circuit, (Fault(f.place, f.kind, how_bad),), setting)
        for f in all_faults(circuit)
        for how_bad in severities(f)[::3]
    ]
    states = solve_many(vehicles)
    assert all(abs(volt) < 30 for state in states for volt in state.volt.values())


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("left_motor:shorted_turns:0.75", "left_motor.winding"),
        ("left_motor.winding:shorted_turns:0.75", "left_motor.winding"),
        ("F1:blown", "F1"),
        ("C1.4:corroded:5", "C1.4"),
        ("W14+W15:touching:0", "W14+W15"),
    ],
)
def test_a_fault_is_found_by_its_place_or_its_part(text, place) -> None:
    assert parse_fault(STEPS, text).place == place


@pytest.mark.parametrize(
    ("text", "told"),
    [
        pytest.param("W4", "PLACE:KIND", id="no kind"),
        pytest.param("left_moter:open", "did you mean 'left_motor", id="place misspelt"),
        pytest.param("W4:opne", "did you mean 'open'", id="kind misspelt"),
        pytest.param("W4:high_resistance:-3", "0.3 to 1000", id="severity below"),
        pytest.param("W4:high_resistance:much", "0.3 to 1000", id="severity no number"),
        pytest.param("W4:high_resistance:nan", "0.3 to 1000", id="severity not a number"),
        pytest.param("F1:blown:3", "takes no severity", id="severity too many"),
        pytest.param("rocker:contact_open", "rocker.lamps, rocker.deploy", id="two sites fit"),
        pytest.param("F1:seized", "cannot have", id="kind of another part"),
    ],
)
def test_a_fault_that_cannot_be_is_refused_in_a_sentence(text, told) -> None:
    with pytest.raises(CircuitError, match=told) as caught:
        parse_fault(STEPS, text)
    assert len(caught.value.problems) == 1


def test_a_fault_cannot_be_put_in_twice() -> None:
    with pytest.raises(CircuitError, match="named twice"):
        with_faults(Vehicle(STEPS), [Fault("W4", "open"), Fault("W4", "open")])


def test_a_fault_is_described_in_trade_words_with_its_severity() -> None:
    words = describe(STEPS, Fault("W4", "high_resistance", 2.5))
    assert words == "Wire W4 (BU), F1 to C1.2: high resistance (2.5 Ω)"


def test_the_right_repair_at_the_right_place_cures() -> None:
    assert cures(Fault("W4", "open"), "W4", "renew_wire")
    assert cures(Fault("W14+W15", "touching"), "W14+W15", "separate_wires")
    assert cures(
        Fault("left_motor.winding", "shorted_turns", 0.75), "left_motor.brushes", "replace_part"
    )


@pytest.mark.parametrize(
    ("place", "repair"),
    [("W5", "renew_wire"), ("W4", "none"), ("C1.2", "renew_terminal"), ("F1", "replace_fuse")],
)
def test_another_repair_or_place_does_not_cure(place, repair) -> None:
    assert not cures(Fault("W4", "open"), place, repair)


def test_a_neighbouring_cavity_is_another_place() -> None:
    assert not cures(Fault("C1.4", "corroded", 5.0), "C1.5", "clean_terminal")


@pytest.mark.parametrize("name", circuit_names())
def test_every_fault_that_a_place_lists_can_be_repaired_there(name) -> None:
    for place in fault_places(library_circuit(name)):
        for kind in place.kinds:
            fault = Fault(place.name, kind, KINDS[kind].usual)
            offered = repair_names(place.kinds, place.sort)
            assert any(cures(fault, place.name, repair) for repair in offered), fault


def test_a_wire_is_not_offered_what_only_a_ground_point_needs() -> None:
    wire = next(place for place in fault_places(STEPS) if place.name == "W4")
    assert repair_names(wire.kinds, wire.sort) == ("renew_wire",)

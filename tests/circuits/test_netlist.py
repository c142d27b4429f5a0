"""The deck's text; what a simulator makes of it is in tests/outside."""

import pytest

from circuits.files import library_circuit
from circuits.laws import Armature, Filament, Junction, Ohmic
from circuits.model import Fault, Vehicle
from circuits.netlist import conducting, deck, islands, netlist
from circuits.settings import setting_from
from circuits.spec import BODY, Element

BELL = library_circuit("call_bell")


def lines_of(*elements):
    return [line for line in deck("t", elements).splitlines() if not line.startswith("*")]


def test_the_body_is_node_0_and_every_other_node_is_named_in_a_comment():
    text = netlist(Vehicle(BELL))
    names = [line.split()[1:] for line in text.splitlines() if line.startswith("*   ")]
    assert names[0] == ["0", "BODY"]
    assert ["n1", "BAT.pos"] in names
    assert len({number for number, _ in names}) == len(names)


def test_a_battery_is_a_resistance_and_a_source_in_series():
    lines = lines_of(Element("BAT", "BAT.pos", BODY, Ohmic(0.01, 12.65)))
    assert "Re1 n1 e1i 0.01" in lines
    assert "Ve1 e1i 0 DC 12.65" in lines


@pytest.mark.parametrize(
    ("law", "starts"),
    [
        pytest.param(Ohmic(2.0), ["Re1"], id="resistance"),
        pytest.param(Filament(27.6, 13.5), ["Be1"], id="filament"),
        pytest.param(Junction(), ["De1", ".model", "Re1"], id="diode-and-its-leak"),
        pytest.param(
            Armature(6.0, 0.06, 0.03, 1e-5), ["Re1", "Ve1", "Be1"], id="winding-sense-back-emf"
        ),
        pytest.param(Armature(6.0, 0.06, 0.03, 1e-5, stalled=True), ["Re1"], id="held-shaft"),
    ],
)
def test_each_law_is_written_in_its_own_devices(law, starts):
    lines = lines_of(Element("x", "a", BODY, law))
    found = [line.split()[0] for line in lines[1 : lines.index(".control")] if "pin" not in line]
    assert found == starts


def test_an_open_contact_is_no_device():
    assert conducting([Element("x", "a", "b", Ohmic(float("inf")))]) == ()


def test_only_an_island_without_the_body_is_pinned_and_once():
    lines = lines_of(
        Element("x", "a", BODY, Ohmic(1.0)),
        Element("y", "b", "c", Ohmic(1.0)),
        Element("z", "c", "d", Ohmic(1.0)),
    )
    assert [line for line in lines if line.startswith("Rpin")] == ["Rpin2 n2 0 1.0"]


def test_islands_keep_nodes_that_elements_join_together():
    elements = [Element("x", "a", "b", Ohmic(1.0)), Element("y", "c", "d", Ohmic(1.0))]
    assert islands(elements, "abcde") == (("a", "b"), ("c", "d"), ("e",))


def test_the_deck_holds_the_state_the_relay_came_to_rest_in():
    released = netlist(Vehicle(BELL))
    pressed = netlist(Vehicle(BELL, setting=setting_from(BELL, positions={"push": "pressed"})))
    assert "* relay.contact: relay.30 to relay.87" in pressed
    assert "* relay.contact" not in released


def test_a_fuse_that_its_fault_blew_is_missing_from_the_deck():
    shorted = (Fault("W2", "chafed", 0.0),)
    assert "* F1:" in netlist(Vehicle(BELL))
    assert "* F1:" not in netlist(Vehicle(BELL, faults=shorted))


def test_no_number_is_written_in_a_way_the_simulator_cannot_read():
    assert "np." not in netlist(Vehicle(library_circuit("side_steps")))

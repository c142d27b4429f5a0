"""Isolating the battery lifts the cable's end off the negative post, and nothing else."""

from dataclasses import replace

import pytest

from circuits.files import circuit_names, library_circuit
from circuits.laws import wire_ohm
from circuits.methods import LEAD_OHM
from circuits.model import CircuitError, Setting, Vehicle, Wire
from circuits.network import Network
from circuits.points import exposed_points, find_point
from circuits.settings import setting_from
from tests.circuits.benches import shows, vehicle

END = "BAT.neg@cable"
OFF = Setting(isolated=True)


@pytest.mark.parametrize("name", circuit_names())
def test_the_end_of_the_cable_can_be_touched_only_while_it_is_off_its_post(name: str) -> None:
    circuit = library_circuit(name)
    touched = {point.name for point in exposed_points(circuit, OFF)}
    assert touched - {point.name for point in exposed_points(circuit, Setting())} == {END}
    with pytest.raises(CircuitError, match=r"BAT\.neg@cable: .*accepted: BAT\.neg, or isolate"):
        find_point(circuit, Setting(), END)


@pytest.mark.parametrize("name", circuit_names())
def test_a_cable_off_its_post_still_joins_the_body(name: str) -> None:
    """Copper's resistivity, IEC 60028 (from memory), by length over area, at 20 degrees C."""
    sound = vehicle(name, isolated=True)
    (cable,) = (wire for wire in sound.circuit.wires if "BAT.neg" in (wire.start, wire.end))
    copper = wire_ohm(area_mm2=cable.area_mm2, length_m=cable.length_m, celsius=20.0)
    ohm = shows(sound, "ohms", END, "BODY").exact
    assert ohm is not None
    assert copper <= ohm - LEAD_OHM <= copper + 0.0021  # and a clean ground point
    assert shows(sound, "ohms", "BAT.neg", END).display == "OL"


@pytest.mark.parametrize(
    ("name", "fault", "low", "high"),
    [
        pytest.param("call_bell", "W9:high_resistance:20", 20.0, 20.1, id="bad crimp"),
        pytest.param("side_steps", "W24:high_resistance:5", 5.0, 5.1, id="green strands"),
        pytest.param("cranking", "W2:poor_joint:0.3", 0.3, 0.31, id="joint of the cable"),
        pytest.param("cranking", "G1:poor_joint:0.3", 0.3, 0.31, id="joint at the body"),
    ],
)
def test_ohms_from_its_end_to_the_body_read_the_cable_and_its_joint(
    name: str, fault: str, low: float, high: float
) -> None:
    ohm = shows(vehicle(name, fault, isolated=True), "ohms", END, "BODY", zeroed=True).exact
    assert ohm is not None
    assert low <= ohm <= high


def test_an_open_cable_reads_beyond_range() -> None:
    assert shows(vehicle("call_bell", "W9:open", isolated=True), "ohms", END, "BODY").value is None


def test_a_cable_rubbed_through_to_the_feed_is_found_with_the_battery_off() -> None:
    """The battery's own resistance is no path: its negative post hangs free."""
    rubbed = vehicle("call_bell", "W9:shorted_to_feed:3", isolated=True)
    ohm = shows(rubbed, "ohms", "BAT.pos", "BODY", zeroed=True).exact
    assert ohm == pytest.approx(3.0, abs=0.02)


def test_a_jumper_from_the_post_to_the_cable_puts_the_battery_back() -> None:
    off = vehicle("call_bell", isolated=True)
    bridged = vehicle("call_bell", isolated=True, jumpers=[("BAT.neg", END)])
    assert shows(off, "volts", "BAT.pos", "BODY").exact == pytest.approx(0, abs=1e-6)
    on = shows(vehicle("call_bell"), "volts", "BAT.pos", "BODY").exact
    assert shows(bridged, "volts", "BAT.pos", "BODY").exact == pytest.approx(on, abs=0.001)


def test_a_jumper_round_a_lifted_cable_lets_the_relay_pull_in_and_stay() -> None:
    """The press came before the release, as it does with the battery on."""
    lead = [("BAT.neg", END)]
    leak = "push.contact:leaking:170"
    put = {"positions": {"push": "released"}}
    held = vehicle("call_bell", leak, **put)
    bridged = vehicle("call_bell", leak, isolated=True, jumpers=lead, **put)
    low = shows(held, "volts", "relay.85", "BODY").exact
    assert low == pytest.approx(shows(bridged, "volts", "relay.85", "BODY").exact, abs=0.1)


def test_all_cables_of_one_post_come_off_together() -> None:
    one = library_circuit("charging")
    strap = Wire("W99", "BODY", "BAT.neg", area_mm2=16, length_m=0.5, colour="BK")
    circuit = replace(one, wires=(*one.wires, strap), digest="two cables at the post")
    put = setting_from(circuit, isolated=True)
    elements = Network(Vehicle(circuit, (), put)).elements({})
    at_post = [e.name for e in elements if "BAT.neg" in (e.a, e.b)]
    assert at_post == ["BAT"]
    assert {e.name for e in elements if END in (e.a, e.b)} >= {"W99"}
    assert sum(END in (e.a, e.b) for e in elements) == 2

"""An instrument loads the circuit like any part, and shows what its display can."""

import pytest

from circuits.instruments import Measurement, read, read_many
from circuits.model import CircuitError, Jumper
from circuits.ports import Ports
from tests.circuits.benches import DEPLOY, STEPS, WINDING, shows, steps


def test_an_open_feed_reads_a_ghost_of_a_voltage_at_most() -> None:
    assert abs(shows(steps("W4:open"), "volts", "C1.2", "BODY").value or 0.0) < 0.05


def test_a_spare_cavity_reads_nothing() -> None:
    assert shows(steps(), "volts", "C1.6", "BODY").display == "0.0m"


def test_a_high_resistance_feed_reads_full_voltage_until_it_is_loaded() -> None:
    unloaded = shows(steps("W4:high_resistance:30"), "volts", "C1.2", "BODY")
    loaded = shows(steps("W4:high_resistance:30", **DEPLOY), "volts", "C1.2", "BODY")
    assert unloaded.value is not None
    assert loaded.value is not None
    assert unloaded.value > 12.5
    assert loaded.value < 9.0


def test_a_test_lamp_finds_the_resistance_that_the_voltmeter_does_not() -> None:
    sound = shows(steps(), "lamp", "C1.2", "BODY")
    bad = shows(steps("W4:high_resistance:30"), "lamp", "C1.2", "BODY")
    assert (sound.display, bad.display) == ("bright", "glows")


def test_zeroing_takes_the_leads_off_the_ohms() -> None:
    leads = ("C2.1@harness", "C2.2@harness")
    plain = shows(steps(**WINDING), "ohms", *leads)
    zeroed = shows(steps(**WINDING), "ohms", *leads, zeroed=True)
    assert plain.value is not None
    assert zeroed.value is not None
    assert plain.value - zeroed.value == pytest.approx(0.2, abs=0.11)


def test_ohms_on_a_live_circuit_warn_and_mislead() -> None:
    live = shows(steps(), "ohms", "BAT.pos", "BODY")
    assert "ohms_live" in live.caution_names
    assert live.display == "OL"


def test_ohms_with_the_battery_connected_but_nothing_live_ask_for_isolation() -> None:
    reading = shows(steps(unmated=["C2"]), "ohms", "C2.1@harness", "C2.2@harness")
    assert reading.caution_names == ("isolate_first",)


def test_continuity_sounds_through_twenty_ohms_of_corrosion() -> None:
    # common practice, no source: meters sound below some tens of ohms
    vehicle = steps("W14:high_resistance:20", unmated=["C2", "IL"], isolated=True)
    reading = shows(vehicle, "continuity", "C2.1@harness", "IL.1@harness")
    assert reading.beep
    assert reading.value == pytest.approx(20.2, abs=0.2)


def test_continuity_is_silent_on_an_open_wire() -> None:
    vehicle = steps("W14:open", unmated=["C2", "IL"], isolated=True)
    reading = shows(vehicle, "continuity", "C2.1@harness", "IL.1@harness")
    assert not reading.beep
    assert reading.display == "OL"


def test_amps_across_the_battery_blow_the_meters_fuse() -> None:
    reading = shows(steps(), "amps", "BAT.pos", "BAT.neg")
    assert reading.meter_fuse_blew
    assert reading.display == "0.000"
    assert "amps_across_supply" in reading.caution_names


def test_amps_in_line_with_a_pulled_fuse_read_what_the_clamp_reads() -> None:
    in_line = shows(steps(pulled=["F1"], **DEPLOY), "amps", "F1.in", "F1.out")
    clamp = shows(steps(**DEPLOY), "clamp", "W4")
    assert in_line.value == pytest.approx(clamp.value, abs=0.02)


def test_hold_keeps_the_inrush_of_a_motor() -> None:
    held = shows(steps(**DEPLOY), "clamp", "W14", hold=True)
    running = shows(steps(**DEPLOY), "clamp", "W14")
    assert held.swing is not None
    assert running.value is not None
    assert held.swing[1] > 3 * running.value


def test_a_chattering_vehicle_makes_the_display_swing() -> None:
    reading = shows(steps("G1:corroded:10", **DEPLOY), "volts", "C1.5", "BODY")
    assert reading.swing is not None
    assert "…" in reading.display


def test_a_jumpered_motor_at_its_stop_heats_and_warns() -> None:
    leads = [("F1.out", "C2.1@harness"), ("BODY", "C2.2@harness")]
    held = steps(unmated=["C2"], jumpers=leads, moment="at_rest")
    assert "held_at_stop" in shows(held, "clamp", "W14").caution_names
    pulsed = steps(unmated=["C2"], jumpers=leads, moment="moving")
    assert "held_at_stop" not in shows(pulsed, "clamp", "W14").caution_names


def test_reversed_jumpers_reverse_the_current_in_the_motor() -> None:
    ways = [("C2.1@harness", "C2.2@harness"), ("C2.2@harness", "C2.1@harness")]
    values = [
        shows(
            steps(unmated=["C2"], jumpers=[("F1.out", a), ("BODY", b)], moment="moving"),
            "clamp",
            "W14",
        ).value
        for a, b in ways
    ]
    assert values[0] == -(values[1] or 0.0) != 0.0


def test_a_jumper_across_a_short_blows_its_own_fuse_only() -> None:
    vehicle = steps(jumpers=[("F1.out", "G1")])
    reading = shows(vehicle, "volts", "F1.out", "BODY")
    assert "jumper_blew" in reading.caution_names
    assert reading.value == pytest.approx(12.6, abs=0.1)


@pytest.mark.parametrize(
    ("leads", "told"),
    [
        pytest.param(("C1.4", "C1.4"), "two different points", id="both leads on one point"),
        pytest.param(("C1.9", "BODY"), "has none such", id="no such point"),
        pytest.param(("C1.4@unit", "BODY"), "mated and hides its faces", id="hidden face"),
    ],
)
def test_leads_that_cannot_be_so_are_refused_in_a_sentence(leads, told) -> None:
    with pytest.raises(CircuitError, match=told):
        shows(steps(), "volts", *leads)


def test_a_mated_point_is_refused_while_its_connector_is_apart() -> None:
    with pytest.raises(CircuitError, match="C1 is unmated"):
        shows(steps(unmated=["C1"]), "volts", "C1.4", "BODY")


def test_a_clamp_round_no_wire_is_refused_with_the_nearest() -> None:
    with pytest.raises(CircuitError, match="did you mean 'W14'"):
        read(steps(), Measurement("clamp", wire="W114"))


def test_a_jumper_with_both_ends_on_one_node_is_refused() -> None:
    vehicle = steps()
    bad = vehicle.with_setting(type(vehicle.setting)(jumpers=(Jumper("BAT.pos", "BAT.pos"),)))
    with pytest.raises(CircuitError, match="two different points"):
        shows(bad, "volts", "C1.4", "BODY")


def test_many_vehicles_read_as_each_one_does() -> None:
    vehicles = [steps(f"W14:chafed:{ohm}", **WINDING) for ohm in (10, 1000, 100000)]
    what = Measurement("ohms", "C2.1@harness", "BODY")
    assert read_many(vehicles, what) == [read(vehicle, what) for vehicle in vehicles]


def test_one_inverse_reads_every_pair_as_the_meter_in_place_does() -> None:
    vehicle = steps(**DEPLOY)
    ports = Ports(vehicle)
    for red in ("C1.2", "C2.1", "F3.out", "G1"):
        exact = read(vehicle, Measurement("volts", red, "BODY")).exact
        node = STEPS.node(red)
        assert ports.volt(node, "BODY", load_ohm=1e7) == pytest.approx(exact, abs=1e-3)


def test_one_inverse_finds_no_path_between_islands() -> None:
    ports = Ports(steps(isolated=True, pulled=["F1", "F2", "F3"]))
    assert ports.ohm("BAT.pos", "BODY") == float("inf")
    assert ports.volt("BAT.pos", "BODY") == 0.0

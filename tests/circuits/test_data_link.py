"""The data link at DC: volts of the wires, ohms between them, and who still hears."""

import pytest

from circuits.operate import solve, solve_many
from circuits.parts.datalink import BusNode
from tests.circuits.benches import doing, every_vehicle, shows, vehicle

HIGH, LOW = "socket.high", "socket.low"


def link(*faults: str, **setting: object):
    """Return the vehicle with the key on."""
    return vehicle("data_link", *faults, **setting)


def volts(what) -> tuple[float, float]:
    """Return the volts of both wires at the socket, against its ground."""
    high, low = (shows(what, "volts", wire, "socket.ground").value or 0.0 for wire in (HIGH, LOW))
    return high, low


def ohms(*faults: str, leads: tuple[str, str] = (HIGH, LOW), **setting: object):
    """Return the ohms between the wires with the battery isolated, leads zeroed."""
    return shows(link(*faults, isolated=True, **setting), "ohms", *leads, zeroed=True).value


def listeners(what) -> tuple[str, str]:
    return doing(what, "display"), doing(what, "ramp_unit")


def test_both_wires_stand_near_2_5_volts_and_mirror_each_other() -> None:
    """Idle volts of both wires: a transceiver's data sheet; a meter shows the mean."""
    high, low = volts(link())
    assert 2.5 < high < 2.7
    assert 2.3 < low < 2.5
    assert high + low == pytest.approx(5.0, abs=0.02)


def test_with_the_key_off_the_wires_sink_to_nothing() -> None:
    what = link(positions={"key": "off"})
    assert volts(what) == pytest.approx((0, 0), abs=0.01)
    assert listeners(what) == ("dark", "dark")


def test_two_terminations_of_120_ohms_read_60() -> None:
    """ISO 11898-2, as a chip maker's tutorial has it: 120 ohms at each end."""
    assert ohms() == pytest.approx(60, abs=0.5)


@pytest.mark.parametrize("fault", ["engine_unit.termination:open", "display.termination:open"])
def test_one_termination_lost_reads_120_and_all_still_hear(fault) -> None:
    """Resistors in parallel; that short links go on working is common practice, no source."""
    assert ohms(fault) == pytest.approx(120, abs=1.5)
    assert listeners(link(fault)) == ("hears", "hears")


def test_a_third_termination_reads_40() -> None:
    """Three times 120 ohms in parallel."""
    assert ohms("ramp_unit:extra_termination:120") == pytest.approx(40, abs=0.5)


def test_wires_that_touch_read_nearly_nothing_and_stop_everything() -> None:
    fault = "W14+W15:touching:0"
    assert (ohms(fault) or 0) < 0.5
    high, low = volts(link(fault))
    assert high == pytest.approx(low, abs=0.01)
    assert high == pytest.approx(2.5, abs=0.05)
    assert listeners(link(fault)) == ("misses", "misses")


@pytest.mark.parametrize("wire", ["W12", "W13", "W18", "W19"])
def test_a_wire_on_a_feed_pulls_both_up_to_battery_voltage(wire) -> None:
    """60 ohms between them and only thousands to 2.5 V."""
    fault = f"{wire}:shorted_to_feed:0"
    assert min(volts(link(fault))) > 11
    assert listeners(link(fault)) == ("misses", "misses")


def test_high_on_the_body_stops_the_link_and_pulls_low_down_with_it() -> None:
    high, low = volts(link("W12:chafed:0"))
    assert high == pytest.approx(0, abs=0.02)
    assert low < 0.3
    assert listeners(link("W12:chafed:0")) == ("misses", "misses")


def test_low_on_the_body_may_leave_the_link_working() -> None:
    """Common practice, no source: the difference between the wires is still there."""
    high, low = volts(link("W13:chafed:0"))
    assert low == pytest.approx(0, abs=0.02)
    assert high > 0.2
    assert listeners(link("W13:chafed:0")) == ("hears", "hears")


@pytest.mark.parametrize("fault", ["W14:open", "W15:open", "IB.1:backed_out", "SH:open"])
def test_one_wire_open_in_the_trunk_cuts_the_engine_unit_off(fault) -> None:
    assert ohms(fault) == pytest.approx(120, abs=1.5)
    assert listeners(link(fault)) == ("misses", "misses")


def test_one_wire_open_at_the_display_leaves_the_ramp_unit_hearing() -> None:
    assert listeners(link("W16:open")) == ("misses", "hears")


def test_a_branch_wire_open_leaves_60_ohms_and_only_its_own_unit_deaf() -> None:
    assert ohms("W18:open") == pytest.approx(60, abs=0.5)
    assert listeners(link("W18:open")) == ("hears", "misses")


def test_unplugging_the_bulkhead_leaves_each_half_its_own_120_ohms() -> None:
    engine = ("IB.1@engine", "IB.2@engine")
    assert ohms(unmated=["IB"]) == pytest.approx(120, abs=1.5)
    assert ohms(leads=engine, unmated=["IB"]) == pytest.approx(120, abs=1.5)


def test_a_short_in_the_engine_bay_half_is_told_from_one_in_the_cabin() -> None:
    fault, engine = "W12+W13:touching:0", ("IB.1@engine", "IB.2@engine")
    assert ohms(fault, unmated=["IB"]) == pytest.approx(120, abs=1.5)
    assert (ohms(fault, leads=engine, unmated=["IB"]) or 0) < 0.5


def test_a_unit_that_shorts_the_wires_inside_is_found_by_unplugging_it() -> None:
    fault = "ramp_unit.link:shorted:0"
    assert (ohms(fault) or 0) < 1.0
    assert ohms(fault, unmated=["CR"]) == pytest.approx(60, abs=0.5)


@pytest.mark.parametrize("fault", ["engine_unit:dead", "F2:blown", "W7:open", "CE.1:backed_out"])
def test_a_talker_without_supply_leaves_the_wires_near_2_5_volts_and_nobody_hears(fault) -> None:
    assert ohms(fault) == pytest.approx(60, abs=0.5)
    assert listeners(link(fault)) == ("misses", "misses")


def test_a_dead_talker_leaves_the_wires_where_the_others_hold_them() -> None:
    assert volts(link("engine_unit:dead")) == pytest.approx((2.45, 2.45), abs=0.06)


def test_swapped_link_cavities_make_a_unit_deaf_at_60_ohms_and_right_volts() -> None:
    fault = "CD.3+CD.4:swapped"
    assert ohms(fault) == pytest.approx(60, abs=0.5)
    assert listeners(link(fault)) == ("misses", "hears")


def test_ohms_on_a_live_link_are_nonsense_and_carry_a_caution() -> None:
    reading = shows(link(), "ohms", HIGH, LOW)
    assert "ohms_live" in reading.caution_names
    assert reading.value is None or abs(reading.value - 60) > 20


def test_a_display_without_its_feed_is_dark() -> None:
    assert doing(link("F3:blown"), "display") == "dark"


def test_a_poor_ground_lifts_the_unit_s_own_idle_volts() -> None:
    sound, bad = (volts(link(*f))[0] for f in ((), ("G1:corroded:10",)))
    assert bad > sound + 1
    assert "engine_unit" in solve(link("G1:corroded:10")).memory


def test_a_node_that_sleeps_above_its_waking_volts_is_refused() -> None:
    with pytest.raises(ValueError, match="accepted: below wake_volt"):
        BusNode(sleep_volt=8.0)


def test_every_fault_at_every_severity_settles_or_chatters_in_every_setting() -> None:
    states = solve_many(every_vehicle("data_link", moments=("at_rest",)))
    nodes = {"engine_unit", "display", "ramp_unit"}
    assert {part for state in states for part in state.chatter} <= nodes

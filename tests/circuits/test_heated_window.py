"""The heated window: bars, lines, the jump at a break, and what a lost ground looks like."""

from itertools import pairwise

import pytest

from circuits.operate import solve, solve_many
from circuits.parts.window import HeaterGrid
from tests.circuits.benches import doing, every_vehicle, shows, vehicle

ON = {"positions": {"window_switch": "on"}}


def heating(*faults: str, **setting: object):
    """Return the vehicle with the window switched on."""
    return vehicle("heated_window", *faults, **{**ON, **setting})


def volts(what, *leads: str) -> float:
    return shows(what, "volts", *leads).value or 0.0


def along(what, line: int = 3) -> list[float]:
    """Return the volts against the body along a line, from bar to bar."""
    points = [f"grid.line{line}_{n}" for n in range(1, 6)]
    return [volts(what, point, "BODY") for point in ("grid.feed_bus", *points, "grid.ground_bus")]


def test_the_window_clears_only_with_key_and_switch_on() -> None:
    assert doing(heating(), "grid") == "clears"
    assert doing(heating(positions={"window_switch": "on", "key": "off"}), "grid") == "misted"
    assert doing(vehicle("heated_window"), "grid") == "misted"


def test_along_a_sound_line_the_voltage_falls_in_equal_steps() -> None:
    """Ohm's law along a uniform conductor."""
    found = along(heating())
    steps = [a - b for a, b in pairwise(found)]
    assert steps == pytest.approx([steps[0]] * 6, abs=0.015)
    assert found[3] == pytest.approx((found[0] + found[-1]) / 2, abs=0.02)


@pytest.mark.parametrize("piece", range(1, 7))
def test_the_voltage_along_a_broken_line_jumps_at_the_break(piece) -> None:
    """Common practice, no source: full voltage up to the break, none behind it."""
    found = along(heating(f"grid.line3_{piece}:line_broken"))
    assert found[:piece] == pytest.approx([found[0]] * piece, abs=0.01)
    assert found[piece:] == pytest.approx([found[-1]] * (7 - piece), abs=0.01)
    assert found[piece - 1] - found[piece] > 11


def test_a_broken_line_leaves_the_others_as_they_were() -> None:
    bad = heating("grid.line3_2:line_broken")
    assert along(bad, 7) == pytest.approx(along(heating(), 7), abs=0.1)
    assert doing(bad, "grid") == "misted_3"


def test_each_line_that_breaks_takes_its_ampere_away() -> None:
    sound, bad = (
        shows(what, "clamp", "W4").value for what in (heating(), heating("grid.line5:line_broken"))
    )
    assert (bad or 0) / (sound or 1) == pytest.approx(0.9, abs=0.01)


def test_a_line_that_cannot_be_probed_shows_by_its_mist() -> None:
    assert doing(heating("grid.line9:line_broken"), "grid") == "misted_9"


@pytest.mark.parametrize("fault", ["grid.ground:open", "CG.1:backed_out", "W7:open", "G2:open"])
def test_a_lost_ground_puts_battery_voltage_on_both_bars(fault) -> None:
    """Common practice, no source."""
    bad = heating(fault)
    assert doing(bad, "grid") == "misted"
    assert volts(bad, "grid.ground_bus", "BODY") > 12
    assert volts(bad, "grid.feed_bus", "grid.ground_bus") == pytest.approx(0, abs=0.01)


@pytest.mark.parametrize(
    "fault", ["F1:blown", "W4:open", "relay.contact:contact_open", "grid.feed:open"]
)
def test_a_break_in_the_feed_leaves_the_tell_tale_lit_and_the_glass_cold(fault) -> None:
    bad = heating(fault)
    assert doing(bad, "tell_tale") == "bright"
    assert doing(bad, "grid") == "misted"


def test_a_corroded_tab_drops_volts_that_the_glass_lacks() -> None:
    bad = heating("grid.feed:corroded:0.6")
    assert volts(bad, "CF.1", "grid.feed_bus") > 3
    assert doing(bad, "grid") == "misted"


@pytest.mark.parametrize(
    ("leads", "limit"),
    [
        pytest.param(("BAT.pos", "F1.in"), 0.2, id="battery wire"),
        pytest.param(("F1.out", "relay.30"), 0.2, id="fuse to relay"),
        pytest.param(("relay.30", "relay.87"), 0.3, id="relay"),
        pytest.param(("relay.87", "IH.1@body"), 0.2, id="roof loom"),
        pytest.param(("IH.1@door", "CF.1"), 0.2, id="door wire"),
        pytest.param(("CF.1", "grid.feed_bus"), 0.1, id="feed tab"),
        pytest.param(("IH.2@body", "BODY"), 0.1, id="rear ground"),
    ],
)
def test_a_sound_vehicle_loses_no_more_than_is_commonly_allowed(leads, limit) -> None:
    """Limits: SAE advice as workshop manuals quote it; an encyclopaedia article."""
    assert 0 <= volts(heating(), *leads) < limit


def test_ten_lines_in_parallel_read_a_tenth_of_one() -> None:
    unplugged = vehicle("heated_window", isolated=True, unmated=["CF", "CG"])
    reading = shows(unplugged, "ohms", "grid.feed_bus", "grid.ground_bus", zeroed=True)
    assert reading.value == pytest.approx(11.5 / 10, abs=0.06)


def test_a_chafed_door_wire_blows_its_fuse_only_while_the_window_is_on() -> None:
    assert solve(heating("W5:chafed:0")).memory["F1"] == {"blown"}
    never = vehicle("heated_window", "W5:chafed:0", positions={"key": "off"})
    assert "F1" not in solve(never).memory


def test_a_grid_that_probes_a_line_it_lacks_is_refused() -> None:
    with pytest.raises(ValueError, match="probed names line 11; accepted: 1 to 10"):
        HeaterGrid(lines=10, line_ohm=11.5, probed=(3, 11))


def test_every_fault_at_every_severity_settles_or_chatters_in_every_setting() -> None:
    states = solve_many(every_vehicle("heated_window", moments=("at_rest",)))
    assert {state.chatter for state in states} <= {(), ("relay",)}

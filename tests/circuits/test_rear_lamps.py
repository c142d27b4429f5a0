"""Rear lamps: one ground for three filaments, and what its loss lights up."""

import pytest

from circuits import symbols
from circuits.consequences import blown_fuses
from circuits.drawing import draw
from circuits.files import library_circuit
from circuits.operate import solve
from circuits.parts.lamps import ClusterLamp, LampCluster
from tests.circuits.benches import shows
from tests.circuits.workouts import (
    codes,
    drops_too_great,
    solve_everything,
    state_of,
    vehicle,
    volts,
)

NAME = "rear_lamps"
LIGHTS, BRAKE, LEFT = {"lights": "on"}, {"brake": "pressed"}, {"stalk": "left"}
ALL = {**LIGHTS, **BRAKE, **LEFT}


def lamp(name: str, side: str, *faults: str, positions: dict[str, str]) -> str:
    """Return how bright one lamp of one cluster is."""
    return dict(
        pair.split(":") for pair in codes(NAME, *faults, positions=positions)[side].split()
    )[name]


@pytest.mark.parametrize(
    ("positions", "left", "right", "plate", "flasher"),
    [
        ({}, "dark dark dark", "dark dark dark", "dark", "silent"),
        (LIGHTS, "bright dark dark", "bright dark dark", "bright", "silent"),
        (BRAKE, "dark bright dark", "dark bright dark", "dark", "silent"),
        (LEFT, "dark dark bright", "dark dark dark", "dark", "clicks"),
        ({"stalk": "right"}, "dark dark dark", "dark dark bright", "dark", "clicks"),
        (ALL, "bright bright bright", "bright bright dark", "bright", "clicks"),
    ],
    ids=["off", "lights", "brake", "left", "right", "all"],
)
def test_only_the_lamps_that_are_switched_on_light_up(
    positions, left, right, plate, flasher
) -> None:
    found = codes(NAME, positions=positions)
    names = ("tail", "brake", "indicator")
    for side, lights in (("left", left), ("right", right)):
        assert found[side] == " ".join(
            f"{n}:{x}" for n, x in zip(names, lights.split(), strict=True)
        )
    assert (found["plate"], found["flasher"]) == (plate, flasher)


def test_a_brake_lamp_of_21_watts_draws_the_rated_current_less_what_the_volts_lack() -> None:
    """i ~ v**0.55 near the rated volts (Fink and Beaty 1978, as quoted by an encyclopaedia)."""
    state = state_of(NAME, positions=BRAKE)
    volt = volts(state, NAME, "LC.2", "LC.4")
    assert state.ampere["W13"] == pytest.approx(21 / 12 * (volt / 12) ** 0.55, rel=0.01)


def test_voltage_drops_of_the_healthy_circuit_are_small() -> None:
    assert drops_too_great(NAME, positions=ALL) == []


@pytest.mark.parametrize("ground", ["G1:open", "LC.4:backed_out", "W17:open"])
def test_a_lost_cluster_ground_makes_the_tail_lamp_glow_when_the_brake_is_pressed(ground) -> None:
    """Current goes back through the neighbour's filament (common practice, no source)."""
    assert lamp("brake", "left", ground, positions=BRAKE) == "dark"
    assert lamp("tail", "left", ground, positions=BRAKE) == "dim"
    assert lamp("tail", "right", ground, positions=BRAKE) == "glow"
    assert lamp("brake", "right", ground, positions=BRAKE) == "bright"


def test_back_fed_current_runs_the_wrong_way_along_the_tail_feed() -> None:
    sound, fed = (state_of(NAME, *f, positions=BRAKE) for f in ((), ("G1:open",)))
    assert abs(sound.ampere["W10"]) < 0.005
    assert fed.ampere["W10"] < -0.2
    assert fed.ampere["W11"] > 0.08


def test_a_ground_lost_inside_the_cluster_leaves_the_connector_at_the_body() -> None:
    lost = vehicle(NAME, "left.ground:inner_ground_lost", positions=BRAKE)
    assert shows(lost, "volts", "LC.4", "BODY").value == pytest.approx(0.0, abs=0.01)
    assert lamp("tail", "left", "left.ground:inner_ground_lost", positions=BRAKE) == "dim"


def test_a_poor_cluster_ground_shows_as_a_drop_only_under_load() -> None:
    dark, lit = (vehicle(NAME, "G1:corroded:0.6", positions=p) for p in ({}, ALL))
    assert shows(dark, "volts", "LC.4", "BODY").value == pytest.approx(0.0, abs=0.001)
    # At least twice what practice allows a ground, 0.1 V.
    assert (shows(lit, "volts", "LC.4", "BODY").value or 0) > 0.2


def test_a_flasher_beats_fast_on_a_small_lamp_and_not_at_all_on_a_lost_one() -> None:
    """Common practice, no source."""
    at = {"positions": LEFT}
    assert codes(NAME, "left.indicator:wrong_lamp:10", **at)["flasher"] == "fast"
    assert codes(NAME, "left.indicator:open", **at)["flasher"] == "silent"
    assert codes(NAME, "flasher:contact_open", **at)["flasher"] == "silent"
    assert codes(NAME, "flasher:stuck_closed", **at)["flasher"] == "steady"


def test_one_dark_lamp_of_a_pair_clears_the_feed_they_share() -> None:
    for fault in ("left.brake:open", "W13:open", "LC.2:backed_out"):
        assert lamp("brake", "left", fault, positions=BRAKE) == "dark"
        assert lamp("brake", "right", fault, positions=BRAKE) == "bright"
    for fault in ("F2:blown", "brake.contact:contact_open", "W7:open"):
        assert lamp("brake", "left", fault, positions=BRAKE) == "dark"
        assert lamp("brake", "right", fault, positions=BRAKE) == "dark"


def test_tail_and_brake_wires_rubbed_together_light_all_with_either_switch() -> None:
    for positions in (LIGHTS, BRAKE):
        for name in ("tail", "brake"):
            assert lamp(name, "right", "W10+W13:touching:0", positions=positions) != "dark"


def test_a_shorted_lamp_blows_its_fuse_when_it_is_switched_on() -> None:
    off = vehicle(NAME, "right.tail:shorted:0.05")
    on = vehicle(NAME, "right.tail:shorted:0.05", positions=LIGHTS)
    assert blown_fuses(off, solve(off)) == frozenset()
    assert blown_fuses(on, solve(on)) == {"F1"}


def test_a_cold_filament_reads_a_tenth_of_its_hot_ohms() -> None:
    """A cold 21 W lamp reads 0.45 to 0.7 ohm (cold over hot from OpenStax, 9.3)."""
    car = vehicle(NAME, unmated=["LC"], isolated=True)
    reading = shows(car, "ohms", "LC.2@unit", "LC.4@unit", zeroed=True)
    assert reading.value == pytest.approx(0.7, abs=0.15)


def test_every_fault_in_every_setting_comes_to_rest() -> None:
    assert solve_everything(NAME) == {}


@pytest.mark.parametrize(("lamps", "told"), [((), "at least one"), (("ground",), "housing")])
def test_a_cluster_that_cannot_be_is_refused(lamps, told) -> None:
    with pytest.raises(ValueError, match=told):
        LampCluster(lamps=tuple(ClusterLamp(name, 5) for name in lamps))


@pytest.mark.parametrize(("direction", "circles"), [("across", 2 * (3 + 2)), ("down", 0)])
def test_a_wide_page_shows_the_lamps_of_each_cluster_and_the_strip_they_share(
    direction, circles, monkeypatch
) -> None:
    """Three lamps and, between the ends of the strip, two dots a cluster."""
    circuit = library_circuit(NAME)
    full = draw(circuit, direction=direction).count("<circle")
    monkeypatch.setattr(symbols, "draw_lamps_inside", lambda *_: None)
    draw.cache_clear()
    assert full - draw(circuit, direction=direction).count("<circle") == circles
    draw.cache_clear()

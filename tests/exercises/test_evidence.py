"""What a display beyond its range, and a meter whose own fuse went, tell of the vehicle."""

from dataclasses import replace

import pytest

from circuits.instruments import Measurement, Reading, read
from circuits.methods import reading_of
from circuits.model import Fault
from circuits.settings import setting_from
from exercises.candidates import Candidates
from exercises.evidence import Evidence, fits, fuse_fits
from exercises.shown import Shown, shown_of
from tests.circuits.benches import BELL, vehicle

LINE = {"pulled": ["F1"], "positions": {"push": "pressed"}}
IN_LINE = Measurement("amps", "F1.in", "F1.out")
CHAFED = Fault("W4", "chafed")


def _clamped(ampere: float) -> Reading:
    return reading_of("clamp", ampere)


def test_a_clamp_shows_on_which_side_it_is_beyond_its_range() -> None:
    """A charged battery into a dead short behind 22 milliohms: over 500 A (Ohm's law)."""
    short = vehicle("cranking", "W1:chafed:0")
    out = read(short, Measurement("clamp", wire="W1"))
    back = read(short, Measurement("clamp", wire="W2"))
    assert (out.value, out.display) == (None, "OL")
    assert (back.value, back.display) == (None, "-OL")
    assert shown_of(back).text == "-OL"


@pytest.mark.parametrize(
    ("found", "low", "high", "allowed"),
    [
        pytest.param(-590, -550, -700, True, id="up to the end of the range"),
        pytest.param(-700, -550, -900, True, id="beyond it"),
        pytest.param(-590, -610, -700, False, id="both beyond it"),
        pytest.param(-700, 650, 900, False, id="the other way round"),
        pytest.param(700, 550, 900, True, id="forward"),
        pytest.param(590, -700, -550, False, id="forward where it runs back"),
    ],
)
def test_beyond_range_has_a_side(found: float, low: float, high: float, allowed: bool) -> None:
    assert fits(shown_of(_clamped(found)), _clamped(low), _clamped(high)) is allowed


def _piece(*faults: str) -> tuple[Evidence, Shown]:
    """Return what an ammeter in place of the fuse shows of a bell with these faults."""
    car = vehicle("call_bell", *faults, **LINE)
    shown = shown_of(read(car, IN_LINE))
    return Evidence(car.setting, IN_LINE, shown), shown


def _left(piece: Evidence, *faults: Fault) -> set[tuple[str, str]]:
    candidates = Candidates(BELL, faults)
    candidates.weigh(piece)
    return {(fault.place, fault.kind) for fault in candidates.left()}


def test_a_meter_that_keeps_its_fuse_rules_a_dead_short_out() -> None:
    piece, shown = _piece()
    assert shown.value is not None
    assert 0.5 < shown.value < 2
    near = Candidates(BELL, (CHAFED,))
    near.weigh(piece)
    ends = [cell.low.severity for cell in near._cells]
    assert min(ends, default=1e9) > 1


def test_a_meter_that_loses_its_fuse_rules_out_whatever_draws_too_little() -> None:
    piece, shown = _piece("W4:chafed:0.1")
    assert "amps_across_supply" in shown.caution_names
    weak = Fault("W4", "high_resistance")
    assert _left(piece, weak) == set()
    assert _left(piece, CHAFED) == {("W4", "chafed")}
    assert ("", "no_fault") not in _left(piece)


def test_an_open_circuit_is_not_a_blown_fuse_though_both_show_nought() -> None:
    piece, shown = _piece("W4:open")
    assert shown.display == "0.000"
    assert ("W4", "open") in _left(piece)
    bad, _ = _piece("W4:chafed:0")
    assert ("W4", "open") not in _left(bad)


@pytest.mark.parametrize("ohm", [0.0, 0.05, 0.3, 0.6, 0.8, 1.0, 1.3, 2.0, 5.0])
def test_the_truth_survives_whether_the_meter_keeps_its_fuse_or_not(ohm: float) -> None:
    piece, _ = _piece(f"W4:chafed:{ohm}")
    assert _left(piece, CHAFED) == {("W4", "chafed")}


def test_held_over_an_operation_the_truth_survives_too() -> None:
    held = replace(IN_LINE, hold=True)
    for faults in ((), ("W4:chafed:0.1",), ("W4:chafed:3",)):
        car = vehicle("call_bell", *faults, **LINE)
        piece = Evidence(car.setting, held, shown_of(read(car, held)))
        assert _left(piece, *(Fault("W4", "chafed") for _ in faults))


def test_what_blew_the_meter_is_told_by_the_amperes_that_did() -> None:
    car = vehicle("call_bell", "W4:chafed:0", **LINE)
    reading = read(car, IN_LINE)
    assert reading.meter_fuse_blew
    assert reading.burst is not None
    assert reading.burst > 13.5
    assert setting_from(BELL, **LINE) == car.setting


def test_where_the_vehicles_fuse_goes_first_the_meters_may_off_nominal() -> None:
    """The meter across the roof vent's lamp, from the battery's negative post: its own fuse and
    F1 are in one loop, and which of them goes first is for their tolerances to say."""
    car = vehicle("roof_vent")
    across = Measurement("amps", "BAT.neg", "switch_lamp.a")
    nominal = read(car, across)
    lost = replace(nominal, caution_names=("amps_across_supply",), loaded=(), burst=20.0)
    assert not nominal.meter_fuse_blew
    assert dict(nominal.loaded)["F1"] == frozenset({"blown"})
    assert fuse_fits(shown_of(lost), nominal, nominal, (0.0, 0.0), flips=False)
    whole = replace(nominal, loaded=())
    assert not fuse_fits(shown_of(lost), whole, whole, (0.0, 0.0), flips=False)

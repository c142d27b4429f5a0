"""What was guessed may be further off than is usual for its kind, and draws go that far."""

from dataclasses import replace
from random import Random

import pytest

from circuits.files import library_circuit
from circuits.instruments import Measurement, read
from circuits.model import Setting, Unsure, Vehicle
from circuits.tolerance import USUAL_SHARE, drawn, spreads

BELL = library_circuit("call_bell")
GUESSED = replace(
    BELL, unsure=(Unsure("W5", 0.4), Unsure("bell", 0.3)), digest=f"{BELL.digest} guessed"
)


def _share(vehicle: Vehicle, name: str) -> float:
    (spread,) = [one for one in spreads(vehicle, {})[name] if one.field == "ohm"]
    return spread.amount / spread.nominal


def test_a_guessed_wire_may_be_as_far_off_as_was_said_and_its_neighbour_as_usual() -> None:
    assert _share(Vehicle(GUESSED), "W5") == pytest.approx(0.4)
    assert _share(Vehicle(GUESSED), "W4") == pytest.approx(USUAL_SHARE)
    assert _share(Vehicle(BELL), "W5") == pytest.approx(USUAL_SHARE)


def test_a_share_below_the_usual_one_makes_nothing_surer() -> None:
    sure = replace(BELL, unsure=(Unsure("W5", 0.0),), digest=f"{BELL.digest} sure")
    assert _share(Vehicle(sure), "W5") == pytest.approx(USUAL_SHARE)


def test_vehicles_drawn_from_a_guess_lie_further_apart() -> None:
    def spread(vehicle: Vehicle) -> float:
        ohms = [_bell_ohm(drawn(vehicle, Random(seed))) for seed in range(40)]
        return max(ohms) - min(ohms)

    assert spread(Vehicle(GUESSED)) > 2 * spread(Vehicle(BELL))


def _bell_ohm(vehicle: Vehicle) -> float:
    apart = vehicle.with_setting(Setting(isolated=True, unmated=frozenset({"C1"})))
    reading = read(apart, Measurement("ohms", "C1.1@unit", "C1.2@unit", zeroed=True))
    assert reading.value is not None
    return reading.value

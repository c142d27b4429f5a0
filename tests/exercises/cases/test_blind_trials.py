"""Vehicles that nobody knows: the right component comes out, and never a wrong certainty.

``python -m tests.exercises.blind_trials`` prints the figures for as many as one likes.
"""

import pytest

from tests.conftest import FULL
from tests.exercises.blind_trials import outcomes
from tests.exercises.planning.tables import table_of
from tests.exercises.plans.circuits import lamp_table


def _check(found, least: int) -> None:
    assert len(found) >= least
    first = [one for one in found if one.rank == 0]
    two = [one for one in found if one.rank in (0, 1)]
    wrong = [one for one in found if one.left and one.rank is None]
    assert not wrong, [(one.blind.fault, one.left) for one in wrong]
    assert len(first) >= 0.95 * len(found), [one.blind.fault for one in found if one.rank != 0]
    assert len(two) >= 0.99 * len(found) - 1  # of so few, one may be the one of a hundred


@pytest.mark.skipif(not FULL, reason="many vehicles: LAB_FULL=1")
def test_the_right_component_comes_out_of_vehicles_with_a_lamp() -> None:
    _check(outcomes(lamp_table(), range(200)), least=80)


@pytest.mark.skipif(not FULL, reason="many vehicles: LAB_FULL=1")
@pytest.mark.parametrize(("name", "vehicles"), [("call_bell", 60), ("roof_vent", 12)])
def test_the_right_component_comes_out_of_vehicles_of_the_library(name, vehicles) -> None:
    _check(outcomes(table_of(name), range(vehicles)), least=vehicles // 4)

"""What tolerances do to a reading, told by one inverse, against vehicles really drawn."""

from random import Random

import numpy as np
import pytest

from circuits.faults import all_faults
from circuits.files import library_circuit
from circuits.instruments import Measurement, read, read_many
from circuits.model import Vehicle
from circuits.moves import LEADS, reading_moves
from circuits.operate import solve, solve_many
from circuits.tolerance import drawn
from tests.circuits.benches import DEPLOY, WINDING, steps

CASES = [
    (steps(**DEPLOY), Measurement("volts", "C1.2", "BODY")),
    (steps(**DEPLOY), Measurement("clamp", wire="W14")),
    (steps("left_motor:shorted_turns:0.75", **DEPLOY), Measurement("volts", "C2.1", "C2.2")),
    (steps(**WINDING), Measurement("ohms", "C2.1@harness", "C2.2@harness")),
]


def _moves(vehicle: Vehicle, what: Measurement):
    states = [solve(vehicle)]
    return reading_moves([vehicle], states, what, read_many([vehicle], what, states))


@pytest.mark.parametrize(("vehicle", "what"), CASES, ids=lambda x: getattr(x, "instrument", ""))
def test_a_drawn_vehicle_reads_what_the_moves_tell(vehicle, what) -> None:
    moves, nominal, random = _moves(vehicle, what), read(vehicle, what).exact, Random(1)
    for _ in range(20):
        other = drawn(vehicle, random)
        place = dict(other.scatter)
        told = sum(
            move * place.get(name, 0.0)
            for name, move in zip(moves.unknowns, moves.move[0], strict=True)
            if name != LEADS
        )
        # The worst seen is 8 % of what all unknowns together can do.
        assert read(other, what).exact - nominal == pytest.approx(told, abs=0.1 * moves.reach()[0])


def test_moves_in_a_stack_are_those_of_each_vehicle_alone() -> None:
    circuit = library_circuit("data_link")
    vehicles = [Vehicle(circuit, (fault,)) for fault in all_faults(circuit)[::7]]
    swapped = [f for f in all_faults(circuit) if f.kind == "swapped"]
    vehicles += [Vehicle(circuit, (fault,)) for fault in swapped]
    what, states = Measurement("volts", "socket.high", "BODY"), solve_many(vehicles)
    together = reading_moves(vehicles, states, what, read_many(vehicles, what, states)).reach()
    alone = np.array([_moves(vehicle, what).reach()[0] for vehicle in vehicles])
    assert together == pytest.approx(alone, abs=1e-6)

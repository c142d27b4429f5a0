"""The vehicle as a learner finds it: with whatever it had blown before the slip was written."""

from functools import lru_cache

from circuits.consequences import blown_fuses
from circuits.model import Vehicle
from circuits.operate import solve
from exercises.exercise import Exercise


@lru_cache(maxsize=256)
def as_found(exercise: Exercise) -> Vehicle:
    """Return an exercise's vehicle with its hidden faults, and the fuses they have blown."""
    vehicle = exercise.vehicle()
    return vehicle.with_blown(blown_fuses(vehicle, solve(vehicle)))

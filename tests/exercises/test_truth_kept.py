"""No simulated attempt loses the truth; ``python -m tests.exercises.truth_kept`` tries more."""

import pytest

from circuits.files import circuit_names, library_circuit
from tests.conftest import FULL
from tests.exercises.truth_kept import batch

EVERYDAY = ("fuel_gauge",)
ATTEMPTS = 5


@pytest.mark.parametrize("name", circuit_names() if FULL else EVERYDAY)
def test_the_truth_is_left_whatever_fault_parts_and_readings_are_drawn(name) -> None:
    attempts = list(batch(library_circuit(name), seed=1_000, size=ATTEMPTS))
    assert len(attempts) == ATTEMPTS
    assert all(len(attempt.evidence) >= 8 for attempt in attempts if not attempt.lost)
    assert [attempt.lost for attempt in attempts if attempt.lost] == []

"""Joint feasibility of readings, against a general linear programming library."""

import numpy as np
import pytest
from scipy.optimize import linprog

from exercises.feasible import fits_together


def _by_linear_programming(off, half, move) -> bool:
    """Ask scipy's HiGHS the same question."""
    rows = np.vstack([move, -move])
    limits = np.concatenate([off + half, half - off])
    found = linprog(np.zeros(move.shape[1]), A_ub=rows, b_ub=limits, bounds=(-1, 1))
    return found.status == 0


@pytest.mark.parametrize("readings", [1, 2, 4, 8])
def test_the_answer_is_that_of_linear_programming(readings) -> None:
    random = np.random.default_rng(readings)
    move = random.normal(size=(300, readings, 12)) * random.choice([0, 0.1, 1], (300, readings, 12))
    off = random.normal(size=(300, readings)) * 6 / (readings + 1)
    half = random.uniform(0.01, 0.3, size=(300, readings))
    mine = fits_together(off, half, move)
    theirs = [_by_linear_programming(*case) for case in zip(off, half, move, strict=True)]
    wrong = [n for n in range(300) if mine[n] != theirs[n]]
    assert 30 < sum(theirs) < 300
    # Undecided counts as fitting, never the other way.
    assert all(mine[n] for n in wrong)
    assert len(wrong) <= 3


def test_a_shared_unknown_cannot_be_high_for_one_reading_and_low_for_another() -> None:
    off = np.array([[1.0, -1.0]])
    half = np.array([[0.1, 0.1]])
    together = np.array([[[1.0], [1.0]]])
    apart = np.array([[[1.0, 0.0], [0.0, 1.0]]])
    assert not fits_together(off, half, together)[0]
    assert fits_together(off, half, apart)[0]


def test_a_reading_beyond_all_unknowns_together_is_ruled_out_alone() -> None:
    assert not fits_together(np.array([[3.2]]), np.array([[0.1]]), np.array([[[1.0, 1.0, 1.0]]]))[0]

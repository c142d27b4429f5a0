"""The choice against the optimum, where the optimum can be computed."""

import itertools
from heapq import heapify, heappop, heappush
from random import Random
from statistics import mean

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.planning.choice import best
from exercises.planning.rollout import Rollout
from tests.conftest import FULL
from tests.exercises.planning.sequencing import Problem, small
from tests.exercises.planning.tables import split, table_of

CHANCES = (0.70, 0.01, 0.02, 0.10, 0.05, 0.12)
OUTCOMES = ("00000", "01001", "00110", "10011", "11000", "11110")
"""Pattipati and Alexandridis, *IEEE Trans. SMC* 20(4), 1990: their example, by state."""


def _published() -> Problem:
    rows = [[int(state[test]) for state in OUTCOMES] for test in range(5)]
    return Problem(split(rows), weight=np.array(CHANCES), unit=True)


def test_the_published_example_costs_2_18_tests() -> None:
    """Pattipati and Alexandridis 1990: the least expected cost of their example is 2.18."""
    assert _published().least() == pytest.approx(2.18, abs=1e-9)


def test_the_yardstick_is_close_to_the_published_least_cost_and_bits_are_not_below_it() -> None:
    """One state has 70 % there: most bits at once is a poor plan, and looking on mends it."""
    problem = _published()
    assert 2.18 - 1e-9 <= problem.expected(Rollout()) <= 1.03 * 2.18
    assert problem.expected(best) >= 2.18 - 1e-9


def _chances(count: int) -> st.SearchStrategy:
    parts = st.lists(st.integers(1, 30), min_size=count, max_size=count)
    return parts.map(lambda found: np.array(found) / sum(found))


@settings(max_examples=25)
@given(st.integers(3, 6).flatmap(lambda n: st.tuples(_chances(n), st.integers(0, 10_000))))
def test_no_binary_tests_tell_more_than_a_bit_each(drawn) -> None:
    """Law: the expected number of binary tests is at least the entropy in bits (Shannon)."""
    chances, seed = drawn
    random = Random(seed)
    rows = [[random.randint(0, 1) for _ in chances] for _ in range(6)]
    rows += [[n >> bit & 1 for n in range(len(chances))] for bit in range(3)]
    entropy = -(chances * np.log2(chances)).sum()
    assert Problem(split(rows), weight=chances, unit=True).least() >= entropy - 1e-9


def _huffman(chances) -> float:
    heap = [float(chance) for chance in chances]
    heapify(heap)
    total = 0.0
    while len(heap) > 1:
        both = heappop(heap) + heappop(heap)
        total += both
        heappush(heap, both)
    return total


@settings(max_examples=10)
@given(_chances(5))
def test_with_every_split_allowed_the_optimum_is_huffmans_tree(chances) -> None:
    """Law: Huffman's tree (1952) is the least expected number of binary tests."""
    sides = itertools.product((0, 1), repeat=len(chances) - 1)
    rows = [[0, *side] for side in sides if any(side)]
    problem = Problem(split(rows), weight=chances, unit=True)
    assert problem.least() == pytest.approx(_huffman(chances))
    assert _huffman(chances) - 1e-9 <= problem.expected()


CASES = 20 if FULL else 5
SAMPLING = 0.0 if FULL else 0.05
"""What the mean of five cases may be off that of twenty."""


def _ratios(circuit: str, choose) -> list[float]:
    found = []
    for seed in range(CASES):
        random = Random(seed)
        problem = Problem(small(table_of(circuit), random, candidates=8 + seed % 5, tests=12))
        least = problem.least()
        if least > 0:
            found.append(problem.expected(choose) / least)
    return found


@pytest.mark.parametrize(("choose", "most"), [(best, 1.07), (Rollout(), 1.03)], ids=["bits", "ro"])
def test_on_small_cases_minutes_are_close_to_the_optimum_and_never_below(choose, most) -> None:
    """8 to 12 faults of the call bell, tests that cost what they cost on the vehicle, exact
    dynamic programming over what is left, the setting and the places got at."""
    ratios = _ratios("call_bell", choose)
    assert min(ratios) >= 1 - 1e-9
    assert mean(ratios) <= most + SAMPLING

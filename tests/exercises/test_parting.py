"""Whether a reading could tell two faults apart: by hand, and against looking at every pair."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuits.model import Fault
from exercises.candidates import Would
from exercises.parting import parted

OL = (float("inf"), float("inf"))


def _would(place: str, stretch: tuple[float, float] | None) -> Would:
    fault = Fault(place, "open")
    return Would(fault, fault, frozenset(), stretch, True, ())


@pytest.mark.parametrize(
    ("told", "could"),
    [
        ([], False),
        ([("W1", (0, 1))], False),
        ([("W1", (0, 1)), ("W2", (1, 2))], False),
        ([("W1", (0, 1)), ("W2", (1.1, 2))], True),
        ([("W1", (0, 1)), ("W1", (5, 6))], False),
        ([("W1", (0, 1)), ("W1", (5, 6)), ("W2", (0, 6))], False),
        ([("W1", (0, 1)), ("W1", (5, 6)), ("W2", (3, 4))], True),
        ([("W1", OL), ("W2", OL)], False),
        ([("W1", OL), ("W2", (0, 1e6))], True),
        ([("W1", None), ("W2", (0, 1))], False),
    ],
)
def test_two_faults_differ_where_what_they_may_show_has_nothing_in_common(told, could) -> None:
    assert parted([_would(*one) for one in told]) is could


stretches = st.tuples(st.integers(0, 6), st.integers(0, 6)).map(lambda ends: tuple(sorted(ends)))


@given(st.lists(st.tuples(st.sampled_from(["W1", "W2", "W3"]), stretches), max_size=7))
def test_it_agrees_with_looking_at_every_pair(told) -> None:
    apart = any(
        one[0] != other[0] and (one[1][1] < other[1][0] or other[1][1] < one[1][0])
        for one, other in combinations(told, 2)
    )
    assert parted([_would(*one) for one in told]) == apart

"""A sum of the five marks: what it weighs, what it refuses, and what a lucky guess makes of it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exercises.marking import COLUMNS, Column, Mark, Weights, WeightsError, weighed, weights_from
from exercises.marking.weights import PUBLISHED


def _mark(**scores: float) -> Mark:
    return Mark(tuple(Column(name, scores.get(name, 1.0), "", ()) for name in COLUMNS), False, 1)


def test_the_factors_are_those_that_were_published() -> None:
    """Conner and others, NPRDC-TN-91-12, 1991, Table 2 of the IMTA proceedings."""
    assert {name: worth for name, (worth, _) in PUBLISHED.items()} == {
        "solution": 42.8,
        "cost of wrong replacements": 13.1,
        "time": 11.8,
        "proof points": 9.9,
        "illogical approach": 6.9,
        "invalid checks": 4.7,
        "out of bounds": 4.0,
        "test points": 3.2,
        "checks": 3.1,
    }


def test_every_published_factor_counts_once_and_every_column_has_one() -> None:
    """By hand: 42.8, 9.9 / 2 + 6.9, 13.1 + 11.8 + 3.2 + 3.1, 4.7 + 4.0 and 9.9 / 2 of 99.5."""
    expected = {
        "diagnosis": 42.8,
        "proof": 11.85,
        "economy": 31.2,
        "care": 8.7,
        "confirmation": 4.95,
    }
    found = Weights().to_json()
    assert found == pytest.approx({name: worth / 99.5 for name, worth in expected.items()})


def test_weights_add_up_to_one_whatever_they_are_given_in() -> None:
    assert dict(Weights(4, 2, 2, 1, 1).items()) == pytest.approx(
        {"diagnosis": 0.4, "proof": 0.2, "economy": 0.2, "care": 0.1, "confirmation": 0.1}
    )
    assert weights_from({"proof": 3}) == Weights(0, 1, 0, 0, 0)
    assert weights_from(Weights().to_json()).to_json() == pytest.approx(Weights().to_json())


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"proof": -1}, "weight of proof: found -1; accepted: 0 or more"),
        ({"proof": math.nan}, "weight of proof: found nan; accepted: 0 or more"),
        ({"care": "much"}, "weight of care: found 'much'; accepted: 0 or more"),
        ({"care": True}, "weight of care: found True; accepted: 0 or more"),
        ({}, "weights: they add up to 0; accepted: one above 0"),
        (
            {"speed": 1},
            "weight of 'speed': accepted: diagnosis, proof, economy, care, confirmation",
        ),
    ],
)
def test_weights_that_make_no_sum_are_refused_in_a_sentence(given, sentence) -> None:
    with pytest.raises(WeightsError) as refused:
        weights_from(given)
    assert str(refused.value) == sentence


def test_full_marks_make_one_and_none_make_nothing() -> None:
    assert weighed(_mark()) == pytest.approx(1.0)
    assert weighed(_mark(**dict.fromkeys(COLUMNS, 0.0))) == 0.0


def test_a_right_name_without_proof_makes_less_than_three_tenths() -> None:
    """With care and cure in full, which cost a guesser nothing."""
    assert weighed(_mark(proof=0.0, economy=0.0)) < 0.3


scores = st.fixed_dictionaries(dict.fromkeys(COLUMNS, st.floats(0, 1)))


@given(scores, st.sampled_from(COLUMNS), st.floats(0, 1))
def test_a_better_mark_never_makes_a_smaller_sum(of, column, more) -> None:
    better = of | {column: max(of[column], more)}
    assert 0 <= weighed(_mark(**of)) <= weighed(_mark(**better)) + 1e-12 <= 1 + 2e-12

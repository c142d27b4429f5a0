"""Difficulty from attempts: against a maximum-likelihood fit of Rasch's model by scipy."""

from itertools import pairwise
from random import Random

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import expit
from scipy.stats import spearmanr

from exercises.planning.reestimate import MIDDLE, PER_LOGIT, Result, chance, reestimate

EXERCISES = [f"slip {n}" for n in range(40)]
ATTEMPTS = 10
"""Attempts at each exercise, as many as a small workshop makes in a year."""


def _simulated(seed: int, attempts: int = ATTEMPTS) -> tuple[list[float], list[float], list]:
    """Return true difficulties, estimates that go with them, and results as Rasch's model draws."""
    random = Random(seed)
    hard = [random.gauss(0, 1.5) for _ in EXERCISES]
    # An estimate that goes with the truth by 0.73: the noise is 0.94 times as wide.
    prior = [MIDDLE + PER_LOGIT * (0.73 * d + 0.68 * random.gauss(0, 1.5)) for d in hard]
    able = {f"learner {n}": random.gauss(0, 1.0) for n in range(30)}
    results = [
        Result(who, name, float(random.random() < chance(able[who], hard[n])))
        for n, name in enumerate(EXERCISES)
        for who in random.sample(sorted(able), attempts)
    ]
    random.shuffle(results)
    return hard, prior, results


def _points(prior: list[float], results: list) -> list[float]:
    found = reestimate(dict(zip(EXERCISES, prior, strict=True)), results)
    return [found[name].points for name in EXERCISES]


def _by_likelihood(results: list) -> list[float]:
    """Return the difficulties that make the results likeliest, in logits.

    A wide normal prior on every figure keeps those finite whom nobody or everybody solved.
    """
    learners = sorted({result.learner for result in results})
    who = np.array([learners.index(result.learner) for result in results])
    what = np.array([EXERCISES.index(result.exercise) for result in results])
    success = np.array([result.success for result in results])

    def loss(figures):
        able, hard = figures[: len(learners)], figures[len(learners) :]
        logit = able[who] - hard[what]
        value = np.logaddexp(0, logit).sum() - (success * logit).sum() + (figures**2).sum() / 18
        off = expit(logit) - success
        slope = figures / 9
        np.add.at(slope, who, off)
        np.add.at(slope, len(learners) + what, -off)
        return value, slope

    start = np.zeros(len(learners) + len(EXERCISES))
    found = minimize(loss, start, jac=True, method="L-BFGS-B")
    assert found.success
    return list(found.x[len(learners) :])


def _agree(one: list[float], other: list[float]) -> float:
    return float(spearmanr(one, other).statistic)


@pytest.mark.parametrize("seed", range(4))
def test_many_results_rank_exercises_as_the_likeliest_figures_do(seed) -> None:
    _, _, results = _simulated(seed, attempts=25)
    found = _points([MIDDLE] * len(EXERCISES), results)
    assert _agree(found, _by_likelihood(results)) > 0.9


def test_a_few_results_and_the_estimate_rank_better_than_either_alone() -> None:
    """Means over twenty simulated years; the fit by likelihood has the results alone."""
    both, prior_alone, results_alone, likelihood = [], [], [], []
    for seed in range(20):
        hard, prior, results = _simulated(seed)
        both.append(_agree(_points(prior, results), hard))
        prior_alone.append(_agree(prior, hard))
        results_alone.append(_agree(_points([MIDDLE] * len(EXERCISES), results), hard))
        if seed < 10:
            likelihood.append(_agree(_by_likelihood(results), hard))
    means = [float(np.mean(one)) for one in (both, prior_alone, results_alone, likelihood)]
    assert means[0] > max(means[1:]) + 0.02, means
    assert means[1] == pytest.approx(0.73, abs=0.04)


def test_without_results_the_estimate_stands() -> None:
    found = reestimate({"a": 3.0, "b": 20.0}, [])
    assert (found["a"].points, found["a"].results) == (pytest.approx(3.0), 0)
    assert [found["a"].band, found["b"].band] == ["easy", "hard"]


def test_success_makes_an_exercise_easier_and_failure_harder() -> None:
    easier = reestimate({"a": 8.0}, [Result("x", "a", 1.0)])["a"].points
    harder = reestimate({"a": 8.0}, [Result("x", "a", 0.0)])["a"].points
    assert easier < 8.0 < harder
    assert 8.0 - easier == pytest.approx(harder - 8.0)


def test_a_surprise_moves_more_than_what_was_to_be_expected() -> None:
    easy = 3.0 - reestimate({"a": 3.0}, [Result("x", "a", 1.0)])["a"].points
    hard = 20.0 - reestimate({"a": 20.0}, [Result("x", "a", 1.0)])["a"].points
    assert 0 < easy < hard


def test_each_further_result_moves_less() -> None:
    points = [8.0]
    for count in range(1, 30):
        same = [Result(f"learner {n}", "a", 0.0) for n in range(count)]
        points.append(reestimate({"a": 8.0}, same)["a"].points)
    moves = [after - before for before, after in pairwise(points)]
    assert all(later < earlier for earlier, later in pairwise(moves))
    assert moves[-1] > 0


def test_only_the_first_result_of_a_learner_counts() -> None:
    once = [Result("x", "a", 0.0)]
    again = [*once, Result("x", "a", 1.0), Result("x", "a", 1.0)]
    assert reestimate({"a": 8.0}, once) == reestimate({"a": 8.0}, again)


def test_failing_at_what_weak_learners_fail_at_is_less_of_a_surprise() -> None:
    weak = [Result("x", f"b{n}", 0.0) for n in range(10)]
    prior = dict.fromkeys(("a", *(f"b{n}" for n in range(10))), 8.0)
    last = [Result("x", "a", 0.0)]
    assert reestimate(prior, weak + last)["a"].points < reestimate(prior, last)["a"].points


@pytest.mark.parametrize(
    ("result", "sentence"),
    [
        (Result("x", "b", 1.0), "result of 'b': there is no estimate of it"),
        (Result("x", "a", 1.5), "success at 'a': found 1.5; accepted: 0 to 1"),
        (Result("x", "a", float("nan")), "success at 'a': found nan; accepted: 0 to 1"),
    ],
)
def test_a_result_that_cannot_be_is_refused_in_a_sentence(result, sentence) -> None:
    with pytest.raises(ValueError, match=r"accepted|estimate") as refused:
        reestimate({"a": 8.0}, [result])
    assert str(refused.value) == sentence

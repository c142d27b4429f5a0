"""Six kinds of learners play jobs: their marks order as an instructor would order them."""

from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache
from multiprocessing import get_context
from statistics import fmean

import pytest

from exercises.planning.policy import plan_for
from tests.conftest import FULL
from tests.exercises.learners.figures import Row, chosen, rows
from tests.exercises.learners.players import PLAYERS, Bench
from tests.exercises.planning.tables import table_of

CIRCUITS = (
    "battery_drain",
    "call_bell",
    "call_buttons",
    "charging",
    "cranking",
    "data_link",
    "fuel_gauge",
    "heated_window",
    "ramp_winch",
    "rear_lamps",
    "roof_vent",
    "saloon_blower",
    "screen_wiper",
    "side_steps",
)
PLAYED = CIRCUITS if FULL else ("call_bell",)

CHANCE = ("random prober", "parts swapper", "guesser", "lucky guesser")
DEAR = {"random prober"}
"""Kinds that play only in the full run: what nobody would try is not worked out already."""

PLAYERS_HERE = tuple(name for name in PLAYERS if FULL or name not in DEAR)


@lru_cache
def _all_played() -> dict[str, dict[str, Row]]:
    if not FULL:
        return {circuit: _rows(circuit) for circuit in PLAYED}
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        return dict(zip(PLAYED, pool.map(_rows, PLAYED), strict=True))


def _rows(circuit: str) -> dict[str, Row]:
    found = rows(chosen(circuit, 1), table_of(circuit), seeds=1, players=PLAYERS_HERE)
    return {row.player: row for row in found}


def _played(circuit: str) -> dict[str, Row]:
    return _all_played()[circuit]


@pytest.mark.parametrize("circuit", PLAYED)
def test_those_who_reason_prove_what_it_is(circuit) -> None:
    careful, halving = _played(circuit)["careful"], _played(circuit)["half-splitter"]
    assert (careful.mean("diagnosis"), careful.mean("care"), careful.evidenced) == (1, 1, 1)
    assert halving.mean("diagnosis") == 1
    assert halving.mean("proof") >= 0.7


@pytest.mark.parametrize("circuit", PLAYED)
def test_marks_order_as_an_instructor_would_order_the_learners(circuit) -> None:
    """The policy is best on the whole; on one fault half-splitting may beat it by a little."""
    made = {name: row.weighed for name, row in _played(circuit).items()}
    assert made["careful"] > made["half-splitter"] - 0.1
    assert min(made["careful"], made["half-splitter"]) > made["wrong expectation"]
    for name in set(CHANCE) & set(made):
        assert made["wrong expectation"] > made[name] + 0.1, name


@pytest.mark.parametrize("circuit", PLAYED)
def test_a_wrong_expectation_costs_a_part_and_its_minutes_and_no_more(circuit) -> None:
    row = _played(circuit)["wrong expectation"]
    careful = _played(circuit)["careful"]
    assert row.mean("diagnosis") == 1
    assert row.mean("care") == pytest.approx(0.9)
    assert row.mean("economy") < 0.75 * careful.mean("economy")


@pytest.mark.parametrize("circuit", PLAYED)
def test_a_lucky_guess_is_not_evidenced_and_makes_little(circuit) -> None:
    """Less than 0.3 of a sum where nothing was proved; a look alone may prove a little."""
    row = _played(circuit)["lucky guesser"]
    assert row.mean("diagnosis") == 1
    assert row.evidenced < 0.05
    assert row.mean("proof") <= 0.2
    assert row.weighed < 0.3 + 0.5 * row.mean("proof")
    assert row.mean("economy") <= 0.2
    for one in row.marks:
        proof = next(column for column in one.columns if column.name == "proof")
        assert any("lucky guess" in told for told in proof.evidence)


@pytest.mark.skipif(not FULL, reason="plays every circuit: LAB_FULL=1")
def test_over_all_circuits_care_beats_halving_and_any_reading_beats_none() -> None:
    made = {name: fmean(_played(circuit)[name].weighed for circuit in CIRCUITS) for name in PLAYERS}
    assert made["careful"] >= made["half-splitter"] > made["wrong expectation"]
    assert made["wrong expectation"] > made["random prober"]
    assert made["random prober"] > max(made["parts swapper"], made["guesser"])
    chance = [row for circuit in CIRCUITS for row in _played(circuit).values()]
    swapped = [row.evidenced for row in chance if row.player in {"parts swapper", "guesser"}]
    assert fmean(swapped) < 0.05


def test_a_learner_plays_the_same_job_the_same_way_again() -> None:
    (exercise,) = chosen("call_bell", 1)
    bench = Bench(exercise, plan_for(exercise, table_of("call_bell")), seed=1)
    for name in ("careful", "guesser"):
        assert PLAYERS[name](bench) == PLAYERS[name](bench)

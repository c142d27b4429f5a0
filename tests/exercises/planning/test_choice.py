"""The next best test: bits against a count by hand and pair by pair, minutes, rules."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from circuits.model import AS_FOUND
from circuits.settings import setting_from
from exercises import minutes
from exercises.evidence import Evidence
from exercises.planning.allowed import AllowedTest, permitted
from exercises.planning.choice import GLANCE, Bands, Plan, Standing, best
from exercises.planning.live import Live, everything, live_from
from tests.exercises.learners import job
from tests.exercises.planning.tables import CALL_BELL, made, split, table_of

PRESSED = setting_from(CALL_BELL, positions={"push": "pressed"})
EVEN = (0.25, 0.25, 0.25, 0.25)


def _even(table) -> Live:
    live = live_from(table, [(n, "") for n in range(len(table.cells))])
    return replace(live, weight=np.full(len(live.cell), 1 / len(live.cell)))


def _bits(table) -> list[float]:
    plan = Plan(table)
    numbers = np.array([plan.number[test] for test in table.tests])
    return Bands(plan, _even(table)).bits(numbers).tolist()


def test_a_test_that_halves_four_faults_tells_one_bit_and_one_that_parts_all_two() -> None:
    halves, all_four, nothing = [0, 0, 1, 1], [0, 1, 2, 3], [0, 0, 0, 0]
    assert _bits(split([halves, all_four, nothing])) == pytest.approx([1.0, 2.0, 0.0])


def test_bands_that_overlap_in_the_middle_part_only_the_ends() -> None:
    """Of three, the first keeps two, the middle three, the last two."""
    told = _bits(made([[(0, 2), (2, 4), (4, 6)]]))
    assert told == pytest.approx([-(2 * np.log2(2 / 3) + np.log2(1)) / 3])


def test_how_bad_a_fault_is_counts_for_nothing() -> None:
    table = made([[(0, 0), (1, 1), (2, 2)]], places=["W1", "W1", "W2"])
    assert _bits(table) == pytest.approx([-(2 * np.log2(2 / 3) + np.log2(1 / 3)) / 3])
    alone = made([[(0, 0), (1, 1)]], places=["W1", "W1"])
    assert _bits(alone) == [0.0]


def _pairwise(bands: Bands, number: int, live: Live) -> float:
    if bands.plan.column[number] < 0:
        of, alike = bands.classes(number)
        overlap = alike[np.ix_(of, of)]
    else:
        low, high = (ends[0] for ends in bands.ends(np.array([number])))
        overlap = (low[:, None] <= high) & (low <= high[:, None])
    same = live.spot[:, None] == live.spot
    return float(-(live.weight * np.log2((overlap | same) @ live.weight)).sum())


@pytest.mark.parametrize("conditions", [(), ("moved",), ("warm", "loaded")], ids=str)
def test_bits_are_those_counted_pair_by_pair(conditions) -> None:
    table, random = table_of("call_bell"), Random(1)
    every = everything(table, conditions)
    some = np.array([random.random() < 0.3 for _ in every.cell])
    live, plan = every.only(some), Plan(table)
    bands = Bands(plan, live)
    numbers = np.array(random.sample(range(len(plan.tests)), 60))
    found = bands.bits(numbers)
    assert found == pytest.approx([_pairwise(bands, n, live) for n in numbers], abs=1e-9)
    assert (bands.most_bits(numbers) >= found - 1e-9).all()


def test_the_best_is_the_best_of_all_tests_weighed_one_by_one() -> None:
    table = table_of("call_bell")
    live, plan = everything(table), Plan(table)
    for standing in (Standing(), Standing(PRESSED, frozenset({"dash"}))):
        bits = Bands(plan, live).bits(np.arange(len(plan.tests)))
        rate = bits / np.maximum(plan.minutes(standing), GLANCE)
        choice = best(plan, live, standing)
        assert choice.rate == pytest.approx(rate.max())
        assert choice.bits == pytest.approx(bits[plan.number[choice.test]])


def test_minutes_are_those_that_the_same_test_costs_a_learner() -> None:
    table = table_of("call_bell")
    plan, standing = Plan(table), Standing(PRESSED, frozenset({"engine_bay"}))
    costs = plan.minutes(standing)
    for test, places, cost in zip(plan.tests, plan.places, costs, strict=True):
        new = places - standing.visited
        by_hand = minutes.setting_minutes(PRESSED, test.setting)
        by_hand += minutes.access_minutes(CALL_BELL, new)
        assert cost == pytest.approx(by_hand + (minutes.PROBE if test.what else 0.0))


def test_a_test_that_was_taken_is_not_proposed_again_whichever_way_round_its_leads() -> None:
    table = table_of("call_bell")
    live, plan = everything(table), Plan(table, lambda test: test.what is not None)
    first = best(plan, live, Standing())
    turned = replace(first.test.what, red=first.test.what.black, black=first.test.what.red)
    known = plan.known([Evidence(first.test.setting, turned)])
    assert known == {first.test}
    assert best(plan, live, Standing(), known).test != first.test


def test_watching_is_not_proposed_again_at_another_moment_of_the_same_operation() -> None:
    plan = Plan(table_of("call_bell"))
    seen = Evidence(replace(PRESSED, moment="just_operated"), seen=frozenset())
    assert plan.known([seen]) == {AllowedTest(PRESSED, None)}


@pytest.mark.parametrize("left", [0, 1], ids=["none", "one"])
def test_with_nothing_to_part_there_is_no_next_test(left) -> None:
    table = split([[0, 1]])
    live = live_from(table, [(n, "") for n in range(left)])
    assert best(Plan(table), live, Standing()) is None


def test_faults_that_no_test_parts_have_no_next_test() -> None:
    table = split([[0, 0], [1, 1]])
    assert best(Plan(table), _even(table), Standing()) is None


def test_rules_close_places_and_instruments() -> None:
    exercise = job("W4:open", instruments=["volts"], closed_places=["dash"])
    table = table_of("call_bell")
    plan = Plan(table, lambda test: permitted(exercise, test))
    assert {test.instrument for test in plan.tests} == {"", "volts"}
    assert not any("dash" in places for places in plan.places)
    assert len(plan.tests) < len(Plan(table).tests)


def test_nobody_warms_or_taps_a_vehicle_without_a_reason() -> None:
    def allowed(conditions: list[str]) -> list[AllowedTest]:
        exercise = job("W4:open", conditions=conditions)
        return [t for t in Plan(table_of("call_bell")).tests if permitted(exercise, t)]

    plain = allowed([])
    assert not any(test.setting.warm or test.setting.moved == "relay" for test in plain)
    assert any(test.setting.moved == "C1" for test in plain)
    assert any(test.setting.warm for test in allowed(["warm"]))
    assert any(test.setting.moved == "relay" for test in allowed(["moved"]))


def test_a_fault_that_shows_only_when_moved_is_as_good_as_none_until_then() -> None:
    table = table_of("call_bell")
    open_wire = table.by_spot["W5", "open"][0]
    live = live_from(table, [(open_wire, "moved"), (table.sound, "")])
    choice = best(Plan(table), live, Standing(AS_FOUND))
    assert choice.test.setting.moved
    assert choice.test.setting.positions == PRESSED.positions


def test_what_is_alive_in_spite_of_a_test_is_doubted_and_believed_only_at_the_end() -> None:
    """The third is alive though the first test, taken already, parts it from the others."""
    table = split([[0, 0, 1], [0, 0, 1], [0, 1, 2]])
    plan, live = Plan(table), _even(table)
    taken = [table.tests[0]]
    choice = best(plan, live, Standing(), taken)
    assert (choice.test, choice.doubtful) == (table.tests[2], False)
    last = live.only(np.array([True, False, True]))
    choice = best(plan, last, Standing(), [*taken, table.tests[2]])
    assert (choice.test, choice.doubtful) == (table.tests[1], True)

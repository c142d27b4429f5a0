"""Ambiguity groups: by hand, the same from both sides, and parted where a test is told."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from circuits.faults import parse_fault
from circuits.instruments import read
from circuits.model import Fault, Vehicle
from circuits.operate import solve
from circuits.tolerance import drawn
from exercises.candidates import Candidates
from exercises.evidence import NO_FAULT, Evidence, codes
from exercises.planning.choice import Bands, Plan
from exercises.planning.difficulty import Difficulty
from exercises.planning.groups import Group, alike, among, apart, group_of, parting
from exercises.planning.live import everything, live_from
from exercises.planning.policy import ReferencePath, plan_for
from exercises.planning.review import Review, advice, review
from exercises.shown import shown_of
from tests.exercises.learners import job
from tests.exercises.planning.tables import CALL_BELL, made, table_of


def _fault(text: str) -> Fault:
    return parse_fault(CALL_BELL, text)


def _others(plan: Plan, text: str) -> set[tuple[str, str]]:
    return set(group_of(plan, _fault(text)).others)


def test_what_no_test_parts_is_a_group_by_hand() -> None:
    """The first two overlap in both tests; the third is apart from the first in one of them."""
    table = made([[(0, 2), (1, 3), (4, 5)], [(0, 9), (0, 9), (0, 9)]])
    live = live_from(table, [(0, ""), (1, ""), (2, "")])
    one, other = alike(Plan(table), live)
    assert list(zip(one.tolist(), other.tolist(), strict=True)) == [(0, 1)]


def test_cells_of_one_fault_are_no_group() -> None:
    table = made([[(0, 2), (1, 3)]], places=["W1", "W1"])
    live = live_from(table, [(0, ""), (1, "")])
    assert len(alike(Plan(table), live)[0]) == 0


def test_two_faults_are_alike_from_either_side() -> None:
    plan = Plan(table_of("call_bell"))
    spots = sorted(plan.table.by_spot)
    groups = {
        (place, kind): group_of(plan, Fault(place, kind)).others
        for place, kind in spots
        if len(plan.table.by_spot[place, kind]) == 1 and kind != NO_FAULT.kind
    }
    assert any(groups.values())
    for spot, others in groups.items():
        for other in others:
            assert other not in groups or spot in groups[other]


def test_a_relay_coil_and_a_wire_to_it_are_parted_where_the_dash_is_open() -> None:
    plan = Plan(table_of("call_bell"))
    assert _others(plan, "relay.coil:coil_open") == set()
    shut = plan_for(job("relay.coil:coil_open", closed_places=["dash", "loom"]), plan.table)
    assert ("W4", "open") in _others(shut, "relay.coil:coil_open")


def test_what_would_part_a_group_is_a_test_that_parts_it_and_needs_what_is_closed() -> None:
    table = table_of("call_bell")
    shut, wide = plan_for(job("W4:open", closed_places=["dash", "loom"]), table), Plan(table)
    group = group_of(shut, _fault("W4:open"))
    found = parting(wide, group)
    assert [one.spot for one in found] == list(group.others)
    for one in found:
        assert one.test is not None
        assert {"dash", "loom"} & wide.places[wide.number[one.test]]
        assert one.minutes > 0


def test_an_author_is_told_which_place_would_part_a_group() -> None:
    exercise = job("relay.coil:coil_open", closed_places=["dash", "loom"])
    found = review(exercise, table_of("call_bell"))
    told = advice(found, written_minutes=found.path.minutes)
    assert any("allow behind the dash panel: With" in sentence for sentence in told)
    assert len(found.path.group) > 1
    assert found.difficulty.group == found.groups[0].size > 1


def test_what_the_path_in_the_file_parts_is_no_group() -> None:
    group = Group(_fault("W4:open"), (("relay.coil", "coil_open"), ("C2.1", "backed_out")))
    assert among(group, [_fault("C2.1:backed_out")]).others == (("C2.1", "backed_out"),)


def test_an_author_is_told_what_the_path_leaves_though_a_test_would_part_it() -> None:
    """The path of one reading leaves a wire to the coil beside the coil."""
    exercise = job("relay.coil:coil_open")
    written = [_fault("relay.coil:coil_open"), _fault("W4:open")]
    found = review(exercise, table_of("call_bell"), written)
    assert [one.spot for one in found.left_over] == [("W4", "open")]
    told = [s for s in advice(found, written_minutes=found.path.minutes) if "counts" in s]
    assert len(told) == 1
    assert told[0].startswith("the path leaves Wire W4")


def test_of_a_vehicle_found_with_a_fuse_blown_no_table_is_asked_what_its_path_leaves() -> None:
    exercise = job("F1:underrated:0.5")
    written = [_fault("F1:underrated:0.5"), _fault("F1:blown")]
    assert review(exercise, table_of("call_bell"), written).left_over == ()


def test_an_author_is_told_of_an_instrument_too() -> None:
    exercise = job("bell:high_resistance:10", instruments=["volts"])
    told = advice(review(exercise, table_of("call_bell")), written_minutes=0.0)
    assert any("allow ohms: With push Released, C1 unplugged" in sentence for sentence in told)


def test_a_fault_too_slight_to_show_is_told_to_be_too_slight() -> None:
    exercise = job("W8:chafed:100000")
    plan = plan_for(exercise, table_of("call_bell"))
    group = group_of(plan, exercise.faults[0])
    hidden = Difficulty(1.0, 1, visible=False)
    found = Review(exercise, ReferencePath((), ()), (group,), (parting(plan, group),), hidden)
    told = advice(found, written_minutes=1.0)
    assert any("choose a worse one" in sentence for sentence in told)
    assert any("say in the complaint what was noticed" in sentence for sentence in told)


@pytest.mark.parametrize("seed", range(6))
def test_a_test_that_parts_two_faults_rules_one_out_whenever_the_other_is_true(seed) -> None:
    """The truth has any severity within its cell, and parts anywhere within tolerance."""
    random = Random(seed)
    table = table_of("call_bell")
    plan, live = Plan(table), everything(table)
    for _ in range(6):
        one, other = random.sample(range(len(live.cell)), 2)
        pair = np.array([one]), np.array([other])
        parted = apart(Bands(plan, live), range(len(plan.tests)), *pair)[:, 0]
        if live.spot[one] == live.spot[other] or not parted.any():
            continue
        test = plan.tests[random.choice(np.flatnonzero(parted).tolist())]
        truth, rival = table.cells[live.cell[one]], table.cells[live.cell[other]].low
        how_bad = random.uniform(truth.low.severity, truth.high.severity)
        faults = (replace(truth.low, severity=how_bad),) * (truth.low != NO_FAULT)
        vehicle = drawn(Vehicle(CALL_BELL, faults, test.setting), random)
        left = Candidates(CALL_BELL, (rival,))
        cells = [
            c for c in left._cells if {c.low, c.high} <= {rival, table.cells[live.cell[other]].high}
        ]
        left._cells = cells
        if test.what is None:
            left.weigh(Evidence(test.setting, seen=codes(vehicle, solve(vehicle), (1.0,))))
        else:
            left.weigh(Evidence(test.setting, test.what, shown_of(read(vehicle, test.what))))
        assert left.left() == (), (truth, rival, test)

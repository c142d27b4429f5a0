"""What a vehicle remembers between acts: what has gone, what was renewed, how it was found."""

import pytest

from circuits.consequences import blown_fuses
from circuits.model import AS_FOUND, Fault
from circuits.operate import solve
from exercises.actions import ChooseRepair, NameFault, ReplaceFuse
from exercises.desk import began
from exercises.files import library_entry, library_exercise
from exercises.goodpath import good_path, solvable
from exercises.narrowing import questions, still_possible
from tests.conftest import FULL
from tests.exercises.learners import Learner, job

FAN = "saloon_blower"
SHORT = "W12:chafed:0.02"
DEPLOY, OFF = {"rocker": "deploy"}, {"rocker": "off"}
FREED = ChooseRepair("blower.mechanism", "free_mechanism")
PACK = ("CP.4@unit", "CP.3@unit")
OUT = {"isolated": True, "unmated": ["CP"]}


def _path(circuit: str) -> list[dict[str, object]]:
    switch = {"speed": "three"} if circuit == FAN else DEPLOY
    return [{"because": "Work it.", "set": switch}]


def _learner(*faults: str, circuit: str) -> Learner:
    return Learner(job(*faults, circuit=circuit, path=_path(circuit)))


def _alive(learner: Learner, place: str, kind: str) -> bool:
    """Say whether a fault alone is consistent with all that was seen and read."""
    (asked,) = questions(learner.attempt.exercise)
    candidates = asked.candidates((Fault(place, kind),))
    for piece in learner.attempt.evidence:
        candidates.weigh(piece)
    return bool(candidates.left())


def _ohms(learner: Learner) -> str:
    learner.set(**OUT)
    shown = learner.probe(*PACK, "ohms").entries[-1].shown
    return shown.display


def test_a_thermal_fuse_that_opened_is_still_open_with_the_pack_on_the_bench() -> None:
    learner = _learner("blower:seized", circuit=FAN)
    assert _ohms(learner) != "OL"
    attempt = learner.set(positions={"speed": "three"}, moment="at_rest")
    assert attempt.blown == {"pack"}
    assert attempt.slips.count("fuse_blew") == 1
    assert _ohms(learner) == "OL"
    assert _alive(learner, "blower.mechanism", "seized")
    assert not _alive(learner, "pack.three", "open")


def test_a_new_motor_does_not_close_the_thermal_fuse_and_a_new_pack_does() -> None:
    learner = _learner("blower:seized", circuit=FAN)
    learner.set(positions={"speed": "three"}, moment="at_rest")
    learner.do(NameFault("blower.mechanism", "seized"), FREED)
    assert learner.attempt.cured
    assert learner.attempt.blown == {"pack"}
    assert "Blower motor: does not turn" in learner.attempt.seen
    attempt = learner.do(ChooseRepair("pack.thermal", "replace_part"))
    assert attempt.blown == frozenset()
    assert attempt.repairs[-1].cured
    assert "Blower motor: does not turn" not in attempt.seen
    assert _ohms(learner) != "OL"


def test_a_new_pack_on_a_seized_fan_opens_again_and_the_truth_survives() -> None:
    learner = _learner("blower:seized", circuit=FAN)
    learner.set(positions={"speed": "three"}, moment="at_rest")
    learner.do(NameFault("pack.thermal", "thermal_fuse_open"))
    attempt = learner.do(ChooseRepair("pack.thermal", "replace_part"))
    assert attempt.blown == {"pack"}
    assert _ohms(learner) == "OL"
    assert _alive(learner, "blower.mechanism", "seized")
    assert not _alive(learner, "pack.three", "open")


def test_a_fuse_fitted_at_off_does_not_act_out_the_deploying_that_nobody_did() -> None:
    learner = _learner(SHORT, circuit="side_steps")
    learner.set(positions=DEPLOY)
    learner.set(positions=OFF)
    attempt = learner.do(ReplaceFuse("F3"))
    assert attempt.blown == frozenset()
    assert "fuse_blew" not in attempt.slips  # it had gone before the learner came
    shown = learner.probe("F3.out", "BODY").entries[-1].shown
    assert shown.value == pytest.approx(12.6, abs=0.1)
    assert _alive(learner, "W12", "chafed")
    assert learner.set(positions=OFF, unmated=["C2"]).blown == frozenset()
    assert learner.set(positions=DEPLOY).blown == {"F3"}
    assert _alive(learner, "W12", "chafed")


def test_a_fuse_that_holds_at_off_rules_out_what_would_blow_it_there() -> None:
    learner = _learner(SHORT, circuit="side_steps")
    learner.set(positions=DEPLOY)
    learner.set(positions=OFF)
    learner.do(ReplaceFuse("F3"))
    learner.probe("F3.out", "BODY")
    (asked,) = questions(learner.attempt.exercise)
    candidates = asked.candidates((Fault("W6", "chafed"),))
    for piece in learner.attempt.evidence:
        candidates.weigh(piece)
    holds = 12.6 / (1.35 * 10)  # 135 % of its rating is the first gate of a blade fuse
    assert min(high.severity for _, high, _ in candidates.spans()) > 0.9 * holds


def test_a_motor_does_not_start_with_the_fuse_that_is_fitted_at_off() -> None:
    learner = _learner("F1:blown", circuit="side_steps")
    learner.set(positions=DEPLOY)
    learner.set(positions=OFF)
    attempt = learner.do(ReplaceFuse("F1"))
    moved = [words for words in attempt.seen if "moves" in words and "Left" in words]
    assert moved == []


def test_once_worked_a_renewed_fuse_is_a_fuse_like_any_other() -> None:
    new = _learner("F3:blown", circuit="side_steps")
    new.do(ReplaceFuse("F3"))
    sound = _learner(circuit="side_steps")
    for positions in (DEPLOY, OFF):
        assert new.set(positions=positions).seen == sound.set(positions=positions).seen
        assert new.attempt.vehicle().fresh == frozenset()


ARRIVING = ("blows_only_in_neutral", "it_died_on_close", "new_fuse_blows", "three_from_a_new_box")


@pytest.mark.parametrize("name", ARRIVING)
def test_a_fuse_that_had_blown_before_the_slip_was_written_is_found_blown(name: str) -> None:
    exercise = library_exercise(name)
    gone = blown_fuses(exercise.vehicle(), solve(exercise.vehicle()))
    assert gone
    assert began(library_entry(name), 0).body["blown"] == sorted(gone)
    assert Learner(library_entry(name)).attempt.vehicle().blown == gone


def test_a_path_begins_with_the_vehicle_as_the_learner_finds_it() -> None:
    """Its fuse went when somebody pressed the push, before the slip was written."""
    ohms = {"because": "F1 first.", "isolate": True, "ohms": ["F1.in", "F1.out"]}
    exercise = job("W7:chafed:0.05", path=[ohms])
    (first,) = good_path(exercise).steps
    assert first.shown is not None
    assert first.shown.display == "OL"
    assert ("W7", "chafed") in {(fault.place, fault.kind) for fault in first.left}
    learner = Learner(exercise)
    assert learner.attempt.setting == AS_FOUND
    attempt = learner.take(first.step)
    assert attempt.entries[-1].shown.display == "OL"
    left = still_possible(questions(exercise), attempt.evidence)
    assert left == first.left
    assert {(fault.place, fault.kind) for fault in left} >= {("F1", "blown"), ("W7", "chafed")}


@pytest.mark.skipif(not FULL, reason="every path: LAB_FULL=1")
@pytest.mark.parametrize("name", ARRIVING)
def test_the_paths_of_those_found_with_a_blown_fuse_solve_them(name: str) -> None:
    assert solvable(library_exercise(name)) == ()

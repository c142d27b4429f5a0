"""Two faults at once: each is found with the other given, repaired in turn, marked by halves."""

import pytest

from exercises.actions import ChooseRepair, CloseJob, NameFault
from exercises.candidates import Candidates
from exercises.debrief import debrief
from exercises.evidence import NO_FAULT
from exercises.exercise import Exercise
from exercises.files import library_exercise
from exercises.goodpath import good_path, solvable
from exercises.marking import mark
from exercises.narrowing import Question, questions, still_possible
from tests.exercises.learners import Learner, careful, job

PRESSED = {"push": "pressed"}
COIL, GROUND = ("relay.coil", "coil_open"), ("G1", "corroded")
PATH = [
    {"because": "No click.", "set": PRESSED},
    {"because": "The feed is there.", "set": PRESSED, "volts": ["relay.86", "BODY"]},
    {"because": "All across the coil.", "set": PRESSED, "volts": ["relay.86", "relay.85"]},
    {
        "because": "A new relay clicks, and the bell is faint.",
        "set": PRESSED,
        "repair": ["relay.coil", "replace_part"],
        "volts": ["C1.1", "BODY"],
    },
    {"because": "Above the body.", "set": PRESSED, "volts": ["C1.2", "BODY"]},
    {"because": "At the ring as well.", "set": PRESSED, "volts": ["G1", "BODY"]},
]


@pytest.fixture(scope="module")
def both() -> Exercise:
    """A bell with a dead relay and a poor ground behind it."""
    return job("relay.coil:coil_open", "G1:corroded:7", path=PATH)


def _spots(faults) -> set[tuple[str, str]]:
    return {(fault.place, fault.kind) for fault in faults}


def test_the_path_leaves_the_two_and_nothing_else(both) -> None:
    assert _spots(good_path(both).group) == {COIL, GROUND}
    assert solvable(both) == ()


def test_without_the_first_repair_the_second_fault_is_not_found() -> None:
    early = job("relay.coil:coil_open", "G1:corroded:7", path=PATH[:3])
    assert GROUND in _spots(good_path(early).group)
    assert any("faults elsewhere" in sentence for sentence in solvable(early))


def test_no_single_fault_explains_what_the_path_shows(both) -> None:
    learner = Learner(both)
    for walked in both.path:
        learner.take(walked)
    assert still_possible((Question(both.circuit),), learner.attempt.evidence) == ()
    assert len(questions(both)) == 3


def test_a_careful_learner_has_found_and_proved_both(both) -> None:
    found = mark(careful(both).attempt)
    assert found.evidenced
    assert [found.score(name) for name in ("diagnosis", "proof", "confirmation")] == [1, 1, 1]


def test_one_of_two_is_half_the_diagnosis_and_no_cure(both) -> None:
    learner = Learner(both)
    for walked in both.path[:3]:
        learner.take(walked)
    learner.do(NameFault(*COIL), ChooseRepair("relay.coil", "replace_part"), CloseJob())
    found = mark(learner.attempt)
    assert (found.score("diagnosis"), found.score("proof")) == (0.5, 0.5)
    assert found.score("confirmation") == 0.0
    assert not found.evidenced
    told = debrief(learner.attempt)
    assert told.cure.endswith("Something else is still wrong.")


def test_the_order_in_which_two_are_named_is_immaterial(both) -> None:
    learner = Learner(both)
    for walked in both.path:
        learner.take(walked)
    learner.do(NameFault(*GROUND), NameFault(*COIL))
    assert mark(learner.attempt).score("diagnosis") == 1.0


def test_a_third_name_pushes_out_the_first(both) -> None:
    learner = Learner(both)
    learner.do(NameFault(*GROUND), NameFault(*COIL), NameFault("W5", "open"))
    assert mark(learner.attempt).score("diagnosis") == 0.5


def test_what_was_repaired_in_vain_is_no_longer_suspected() -> None:
    exercise = library_exercise("silent_bell")
    learner = Learner(exercise)
    learner.take(exercise.path[0])
    before = _spots(still_possible(questions(exercise), learner.attempt.evidence))
    learner.do(NameFault("push.contact", "contact_open"))
    learner.do(ChooseRepair("push.contact", "replace_part"))
    after = _spots(still_possible(questions(exercise), learner.attempt.evidence))
    assert ("push.contact", "contact_open") in before
    assert not [spot for spot in after if spot[0] == "push.contact"]
    assert COIL in after


def test_a_fault_that_shows_only_when_moved_survives_a_sound_reading() -> None:
    exercise = job("W5:open@moved", conditions=["moved"], path=PATH[:2])
    learner = Learner(exercise)
    for walked in exercise.path:
        learner.take(walked)
    always = Candidates(exercise.circuit)
    for piece in learner.attempt.evidence:
        always.weigh(piece)
    assert ("W5", "open") not in _spots(always.left())
    left = _spots(still_possible(questions(exercise), learner.attempt.evidence))
    assert ("W5", "open") in left


def test_moving_what_does_it_leaves_only_what_moves_with_it() -> None:
    step = {"because": "x", "set": PRESSED}
    path = [step, step | {"wiggle": "W5"}]
    exercise = job("W5:open@moved", conditions=["moved"], path=path)
    group = _spots(good_path(exercise).group)
    assert ("W5", "open") in group
    assert NO_FAULT not in good_path(exercise).group
    assert {place for place, _ in group} <= {"W5", "W5+W7", "C1.1", "W7"}

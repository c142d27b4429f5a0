"""What was suspected, expected and concluded, held against the readings."""

import pytest

from exercises.actions import ChooseRepair, NameFault, PlaceLead
from exercises.asking import Expect, ListSuspects
from exercises.debrief import debrief
from exercises.evidence import NO_FAULT
from exercises.narrowing import questions, still_possible
from exercises.thought import conclusions, expectations, suspects_told
from tests.exercises.learners import Learner, job

HINTED = [("F1", "blown"), ("bell", "open"), ("W8", "high_resistance")]


def _expecting(learner: Learner, red: str, black: str, words: str) -> None:
    off = (PlaceLead("red", ""), PlaceLead("black", ""))
    learner.do(*off, PlaceLead("black", black), PlaceLead("red", red), Expect(words))


@pytest.fixture(scope="module")
def thinker():
    """Takes the ground end of the bell for a live one, and names what that rules out."""
    learner = Learner(job("W8:high_resistance:7", asks_suspects=True, asks_expected=True))
    learner.do(ListSuspects(tuple(HINTED)))
    learner.set(positions={"push": "pressed"})
    _expecting(learner, "C1.1", "BODY", "Battery voltage")
    _expecting(learner, "C1.2", "BODY", "4.6 V")
    learner.do(NameFault("bell", "high_resistance", "seems so"))
    learner.do(NameFault("bell", "open", "or so"))
    learner.do(ChooseRepair("bell", "replace_part"))
    learner.do(NameFault("G1", "corroded", "no longer"))
    return learner.attempt, debrief(learner.attempt)


def test_the_suspects_are_held_against_what_fitted_the_first_look(thinker) -> None:
    attempt, told = thinker
    looks = attempt.evidence[:1]
    assert looks[0].shown is None
    fitting = still_possible(questions(attempt.exercise), looks)
    spots = {(fault.place, fault.kind) for fault in fitting}
    listed = [spot for spot in HINTED if spot in spots]
    assert told.suspects[0] == (
        f"Of the {len(fitting)} faults that fitted what you first saw, your list had {len(listed)}."
    )
    assert told.suspects[1] == "The fault itself was on it."
    assert "connector cavity (2)" in told.suspects[2]
    assert "ground point (1)" in told.suspects[2]
    assert told.suspects[3] == (
        "What you first saw had already ruled out fuse F1 (blown) and bell (open circuit)."
    )


def test_a_list_without_the_fault_is_told_so() -> None:
    learner = Learner(job("W5:open", asks_suspects=True))
    learner.do(ListSuspects((("F1", "blown"),)))
    assert "The fault itself was not on it." in suspects_told(learner.attempt)


def test_where_no_list_was_asked_for_none_is_told_of() -> None:
    attempt = Learner(job("W8:open")).attempt
    assert suspects_told(attempt) == ()
    assert expectations(attempt) == ()
    assert conclusions(attempt, ()) == ()


def test_found_and_expected_stand_side_by_side(thinker) -> None:
    _, told = thinker
    right, wrong = told.expected
    assert (right.no, right.expected, right.right) == (1, "Battery voltage", True)
    assert (wrong.where, wrong.right, wrong.shown) == ("C1.2 to BODY", False, "4.637 V")
    assert wrong.sound.endswith("mV")  # the drop over a good ground wire and its post


def test_a_name_that_a_wrongly_expected_reading_ruled_out_is_a_gap_in_the_circuit(thinker) -> None:
    _, told = thinker
    one = told.concluded[0]
    assert one.gap == "circuit"
    assert "but reading 2 had ruled it out: with that fault it would have read" in one.words
    assert "You took 4.6 V to be right there; a sound vehicle shows" in one.words


def test_a_name_that_eyes_alone_ruled_out_is_a_gap_in_logic(thinker) -> None:
    _, told = thinker
    assert told.concluded[1].gap == "logic"
    assert "what you saw had ruled it out" in told.concluded[1].words
    assert "“Bell: silent”" in told.concluded[1].words


def test_a_wrong_name_with_rivals_left_wants_proof() -> None:
    learner = Learner(job("W5:open"))
    learner.do(NameFault(NO_FAULT.place, NO_FAULT.kind), NameFault("W8", "open"))
    told = conclusions(learner.attempt, ())
    assert [one.gap for one in told] == ["proof", "proof"]
    assert told[1].words == "You named W8 (open circuit) while 74 other faults still fitted."


def test_the_steps_tell_what_was_named_and_repaired_after_them(thinker) -> None:
    _, told = thinker
    assert told.own_path[2].then == (
        "Then you named bell (high resistance). Then you named bell (open circuit). "
        "The repair cured nothing: replace the part."
    )
    assert [row.reading for row in told.own_path[:3]] == [0, 1, 2]
    spent = [row.minutes for row in told.own_path]
    assert spent == sorted(spent)
    assert spent[0] > 0

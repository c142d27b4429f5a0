"""What an exercise asks for before readings, and the hints that it gives."""

import pytest

from exercises.actions import (
    ChooseRepair,
    NameFault,
    PlaceLead,
    PutClamp,
    ReadAgain,
    TurnDial,
    perform,
)
from exercises.asking import Expect, ListSuspects, TakeHint, given_hints, next_hint
from exercises.attempt import AttemptError
from exercises.desk import rebuilt
from exercises.diagnosis import fault_menu
from tests.exercises.learners import Learner, entry, job

FEED_OPEN = "W4:open"
FIRST = "List what could be wrong before you take the first reading."


def _steps(**changed) -> Learner:
    return Learner(job(FEED_OPEN, circuit="side_steps", **changed))


def _on(learner: Learner, red: str = "C1.2", black: str = "BODY") -> Learner:
    learner.do(PlaceLead("black", black), PlaceLead("red", red))
    return learner


# Suspects.


@pytest.mark.parametrize("act", [PlaceLead("red", "C1.2"), PutClamp("W1")], ids=["lead", "clamp"])
def test_nothing_is_measured_before_the_suspects_are_listed(act) -> None:
    learner = _steps(asks_suspects=True)
    with pytest.raises(AttemptError, match=FIRST):
        perform(learner.attempt, act)
    learner.do(ListSuspects((("W4", "open"),)), act)


def test_switches_may_be_worked_before_the_suspects_are_listed() -> None:
    learner = _steps(asks_suspects=True)
    assert learner.set(positions={"rocker": "deploy"}).seen
    assert learner.do(TurnDial("ohms")).entries == ()


def test_the_list_is_kept_as_it_was_made_each_suspect_once() -> None:
    learner = _steps(asks_suspects=True)
    listed = learner.do(ListSuspects((("W4", "open"), ("F1", "blown"), ("W4", "open"))))
    assert [(one.place, one.kind) for one in listed.suspected] == [("W4", "open"), ("F1", "blown")]
    with pytest.raises(AttemptError, match="The list stands"):
        perform(listed, ListSuspects((("W5", "open"),)))


@pytest.mark.parametrize(
    ("spots", "sentence"),
    [((), "at least one"), ((("W99", "open"),), "not one of"), ((("W4", "blown"),), "not one of")],
    ids=["none", "no such place", "no such kind there"],
)
def test_a_list_that_cannot_be_is_refused(spots, sentence) -> None:
    with pytest.raises(AttemptError, match=sentence):
        perform(_steps(asks_suspects=True).attempt, ListSuspects(spots))


def test_every_choice_of_the_menu_may_be_suspected() -> None:
    learner = _steps(asks_suspects=True)
    learner.list_suspects()
    offered = [(p.name, k.name) for p in fault_menu(learner.attempt.circuit) for k in p.kinds]
    assert [(one.place, one.kind) for one in learner.attempt.suspected] == offered


def test_an_exercise_that_does_not_ask_takes_no_list() -> None:
    with pytest.raises(AttemptError, match="does not ask"):
        perform(_steps().attempt, ListSuspects((("W4", "open"),)))


def test_once_a_fault_is_named_the_list_is_not_asked_for_any_more() -> None:
    learner = _steps(asks_suspects=True)
    learner.do(NameFault("W4", "open"))
    assert not learner.attempt.lacks_suspects
    _on(learner)
    assert len(learner.attempt.entries) == 1


# Expectation.


def test_the_meter_shows_nothing_until_the_expectation_is_stated() -> None:
    learner = _on(_steps(asks_expected=True))
    waiting = learner.attempt
    assert (waiting.reading, waiting.entries, waiting.evidence) == (None, (), ())
    assert waiting.awaited is not None
    assert "shown" not in str(learner.events[-1].body)
    read = learner.do(Expect("12.4"))
    assert read.awaited is None
    assert read.entries[0].expected == "12.4 V"
    assert read.entries[0].expected_right is True
    assert read.entries[0].shown.text != "12.4 V"


def test_waiting_costs_no_reading_and_answering_costs_what_one_does() -> None:
    asked, free = _on(_steps(asks_expected=True)), _on(_steps())
    assert asked.attempt.minutes < free.attempt.minutes
    assert asked.do(Expect("0")).minutes == pytest.approx(free.attempt.minutes)


def test_without_leads_there_is_nothing_to_expect() -> None:
    with pytest.raises(AttemptError, match="place both leads"):
        perform(_steps(asks_expected=True).attempt, Expect("12.4"))


def test_the_same_reading_again_keeps_its_expectation() -> None:
    learner = _on(_steps(asks_expected=True))
    learner.do(Expect("About 0 V"), ReadAgain())
    learner.do(PlaceLead("red", ""), PlaceLead("red", "C1.2"))
    assert [e.expected for e in learner.attempt.entries] == ["About 0 V"] * 3
    assert [e.expected_right for e in learner.attempt.entries] == [False] * 3


def test_another_setting_is_another_question() -> None:
    learner = _on(_steps(asks_expected=True), red="C1.4")
    learner.do(Expect("About 0 V"))
    assert learner.set(positions={"rocker": "lamps"}).awaited is not None
    assert learner.attempt.reading is None
    learner.do(Expect("Battery voltage"))
    assert [e.expected_right for e in learner.attempt.entries] == [True, True]


def test_after_the_repair_nothing_is_asked() -> None:
    learner = _steps(asks_expected=True)
    learner.do(NameFault("W4", "open"), ChooseRepair("W4", "renew_wire"))
    entries = _on(learner).attempt.entries
    assert [entry.expected for entry in entries] == [""]


def test_an_expectation_is_no_evidence() -> None:
    right, wrong = _on(_steps(asks_expected=True)), _on(_steps(asks_expected=True))
    found = [right.do(Expect("12.4")).evidence, wrong.do(Expect("OL")).evidence]
    assert found[0] == found[1]


# Hints.


def _hinted(learner: Learner, *depths: int) -> Learner:
    learner.do(*(TakeHint(depth, f"hint {depth}") for depth in depths))
    return learner


def test_hints_go_one_deeper_each_and_are_kept_in_their_words() -> None:
    learner = _hinted(_steps(), 1, 2, 3)
    assert learner.attempt.hints == (1, 2, 3)
    assert [hint.words for hint in given_hints(learner.attempt)] == ["hint 1", "hint 2", "hint 3"]
    assert next_hint(learner.attempt) is None
    with pytest.raises(AttemptError, match="one by one"):
        perform(learner.attempt, TakeHint(1, "again"))


def test_a_reading_begins_the_hints_anew() -> None:
    learner = _on(_hinted(_steps(), 1, 2))
    assert given_hints(learner.attempt) == ()
    assert next_hint(learner.attempt) == 1


def test_a_hint_stays_while_the_vehicle_is_set_as_it_says() -> None:
    learner = _hinted(_steps(), 1, 2)
    learner.set(positions={"rocker": "deploy"})
    assert len(given_hints(learner.attempt)) == 2
    assert next_hint(learner.attempt) == 3


def test_after_the_deepest_hint_something_new_that_is_seen_begins_them_anew() -> None:
    learner = _hinted(_steps(), 1, 2, 3)
    learner.set(positions={"rocker": "deploy"})
    assert next_hint(learner.attempt) == 1
    assert [hint.depth for hint in given_hints(_hinted(learner, 1).attempt)] == [1]


@pytest.mark.parametrize(("deepest", "allowed"), [(0, ()), (1, (1,)), (2, (1, 2))])
def test_an_exercise_gives_no_deeper_hint_than_its_rules(deepest, allowed) -> None:
    learner = _hinted(_steps(hints=deepest), *allowed)
    assert next_hint(learner.attempt) is None
    with pytest.raises(AttemptError):
        perform(learner.attempt, TakeHint(deepest + 1, "deeper"))


def test_hints_cost_no_minutes_and_teach_the_marks_nothing() -> None:
    learner = _hinted(_steps(), 1, 2, 3)
    assert (learner.attempt.minutes, learner.attempt.evidence) == (0.0, ())


def test_all_of_it_comes_back_from_the_events() -> None:
    asks = {"asks_suspects": True, "asks_expected": True}
    learner = Learner(entry(FEED_OPEN, circuit="side_steps", **asks))
    learner.do(ListSuspects((("W4", "open"),)))
    _on(learner).do(Expect("12.6 V"))
    _hinted(learner, 1)
    again = rebuilt(tuple(learner.events))
    assert again.suspected == learner.attempt.suspected
    assert again.entries == learner.attempt.entries
    assert again.hinted == learner.attempt.hinted

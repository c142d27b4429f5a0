"""Marks: what careful, lucky, careless and other learners get, each with its evidence."""

import contextlib
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuits.cautions import CAUTIONS
from circuits.files import library_circuit
from circuits.model import CircuitError
from exercises.actions import (
    ChooseRepair,
    CloseJob,
    GiveUp,
    NameFault,
    PlaceLead,
    ReadAgain,
    ReplaceFuse,
    TurnDial,
)
from exercises.attempt import Attempt, AttemptError
from exercises.desk import rebuilt
from exercises.diagnosis import NO_FAULT_WORDS, fault_menu, repairs_at
from exercises.events import events_from_jsonl, events_to_jsonl
from exercises.evidence import NO_FAULT
from exercises.files import library_entry, library_exercise
from exercises.goodpath import good_path
from exercises.marking import COLUMNS, MARKER, Mark, mark, words_for
from tests.conftest import FULL
from tests.exercises.learners import (
    ATTEMPT_ID,
    Learner,
    careful,
    job,
    lucky,
    name_the_truth,
    random_setting,
    random_test,
    right_repair,
)

FIRST_TWELVE = (
    "silent_bell",
    "faint_bell",
    "bell_never_stops",
    "left_step_dead",
    "both_steps_slow",
    "steps_dead_at_the_depot",
    "right_step_stays_out",
    "left_step_stays_in",
    "new_fuse_blows",
    "left_step_stays_out",
    "right_step_slow",
    "dim_step_lamps",
)
MARKED = (
    FIRST_TWELVE if FULL else ("silent_bell", "faint_bell", "right_step_slow", "left_step_dead")
)
"""Exercises on which learners are marked in every run; the full run takes the first twelve."""

NAME = "faint_bell"
PRESSED = {"push": "pressed"}


def _scores(found: Mark) -> dict[str, float]:
    return {column.name: column.score for column in found.columns}


def _column(found: Mark, name: str):
    return next(column for column in found.columns if column.name == name)


def _walked(name: str = NAME, *, but: int = 0) -> Learner:
    """Return a learner who has walked the good path but for its last few steps."""
    learner = Learner(library_exercise(name))
    for step in learner.attempt.exercise.path[: len(learner.attempt.exercise.path) - but]:
        learner.take(step)
    return learner


@pytest.mark.parametrize("name", MARKED)
def test_the_careful_learner_is_evidenced_with_full_marks(name) -> None:
    found = mark(careful(library_exercise(name)).attempt)
    assert _scores(found) == dict.fromkeys(COLUMNS, 1.0)
    assert found.evidenced


@pytest.mark.parametrize("name", MARKED)
def test_the_lucky_guesser_is_not_evidenced(name) -> None:
    scores = _scores(mark(lucky(library_exercise(name)).attempt))
    assert scores["diagnosis"] == 1
    assert scores["proof"] <= 0.2
    assert scores["economy"] <= 0.2
    assert not mark(lucky(library_exercise(name)).attempt).evidenced


@pytest.mark.parametrize("seed", [3, 4])
def test_the_careful_learner_is_evidenced_on_a_vehicle_of_their_own(seed) -> None:
    learner = Learner(library_entry(NAME), seed=seed)
    for step in learner.attempt.exercise.path:
        learner.take(step)
    learner.do(name_the_truth(learner.attempt), right_repair(learner.attempt))
    learner.take(learner.attempt.exercise.path[-1])
    assert mark(learner.do(CloseJob())).evidenced


def test_two_candidates_left_are_not_proved() -> None:
    learner = _walked(but=1)
    assert [len(step.left) for step in good_path(library_exercise(NAME)).steps][-2] == 2
    found = mark(learner.do(NameFault("G1", "corroded")))
    assert _scores(found)["proof"] == 0.7
    (told,) = _column(found, "proof").evidence
    assert told.startswith("After 2 readings one other fault was still possible: Wire W8")


def test_more_rivals_are_worth_less_proof() -> None:
    worth = [
        _scores(mark(_walked(but=but).do(NameFault("G1", "corroded"))))["proof"]
        for but in range(len(library_exercise(NAME).path) + 1)
    ]
    assert worth == sorted(worth, reverse=True)
    assert (worth[0], worth[-1]) == (1, 0)


def test_naming_what_the_readings_have_ruled_out_proves_nothing() -> None:
    found = mark(_walked().do(NameFault("W8", "high_resistance")))
    assert _scores(found)["proof"] == 0
    assert _column(found, "proof").evidence == (
        "The readings had already ruled out what was named.",
    )


@pytest.mark.parametrize(
    ("place", "kind", "score"),
    [
        ("G1", "corroded", 1.0),
        ("G1", "open", 0.6),
        ("W8", "high_resistance", 0.0),
        (NO_FAULT.place, NO_FAULT.kind, 0.0),
    ],
)
def test_a_diagnosis_counts_by_place_and_kind(place, kind, score) -> None:
    assert _scores(mark(_walked().do(NameFault(place, kind))))["diagnosis"] == score


def test_the_right_kind_at_another_place_of_the_part_counts_more_than_another_kind() -> None:
    exercise = library_exercise("left_step_stays_in")
    assert exercise.faults[0].place == "IL.2"
    near = Learner(exercise).do(NameFault("IL.1", "backed_out"))
    part = Learner(exercise).do(NameFault("IL.1", "corroded"))
    assert (_scores(mark(near))["diagnosis"], _scores(mark(part))["diagnosis"]) == (0.8, 0.6)


def test_a_fault_that_no_test_of_the_path_tells_from_the_true_one_counts_as_it() -> None:
    step = {"because": "x", "set": PRESSED, "volts": ["relay.30", "relay.87"]}
    learner = Learner(job("relay.contact:contact_open", path=[step]))
    learner.take(learner.attempt.exercise.path[0])
    found = mark(learner.do(NameFault("relay.contact", "contact_burnt")))
    assert (_scores(found)["diagnosis"], _scores(found)["proof"]) == (1, 1)


def test_where_nothing_is_at_fault_naming_a_slight_fault_is_no_finding() -> None:
    path = [{"because": "x"}, {"because": "x", "set": PRESSED}]
    learner = Learner(job(path=path))
    for step in learner.attempt.exercise.path:
        learner.take(step)
    slight = [f for f in good_path(learner.attempt.exercise).group if f != NO_FAULT]
    found = mark(learner.do(NameFault(slight[0].place, slight[0].kind)))
    assert _scores(found)["diagnosis"] == 0
    assert _scores(found)["proof"] == 0
    assert not found.evidenced


def test_no_fault_is_not_proved_before_the_vehicle_was_worked() -> None:
    path = [{"because": "x"}, {"because": "x", "set": PRESSED}]
    none = NameFault(NO_FAULT.place, NO_FAULT.kind)
    at_once = _scores(mark(Learner(job(path=path)).do(none)))
    learner = Learner(job(path=path))
    for step in learner.attempt.exercise.path:
        learner.take(step)
    worked = mark(learner.do(none))
    assert at_once["proof"] < _scores(worked)["proof"] == 1
    assert "worked in every position" in _column(worked, "proof").evidence[0]


def test_repairing_what_was_never_at_fault_confirms_nothing() -> None:
    learner = Learner(job())
    learner.do(NameFault("W5", "open"), ChooseRepair("W5", "renew_wire"))
    found = mark(learner.attempt)
    assert _scores(found)["confirmation"] == 0
    assert "nothing was at fault" in _column(found, "confirmation").evidence[0]


def test_a_wrong_part_lowers_care_and_costs_minutes() -> None:
    learner = _walked()
    learner.do(NameFault("bell", "open"), ChooseRepair("bell", "replace_part"))
    learner.do(name_the_truth(learner.attempt), right_repair(learner.attempt))
    found = mark(learner.attempt)
    assert _scores(found)["care"] == pytest.approx(0.9)
    assert _column(found, "care").evidence == ("1 repair of something that was sound.",)
    assert _scores(found)["economy"] < 0.25


def test_the_parts_swapper_is_cured_and_not_evidenced() -> None:
    learner = Learner(library_exercise(NAME))
    swaps = [("bell", "open", "replace_part"), ("relay.contact", "contact_open", "replace_part")]
    swaps += [("W7", "open", "renew_wire"), ("W8", "open", "renew_wire")]
    for place, kind, repair in [*swaps, ("G1", "corroded", "clean_ground")]:
        learner.do(NameFault(place, kind), ChooseRepair(place, repair))
    attempt = learner.do(CloseJob())
    found = mark(attempt)
    assert attempt.cured
    assert _scores(found)["care"] == pytest.approx(0.6)
    assert _scores(found)["economy"] == _scores(found)["proof"] == 0
    assert not found.evidenced


def test_giving_up_costs_the_diagnosis_whatever_was_named() -> None:
    learner = _walked()
    learner.do(name_the_truth(learner.attempt), right_repair(learner.attempt))
    before, after = _scores(mark(learner.attempt)), _scores(mark(learner.do(GiveUp())))
    assert (before["diagnosis"], after["diagnosis"]) == (1, 0)
    assert {n: s for n, s in before.items() if n != "diagnosis"} == {
        n: s for n, s in after.items() if n != "diagnosis"
    }


def test_an_attempt_without_an_act_has_marks_too() -> None:
    scores = _scores(mark(Attempt(library_exercise(NAME))))
    assert scores == {
        "diagnosis": 0,
        "proof": 0,
        "economy": 0,
        "care": 1,
        "confirmation": 0,
    }


@pytest.mark.parametrize(
    ("instrument", "isolated", "red", "caution", "cost"),
    [
        ("ohms", False, "BAT.pos", "ohms_live", 0.25),
        ("continuity", False, "BAT.pos", "ohms_live", 0.25),
        ("amps", False, "BAT.pos", "amps_across_supply", 0.25),
        ("ohms", False, "G2", "isolate_first", 0.05),
        ("ohms", True, "G2", "", 0.0),
    ],
)
def test_a_caution_that_was_not_kept_lowers_care_and_is_told(
    instrument, isolated, red, caution, cost
) -> None:
    learner = Learner(library_exercise(NAME))
    learner.set(isolated=isolated)
    learner.probe(red, "BODY", instrument)
    found = _column(mark(learner.attempt), "care")
    assert found.score == pytest.approx(1 - cost)
    assert found.evidence == ((CAUTIONS[caution],) if caution else ("Every caution was kept.",))


def test_a_slip_made_twice_costs_twice_and_is_told_as_two() -> None:
    learner = Learner(library_exercise(NAME))
    learner.probe("BAT.pos", "BODY", "ohms")
    found = _column(mark(learner.do(ReadAgain())), "care")
    assert found.score == pytest.approx(0.5)
    assert found.evidence[0].startswith("2 times: ")


def test_a_motor_held_at_its_stop_is_one_slip_for_each_act() -> None:
    learner = Learner(library_exercise("left_step_dead"))
    learner.do(PlaceLead("red", "F1.out"), PlaceLead("black", "BODY"))
    learner.set(
        unmated=["ML"],
        jumpers=[("BAT.pos", "ML.1@unit"), ("BODY", "ML.2@unit")],
        moment="at_rest",
    )
    assert learner.attempt.slips.count("held_at_stop") == 1


def test_readings_taken_after_a_wrong_repair_still_prove() -> None:
    learner = Learner(library_exercise(NAME))
    learner.do(NameFault("bell", "open"), ChooseRepair("bell", "replace_part"))
    for step in learner.attempt.exercise.path:
        learner.take(step)
    learner.do(name_the_truth(learner.attempt), right_repair(learner.attempt))
    learner.take(learner.attempt.exercise.path[-1])
    found = mark(learner.attempt)
    assert (_scores(found)["proof"], _scores(found)["confirmation"]) == (1, 1)
    assert found.evidenced


def test_a_cure_is_confirmed_by_repeating_the_reading_that_was_wrong() -> None:
    learner = _walked()
    learner.do(name_the_truth(learner.attempt), PlaceLead("red", ""), right_repair(learner.attempt))
    worked = mark(learner.attempt)
    learner.do(PlaceLead("red", "G1"))
    repeated = _column(mark(learner.attempt), "confirmation")
    assert _scores(worked)["confirmation"] == 0.5
    assert (repeated.score, repeated.evidence) == (
        1,
        ("G1 to BODY: 4.633 V before, 2.1 mV after.",),
    )


def test_another_reading_than_the_wrong_one_confirms_by_half() -> None:
    learner = _walked()
    learner.do(name_the_truth(learner.attempt), PlaceLead("red", ""), right_repair(learner.attempt))
    learner.probe("C1.1", "BODY")
    assert _scores(mark(learner.attempt))["confirmation"] == 0.5


def test_a_reading_that_is_still_wrong_confirms_nothing() -> None:
    learner = _walked()
    learner.do(NameFault("W8", "open"), ChooseRepair("W8", "renew_wire"), ReadAgain())
    found = _column(mark(learner.attempt), "confirmation")
    assert (found.score, found.evidence) == (0, ("The fault is still there.",))


def test_slow_work_costs_economy_in_proportion() -> None:
    learner = _walked()
    for _ in range(40):
        learner.do(ReadAgain())
    attempt = learner.do(name_the_truth(learner.attempt))
    good = good_path(attempt.exercise).minutes
    expected = 1.25 * good / (good + 40 * 0.5)
    assert _scores(mark(attempt))["economy"] == pytest.approx(expected)


def test_a_quarter_more_than_the_good_path_is_still_full_economy() -> None:
    learner = _walked()
    learner.do(ReadAgain(), ReadAgain())
    assert _scores(mark(learner.do(name_the_truth(learner.attempt))))["economy"] == 1


def test_what_is_done_after_naming_does_not_change_economy_or_proof() -> None:
    learner = _walked(but=1)
    before = mark(learner.do(NameFault("G1", "corroded")))
    learner.do(TurnDial("volts"), *[ReadAgain()] * 5)
    learner.take(learner.attempt.exercise.path[-1])
    for name in ("proof", "economy", "diagnosis"):
        assert _column(mark(learner.attempt), name) == _column(before, name)


def test_every_mark_has_its_rule_its_evidence_and_the_version_of_the_rules() -> None:
    found = mark(careful(library_exercise(NAME)).attempt)
    assert tuple(column.name for column in found.columns) == COLUMNS
    assert all(column.rule and column.evidence for column in found.columns)
    assert (found.marker, found.up_to) == (MARKER, careful(library_exercise(NAME)).attempt.last)


def test_marks_of_the_exported_events_equal_those_of_the_job() -> None:
    learner = careful(library_entry(NAME))
    text = events_to_jsonl(ATTEMPT_ID, learner.events)
    assert mark(rebuilt(events_from_jsonl(text))) == mark(learner.attempt)


def test_words_leave_how_bad_out_unless_asked_for() -> None:
    (fault,) = library_exercise(NAME).faults
    circuit = library_circuit("call_bell")
    assert words_for(circuit, fault) == "Ground G1: corroded, high resistance"
    assert words_for(circuit, fault, how_bad=True).endswith("(7 Ω)")
    assert words_for(circuit, NO_FAULT) == NO_FAULT_WORDS


def _act_at_random(learner: Learner, random: Random) -> None:
    places = fault_menu(learner.attempt.circuit)
    place = random.choice(places)
    kind = random.choice(place.kinds).name
    repair = random.choice(repairs_at(learner.attempt.circuit, place.name))
    act = random.choice(
        [
            lambda: random_test(learner, random),
            lambda: learner.do(random_setting(learner.attempt, random)),
            lambda: learner.do(NameFault(place.name, kind)),
            lambda: learner.do(name_the_truth(learner.attempt)),
            lambda: learner.do(ChooseRepair(place.name, repair)),
            lambda: learner.do(right_repair(learner.attempt)),
            lambda: learner.do(ReplaceFuse(random.choice(["F1", "meter"]))),
            lambda: learner.do(ReadAgain()),
            lambda: learner.do(random.choice([CloseJob(), GiveUp(), ReadAgain(), ReadAgain()])),
        ]
    )
    with contextlib.suppress(AttemptError, CircuitError):
        act()  # what cannot be done now is refused, and nothing is kept of it


@settings(max_examples=200 if FULL else 15)
@given(st.integers(0, 2**32), st.sampled_from(FIRST_TWELVE[:3]), st.integers(0, 8))
def test_scores_stay_within_0_and_1_whatever_is_done(seed, name, acts) -> None:
    learner, random = Learner(library_exercise(name)), Random(seed)
    for _ in range(acts):
        _act_at_random(learner, random)
    found = mark(learner.attempt)
    assert all(0 <= column.score <= 1 for column in found.columns)
    assert found.evidenced <= (found.score("diagnosis") == 1)
    assert found.score("economy") <= found.score("proof")

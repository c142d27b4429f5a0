"""The desk: an attempt with the store behind it, opened in two tabs, resent, cut off, rebuilt."""

import pytest

from circuits.model import AS_FOUND
from circuits.settings import setting_from
from exercises.actions import ChangeSetting, CloseJob, NameFault, PlaceLead
from exercises.attempt import Attempt, AttemptError
from exercises.desk import ENGINE, Desk, began, begin, method_of, rebuilt
from exercises.events import Draft, chained, events_from_jsonl, events_to_jsonl
from exercises.files import ExerciseFileError, library_entry, library_exercise
from exercises.marking import MARKER, Weights
from exercises.records import NotKept, UnknownAttempt
from exercises.variants import draw_variant, varied
from tests.exercises.learners import ATTEMPT_ID, careful
from tests.exercises.stores import opened

NAME = "faint_bell"
RED, BLACK = PlaceLead("red", "C1.1"), PlaceLead("black", "BODY")


@pytest.fixture
def store(tmp_path):
    found = opened(tmp_path / "lab.db")
    yield found
    found.close()


@pytest.fixture
def attempt_id(store) -> str:
    return begin(store, library_entry(NAME), seed=0, key="begin", at=1_000)


def test_a_new_attempt_begins_with_all_that_it_is_rebuilt_from(store, attempt_id) -> None:
    (event,) = store.events(attempt_id)
    assert (event.kind, event.body["engine"]) == ("began", ENGINE)
    assert Desk(store, attempt_id).attempt == Attempt(library_exercise(NAME), last=1)


def test_an_attempt_goes_on_with_the_exercise_that_it_began_with(store, attempt_id) -> None:
    row = store.attempt(attempt_id)
    assert row.exercise_body == library_entry(NAME).body
    assert Desk(store, attempt_id).exercise == library_exercise(NAME)


def test_a_press_is_kept_and_read_back_by_another_desk(store, attempt_id) -> None:
    desk = Desk(store, attempt_id)
    desk.press(RED, key="1", at=2_000)
    pressed = desk.press(BLACK, key="2", at=3_000)
    assert not pressed.behind
    assert pressed.attempt.reading is not None
    assert Desk(store, attempt_id).attempt == pressed.attempt


def test_a_tab_that_is_behind_is_told_so_and_shown_the_news(store, attempt_id) -> None:
    first, second = Desk(store, attempt_id), Desk(store, attempt_id)
    first.press(RED, key="1", at=2_000)
    pressed = second.press(BLACK, key="2", at=3_000)
    assert pressed.behind
    assert pressed.attempt == first.attempt
    assert (pressed.attempt.red, pressed.attempt.black) == ("C1.1", "")


def test_a_press_after_being_behind_is_kept(store, attempt_id) -> None:
    first, second = Desk(store, attempt_id), Desk(store, attempt_id)
    first.press(RED, key="1", at=2_000)
    second.press(BLACK, key="2", at=3_000)
    pressed = second.press(BLACK, key="3", at=4_000)
    assert not pressed.behind
    assert pressed.attempt.reading is not None


def test_two_tabs_that_press_in_turn_end_with_one_attempt(store, attempt_id) -> None:
    first, second = Desk(store, attempt_id), Desk(store, attempt_id)
    points = ("C1.1", "C1.2", "relay.87", "G1")
    for number, point in enumerate(points):
        desk = (first, second)[number % 2]
        desk.catch_up()
        assert not desk.press(PlaceLead("red", point), key=str(number), at=number).behind
    first.catch_up()
    second.catch_up()
    assert first.attempt == second.attempt
    assert first.attempt.last == 1 + len(points)


def test_catching_up_with_nothing_new_changes_nothing(store, attempt_id) -> None:
    desk = Desk(store, attempt_id)
    before = desk.attempt
    assert desk.catch_up() == before


def test_a_press_sent_twice_counts_once(store, attempt_id) -> None:
    desk = Desk(store, attempt_id)
    once = desk.press(RED, key="1", at=2_000).attempt
    again = desk.press(RED, key="1", at=2_500)
    assert again.attempt == once
    assert not again.behind
    assert len(store.events(attempt_id)) == 2


def test_a_press_whose_answer_was_lost_is_shown_when_it_is_sent_again(store, attempt_id) -> None:
    lost, now = Desk(store, attempt_id), Desk(store, attempt_id)
    lost.press(RED, key="1", at=2_000)
    assert now.press(RED, key="1", at=2_500).attempt.red == "C1.1"
    assert len(store.events(attempt_id)) == 2


def test_a_key_that_another_press_has_used_is_refused(store, attempt_id) -> None:
    first, second = Desk(store, attempt_id), Desk(store, attempt_id)
    first.press(RED, key="1", at=2_000)
    with pytest.raises(NotKept, match="a new key for a new press"):
        second.press(BLACK, key="1", at=3_000)
    assert Desk(store, attempt_id).attempt == first.attempt


def test_an_act_that_cannot_be_done_leaves_nothing_behind(store, attempt_id) -> None:
    desk = Desk(store, attempt_id)
    before = desk.attempt
    with pytest.raises(AttemptError):
        desk.press(CloseJob(), key="1", at=2_000)
    assert desk.attempt == before
    assert len(store.events(attempt_id)) == 1


def test_an_unknown_attempt_is_told(store) -> None:
    with pytest.raises(UnknownAttempt):
        Desk(store, "nobody")


@pytest.fixture
def cut_off(store) -> str:
    """Return an attempt whose beginning was cut off between its row and its first event."""
    entry = library_entry(NAME)
    return store.begin(
        entry.name,
        entry.body,
        entry.circuit_name,
        entry.circuit_body,
        seed=9,
        engine=ENGINE,
        at=1_000,
    )


def test_an_attempt_cut_off_before_its_first_event_gets_it_when_opened(store, cut_off) -> None:
    Desk(store, cut_off)
    (event,) = store.events(cut_off)
    assert event.body == began(library_entry(NAME), 9).body
    assert event.at == 1_000


def test_it_is_opened_twice_with_one_first_event(store, cut_off) -> None:
    assert Desk(store, cut_off).attempt == Desk(store, cut_off).attempt
    assert len(store.events(cut_off)) == 1


def test_it_can_be_worked_on_and_rebuilt_from_its_events(store, cut_off) -> None:
    desk = Desk(store, cut_off)
    desk.press(RED, key="1", at=2_000)
    attempt = desk.press(BLACK, key="2", at=3_000).attempt
    exercise = library_exercise(NAME)
    assert attempt.exercise == varied(exercise, draw_variant(exercise, 9))
    assert rebuilt(store.events(cut_off)) == attempt


@pytest.mark.parametrize("seed", [0, 5])
def test_what_is_rebuilt_from_the_exported_file_equals_what_was_worked_on(store, seed) -> None:
    attempt_id = begin(store, library_entry(NAME), seed=seed, key="begin", at=1_000)
    desk = Desk(store, attempt_id)
    pressed = ChangeSetting(setting_from(desk.exercise.circuit, positions={"push": "pressed"}))
    acts = (pressed, RED, BLACK, NameFault("G1", "corroded", "läuft 4.6 V – Ω"))
    for number, act in enumerate(acts):
        desk.press(act, key=str(number), at=2_000 + number)
    text = events_to_jsonl(attempt_id, store.events(attempt_id))
    assert rebuilt(events_from_jsonl(text)) == desk.attempt
    assert desk.attempt.setting != AS_FOUND


def test_a_whole_job_is_rebuilt_without_a_store() -> None:
    learner = careful(library_entry(NAME))
    text = events_to_jsonl(ATTEMPT_ID, learner.events)
    assert rebuilt(events_from_jsonl(text)) == learner.attempt


def test_events_without_their_beginning_are_refused() -> None:
    event = chained("A", None, Draft("lead", {"lead": "red", "point": "C1.1"}), key="k", at=1)
    for events in ((), (event,)):
        with pytest.raises(AttemptError, match="accepted: 'began'"):
            rebuilt(events)


@pytest.mark.parametrize(
    "missing", ["exercise_name", "exercise", "circuit_name", "circuit"], ids=lambda key: key
)
def test_a_beginning_that_lacks_something_is_told(missing) -> None:
    body = dict(began(library_entry(NAME), 0).body)
    del body[missing]
    event = chained("A", None, Draft("began", body), key="k", at=1)
    with pytest.raises(AttemptError, match=f"event 1: lacks '{missing}'"):
        rebuilt((event,))


def test_an_exercise_that_is_not_good_is_told_with_its_problems() -> None:
    body = {**began(library_entry(NAME), 0).body, "exercise": {"title": "x"}}
    event = chained("A", None, Draft("began", body), key="k", at=1)
    with pytest.raises(ExerciseFileError) as caught:
        rebuilt((event,))
    assert len(caught.value.problems) > 3


def _closed(store, attempt_id: str) -> Desk:
    desk = Desk(store, attempt_id)
    desk.press(NameFault("G1", "corroded"), key="name", at=2_000)
    desk.press(CloseJob(), key="close", at=3_000)
    return desk


def test_a_mark_is_kept_once_with_its_method_and_its_weights(store, attempt_id) -> None:
    desk = _closed(store, attempt_id)
    made = desk.debriefed(at=4_000).mark
    desk.debriefed(at=5_000)
    (row,) = store.marks(attempt_id)
    assert row.marker == method_of(made) == f"rules {MARKER}, engine {ENGINE}"
    assert row.columns == {column.name: column.score for column in made.columns}
    assert Weights(**row.weights) == Weights()


def test_other_weights_make_another_mark_and_leave_the_first(store, attempt_id) -> None:
    desk = _closed(store, attempt_id)
    desk.debriefed(at=4_000)
    desk.debriefed(at=5_000, weights=Weights(1, 1, 1, 1, 1))
    first, second = store.marks(attempt_id)
    assert Weights(**first.weights) == Weights()
    assert set(second.weights.values()) == {0.2}
    assert first.columns == second.columns


def test_a_mark_by_older_rules_stays_as_it_was_and_the_new_one_counts(store, attempt_id) -> None:
    desk = _closed(store, attempt_id)
    last = store.events(attempt_id)[-1]
    old = store.keep_mark(
        attempt_id, last.seq, last.digest, marker="1", weights={}, columns={"care": 0.5}, at=3_500
    )
    made = desk.debriefed(at=4_000).mark
    first, second = store.marks(attempt_id)
    assert first == old
    assert second.marker == method_of(made) != old.marker

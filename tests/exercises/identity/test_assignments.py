"""Exercises set for a class: under which rules, for whom, and where the attempts stand."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from threading import Barrier
from typing import Any

import pytest

from exercises.actions import ChooseRepair, CloseJob, NameFault
from exercises.asking import TakeHint
from exercises.attempt import AttemptError
from exercises.desk import Desk, begin
from exercises.files import LibraryExercise
from exercises.identity.door import Door
from exercises.identity.office import Office
from exercises.identity.people import NotAccepted, People, Person, SignedOut
from exercises.identity.rules import Rules, may_debrief, rules_of, seed_for
from exercises.identity.seat import Seat
from exercises.owned import OwnStore, Reach
from exercises.records import NotKept
from exercises.store import SqlStore
from tests.exercises.identity.conftest import joined
from tests.screens.jobs import LEFT_FEED_OPEN, entry

PLAIN = LibraryExercise("dead step", {"complaint": "stays in"}, "steps", {"wires": []})


@pytest.fixture
def class_id(office: Office) -> str:
    return office.make_class("Tuesday", at=1).id


@pytest.fixture
def ada(door: Door, office: Office, class_id: str) -> Person:
    return joined(door, office, "Ada", class_id)


def _begun(
    store: SqlStore, learner: Person, assignment_id: str, *, seed: int = 1, **changed: Any
) -> str:
    told = PLAIN if not changed else LibraryExercise(**changed)
    return store.begin(
        told.name,
        told.body,
        told.circuit_name,
        told.circuit_body,
        seed=seed,
        engine="1",
        at=5_000,
        learner_id=learner.id,
        assignment_id=assignment_id,
    )


def test_set_exercise_is_read_back_in_the_version_of_that_moment(
    office: Office, class_id: str
) -> None:
    rules = Rules(tries=3, group="A", weights={"proof": 9.9})
    made = office.set_exercise(class_id, PLAIN, rules, opens=10, due=20, at=9)

    assert office.assignments(class_id) == (made,)
    assert office.assignment(made.id) == made
    assert (made.exercise_name, made.exercise_body) == (PLAIN.name, PLAIN.body)
    assert (made.circuit_name, made.circuit_body) == (PLAIN.circuit_name, PLAIN.circuit_body)
    assert (made.opens, made.due, made.made_at, made.released_at) == (10, 20, 9, None)
    assert rules_of(made) == rules


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"rules": Rules(tries=0)}, r"^Tries: found 0; accepted: 1 to 100"),
        ({"rules": Rules(weights={"proof": -1})}, r"^Weight of proof: found -1; accepted"),
        ({"rules": Rules(), "due": 9}, r"^Due: that is over before"),
        ({"rules": Rules(), "opens": 30, "due": 20}, r"^Due: that is over before"),
    ],
)
def test_rules_that_cannot_be_are_refused(
    office: Office, class_id: str, changes: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(NotAccepted, match=sentence):
        office.set_exercise(class_id, PLAIN, at=9, **changes)
    assert office.assignments(class_id) == ()


def test_learner_finds_what_is_open_for_their_group(
    office: Office, people: People, class_id: str, ada: Person
) -> None:
    office.set_group(ada.id, "A")
    for_all = office.set_exercise(class_id, PLAIN, Rules(), at=1)
    for_a = office.set_exercise(class_id, PLAIN, Rules(group="A"), due=100, at=2)
    for_b = office.set_exercise(class_id, PLAIN, Rules(group="B"), at=3)
    later = office.set_exercise(class_id, PLAIN, Rules(), opens=50, at=4)

    def found(at: int) -> list[str]:
        return [work.assignment.id for work in Seat(people, ada).work(at=at)]

    assert found(10) == [for_a.id, for_all.id]
    assert found(50) == [later.id, for_a.id, for_all.id]
    assert found(100) == [later.id, for_all.id]
    office.set_due(for_a.id, None)
    assert found(100) == [later.id, for_a.id, for_all.id]
    with pytest.raises(NotAccepted, match="not one that is set for you"):
        Seat(people, ada).next_try(for_b.id, at=10)


def test_tries_are_counted_and_each_has_a_seed_of_its_own(
    office: Office, people: People, store: SqlStore, class_id: str, ada: Person
) -> None:
    twice = office.set_exercise(class_id, PLAIN, Rules(tries=2), at=1)
    seat, seeds = Seat(people, ada), []
    for tries in range(2):
        work, seed = seat.next_try(twice.id, at=5)
        assert len(work.attempts) == tries
        seeds.append(seed)
        _begun(store, ada, twice.id, seed=seed)

    with pytest.raises(NotAccepted, match=r"^You have no further try"):
        seat.next_try(twice.id, at=5)
    assert len(set(seeds)) == 2
    assert seeds[0] == seed_for(twice.id, ada.id, 0) != seed_for(twice.id, "another", 0)
    assert all(0 <= seed < 2**31 for seed in seeds)


def test_of_two_windows_that_begin_one_try_the_second_is_told(
    office: Office, store: SqlStore, class_id: str, ada: Person
) -> None:
    task = office.set_exercise(class_id, PLAIN, Rules(tries=1), at=1)
    start = Barrier(6)

    def begin_it(_: int) -> str:
        start.wait()
        try:
            return _begun(store, ada, task.id)
        except NotKept as error:
            return str(error)

    with ThreadPoolExecutor(6) as pool:
        told = sorted(pool.map(begin_it, range(6)))

    assert [row.id for row in store.attempts(learner_id=ada.id)] == told[:1]
    assert all(each.startswith("Nothing was written: this try was begun") for each in told[1:])


def test_examination_gives_one_try_no_hint_and_no_debrief_before_release(
    office: Office, people: People, store: SqlStore, class_id: str, ada: Person
) -> None:
    exam = office.set_exercise(class_id, PLAIN, Rules(exam=True, tries=5), at=1)
    assert exam.exercise_body["hints"] == 0
    told = exam.exercise_body
    _begun(store, ada, exam.id, **{**asdict(PLAIN), "body": told})
    with pytest.raises(NotAccepted, match=r"^You have no further try"):
        Seat(people, ada).next_try(exam.id, at=5)

    assert not may_debrief(exam, at=10)
    office.release(exam.id, at=10)
    assert may_debrief(office.assignment(exam.id), at=10)
    office.release(exam.id, at=None)
    assert not may_debrief(office.assignment(exam.id), at=10)


@pytest.mark.parametrize("rules", [Rules(exam=True), Rules(hints=False)])
def test_hint_is_refused_where_the_rules_allow_none(
    office: Office, people: People, store: SqlStore, class_id: str, ada: Person, rules: Rules
) -> None:
    task = office.set_exercise(class_id, entry(LEFT_FEED_OPEN), rules, at=1)
    work, _ = Seat(people, ada).next_try(task.id, at=5)
    own = OwnStore(store, lambda: Reach(ada.id))
    desk = Desk(own, begin(own, work.exercise, seed=0, key="1", at=5, assignment_id=task.id))

    with pytest.raises(AttemptError, match="hint"):
        desk.press(TakeHint(1, "forged"), key="2", at=6)

    assert desk.attempt.last == 1


def test_attempt_at_what_is_not_set_for_the_class_is_not_begun(
    office: Office, store: SqlStore, class_id: str, ada: Person
) -> None:
    set_here = office.set_exercise(class_id, PLAIN, Rules(), at=1)
    other = office.make_class("Friday", at=1)
    set_there = office.set_exercise(other.id, PLAIN, Rules(), at=1)
    easier = {
        "name": PLAIN.name,
        "body": {},
        "circuit_name": PLAIN.circuit_name,
        "circuit_body": PLAIN.circuit_body,
    }

    for learner, assignment_id, changed in (
        (ada, set_there.id, {}),
        (ada, set_here.id, easier),
        (ada, "none", {}),
        (Person("learner", "nobody", "Nobody"), set_here.id, {}),
    ):
        with pytest.raises(NotKept, match=r"^Nothing was written: (this exercise|you are no)"):
            _begun(store, learner, assignment_id, **changed)
    assert store.attempts(learner_id=ada.id) == ()


def test_progress_tells_what_the_fold_tells(
    office: Office, store: SqlStore, class_id: str, ada: Person
) -> None:
    chosen = entry(LEFT_FEED_OPEN)
    task = office.set_exercise(class_id, chosen, Rules(), at=1)
    office.set_exercise(class_id, PLAIN, Rules(), at=1)
    own = OwnStore(store, lambda: Reach(ada.id))
    attempt_id = begin(own, chosen, seed=0, key="first", at=10, assignment_id=task.id)
    desk = Desk(own, attempt_id)
    actions = (NameFault("W4", "open"), ChooseRepair("W4", "renew_wire"), CloseJob())
    for number, action in enumerate(actions):
        desk.press(action, key=f"press {number}", at=20 + number)
        (row,) = office.progress(class_id, task.id)
        assert (row.minutes, row.stage) == (desk.attempt.minutes, desk.attempt.stage)
        assert (row.last_seq, row.last_at) == (desk.attempt.last, 20 + number)

    assert (row.nickname, row.learner_id, row.last_kind) == ("Ada", ada.id, "closed")
    assert office.progress(class_id) == (row,)
    assert row.minutes > 0


def test_class_is_erased_with_all_that_was_done_in_it(
    office: Office, store: SqlStore, class_id: str, ada: Person
) -> None:
    task = office.set_exercise(class_id, PLAIN, Rules(), at=1)
    _begun(store, ada, task.id)
    office.make_class("Friday", at=2)

    office.erase_class(class_id)

    assert [room.title for room in office.classes()] == ["Friday"]
    with store.database.reading() as connection:
        for table in ("learner", "assignment", "attempt", "sign_in WHERE learner_id IS NOT NULL"):
            assert connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar() == 0


def test_seat_is_for_learners(people: People, instructor: Person) -> None:
    for person in (instructor, Person("learner", "nobody", "Nobody")):
        with pytest.raises(SignedOut, match=r"^You are not in a class"):
            Seat(people, person)

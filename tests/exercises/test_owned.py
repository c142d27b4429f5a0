"""Everybody reaches their own attempts; others answer as if there were none."""

from collections.abc import Callable

import pytest

from exercises.events import Draft
from exercises.identity.door import Door
from exercises.identity.office import Office
from exercises.identity.people import Person, SignedOut
from exercises.identity.seals import Seals
from exercises.owned import OwnStore, Reach
from exercises.register.people import people_in
from exercises.store import SqlStore, UnknownAttempt
from tests.exercises.stores import READING, begun, kept


@pytest.fixture
def learners(store: SqlStore) -> list[Person]:
    seals = Seals("the tests' own secret", kibibytes=8)
    people = people_in(store.database)
    door = Door(people, seals)
    token = door.first_instructor(seals.setup_code(), "darrow", "slow brown fox", at=1)
    darrow = door.who_is(token, at=1)
    assert darrow is not None
    room = Office(people, seals, darrow).make_class("Tuesday", at=1)
    found = [
        door.who_is(door.join(room.join_code, name, "270619", at=1), at=1)
        for name in ("Ada", "Bea")
    ]
    return [person for person in found if person]


def _asks(store: OwnStore, attempt: str) -> list[Callable[[], object]]:
    return [
        lambda: store.attempt(attempt),
        lambda: store.events(attempt),
        lambda: store.marks(attempt),
        lambda: store.append(attempt, seen=1, draft=READING, key="forged", at=5),
        lambda: store.keep_mark(attempt, 0, "", marker="1", weights={}, columns={}, at=5),
    ]


def test_anothers_attempt_answers_exactly_as_a_made_up_one(
    store: SqlStore, learners: list[Person]
) -> None:
    ada, bea = (OwnStore(store, lambda who=who: Reach(who.id)) for who in learners)
    local = OwnStore(store, lambda: Reach(None))
    attempts = [begun(each) for each in (ada, bea, local)]  # type: ignore[arg-type]
    for attempt in attempts:
        kept(store, attempt, seen=0)

    for mine, own in zip(attempts, (ada, bea, local), strict=True):
        assert [row.id for row in own.attempts()] == [mine]
        assert len(own.events(mine)) == 1
        for other in {*attempts, "Amadeup", "", "\ud800"} - {mine}:
            for ask in _asks(own, other):
                with pytest.raises(UnknownAttempt) as refused:
                    ask()
                assert str(refused.value) == str(UnknownAttempt.of(other))
    assert all(len(store.events(attempt)) == 1 for attempt in attempts)


def test_nobody_begins_in_anothers_name(store: SqlStore, learners: list[Person]) -> None:
    ada = OwnStore(store, lambda: Reach(learners[0].id))

    attempt = begun(ada, learner_id=learners[1].id)  # type: ignore[arg-type]

    assert store.attempt(attempt).learner_id == learners[0].id
    assert [row.id for row in ada.attempts(learner_id=learners[1].id)] == [attempt]


def test_instructor_reads_and_marks_a_learners_attempt_but_adds_nothing(
    store: SqlStore, learners: list[Person]
) -> None:
    attempt = begun(OwnStore(store, lambda: Reach(learners[0].id)))  # type: ignore[arg-type]
    event = kept(store, attempt, seen=0)
    darrow = OwnStore(store, lambda: Reach(None, reads=lambda who: who == learners[0].id))

    assert darrow.events(attempt) == (event,)
    made = darrow.keep_mark(
        attempt,
        1,
        event.digest,
        marker="1",
        weights={},
        columns={"proof": 1},
        at=9,
        made_by="Idarrow",
        reason="Proof was told aloud.",
    )
    assert store.marks(attempt) == (made,)
    assert (made.made_by, made.reason) == ("Idarrow", "Proof was told aloud.")
    with pytest.raises(UnknownAttempt):
        darrow.append(attempt, seen=1, draft=READING, key="press", at=5)


def test_press_of_one_who_has_signed_out_is_refused(
    store: SqlStore, learners: list[Person]
) -> None:
    signed_in = [True]

    def reach() -> Reach:
        if not signed_in[0]:
            raise SignedOut("You are signed out.")
        return Reach(learners[0].id)

    ada = OwnStore(store, reach)
    attempt = begun(ada)  # type: ignore[arg-type]
    signed_in[0] = False

    with pytest.raises(SignedOut):
        ada.append(attempt, seen=0, draft=Draft("reading", {}), key="press", at=5)
    with pytest.raises(SignedOut):
        ada.attempts()
    assert store.events(attempt) == ()

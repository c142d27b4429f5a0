"""Joining, coming back, signing in and out, and who is let in how often."""

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest

from exercises.identity.door import Door
from exercises.identity.office import Office
from exercises.identity.people import (
    IdentityError,
    NotAccepted,
    NotLetIn,
    People,
    Person,
    SignedOut,
)
from exercises.identity.seals import Seals
from exercises.identity.waits import FREE_TRIES, wait_ms
from exercises.store import SqlStore
from tests.exercises.identity.conftest import PASSWORD, PIN, joined

HOURS = 3_600_000


def _at_once(tries: int, attempt: Callable[[int], object]) -> list[object]:
    """Return what each of so many tries at one moment gave, or was told."""
    start = Barrier(tries)

    def one(number: int) -> object:
        start.wait()
        try:
            return attempt(number)
        except IdentityError as error:
            return error

    with ThreadPoolExecutor(tries) as pool:
        return list(pool.map(one, range(tries)))


def test_first_instructor_needs_the_setup_code_and_ends_it(door: Door) -> None:
    code = door.setup_code()
    assert code is not None
    with pytest.raises(NotLetIn, match="not the set-up code"):
        door.first_instructor("wrong", "darrow", PASSWORD, at=1)

    token = door.first_instructor(code.lower(), "Darrow", PASSWORD, at=2)

    found = door.who_is(token, at=3)
    assert found is not None
    assert (found.role, found.name) == ("instructor", "darrow")
    assert door.setup_code() is None
    with pytest.raises(NotLetIn, match="There is an instructor already"):
        door.first_instructor(code, "other", PASSWORD, at=4)


def test_of_five_first_instructors_one_wins(door: Door, seals: Seals) -> None:
    code = seals.setup_code()
    told = _at_once(5, lambda n: door.first_instructor(code, f"login{n}", PASSWORD, at=1))

    assert Counter(type(each) for each in told) == {str: 1, NotLetIn: 4}


@pytest.mark.usefixtures("instructor")
def test_instructor_signs_in_with_login_and_password_only(door: Door) -> None:
    assert door.who_is(door.sign_in(" DARROW", PASSWORD, at=5), at=5) is not None
    for login, password in (("darrow", "slow brown dog"), ("nobody", PASSWORD), ("a b", "")):
        with pytest.raises(NotLetIn, match=r"^Login and password do not go together"):
            door.sign_in(login, password, at=5)


def test_learner_joins_once_and_comes_back(door: Door, office: Office) -> None:
    room = office.make_class("Tuesday", at=1)
    first = joined(door, office, "Ada")
    with pytest.raises(NotLetIn, match="Somebody called ADA is in this class"):
        door.join(room.join_code, "ADA", "194410", at=3)

    again = door.who_is(door.come_back(room.join_code, " ada", PIN, at=4), at=4)

    assert again == first == Person("learner", first.id, "Ada", room.id)
    with pytest.raises(NotLetIn, match=r"^Nickname and PIN do not go together"):
        door.come_back(room.join_code, "Ada", "270618", at=5)
    with pytest.raises(NotLetIn, match=r"^Nickname and PIN do not go together"):
        door.come_back(room.join_code, "Bea", PIN, at=5)
    with pytest.raises(NotLetIn, match=r"^There is no class of that code"):
        door.join("AAAA-AAAA", "Bea", PIN, at=5)


def test_one_nickname_in_two_classes_is_two_learners(door: Door, office: Office) -> None:
    rooms = [office.make_class(title, at=1) for title in ("Tuesday", "Friday")]
    assert joined(door, office, "Ada", rooms[0].id) != joined(door, office, "Ada", rooms[1].id)


def test_of_eight_who_join_by_one_nickname_at_once_one_wins(door: Door, office: Office) -> None:
    room = office.make_class("Tuesday", at=1)
    told = _at_once(8, lambda _: door.join(room.join_code, "Ada", PIN, at=2))

    assert Counter(type(each) for each in told) == {str: 1, NotLetIn: 7}
    assert [learner.nickname for learner in office.learners(room.id)] == ["Ada"]


def test_class_that_is_closed_takes_nobody_new_but_those_who_were_there(
    door: Door, office: Office
) -> None:
    room = office.make_class("Tuesday", at=1)
    joined(door, office, "Ada")
    office.set_joining(room.id, is_open=False)

    with pytest.raises(NotLetIn, match="takes no new learners"):
        door.join(room.join_code, "Bea", PIN, at=3)
    assert door.come_back(room.join_code, "Ada", PIN, at=3)


def test_full_class_takes_nobody_new(
    door: Door, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = office.make_class("Tuesday", at=1)
    joined(door, office, "Ada")
    monkeypatch.setattr("exercises.identity.door.MOST_LEARNERS", 1)

    with pytest.raises(NotLetIn, match="takes no new learners"):
        door.join(room.join_code, "Bea", PIN, at=3)


def test_of_sixty_guesses_at_once_five_reach_the_check(
    door: Door, office: Office, seals: Seals, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = office.make_class("Tuesday", at=1)
    joined(door, office, "Ada")
    compared: list[str] = []
    monkeypatch.setattr(seals, "is_pin", lambda _, pin: bool(compared.append(pin)))

    told = _at_once(60, lambda n: door.come_back(room.join_code, "Ada", f"{500_000 + n}", at=9))

    assert len(compared) == FREE_TRIES
    words = Counter(str(each).partition(".")[0] for each in told)
    assert words == {"Too many tries": 55, "Nickname and PIN do not go together in this class": 5}


def test_tries_counted_while_others_clear_them_are_all_answered(people: People) -> None:
    """A row may be gone between its insert and the next look at it."""

    def work(number: int) -> None:
        for at in range(20):
            if number % 2:
                people.clear_tries("one")
            else:
                people.count_try("one", at=at * 3_600_000)

    assert _at_once(6, work) == [None] * 6


def test_waits_grow_to_a_quarter_of_an_hour_and_end_with_the_right_pin(
    door: Door, office: Office
) -> None:
    room = office.make_class("Tuesday", at=1)
    joined(door, office, "Ada")
    for _ in range(FREE_TRIES):
        with pytest.raises(NotLetIn, match="do not go together"):
            door.come_back(room.join_code, "Ada", "500000", at=1_000)

    with pytest.raises(NotLetIn, match=r"^Too many tries\. Try again in 1 second, or ask your in"):
        door.come_back(room.join_code, "Ada", PIN, at=1_999)
    assert door.come_back(room.join_code, "Ada", PIN, at=2_000)
    assert door.come_back(room.join_code, "Ada", PIN, at=2_000)


def test_a_day_of_guessing_gives_109_guesses() -> None:
    """Records: five free, then from a second to a quarter of an hour."""
    now, tries = 0, 0
    while now < 24 * HOURS:
        tries += 1
        now += wait_ms(tries)
    assert tries == 109


def test_instructor_clears_the_wait_and_gives_a_new_pin(door: Door, office: Office) -> None:
    room = office.make_class("Tuesday", at=1)
    ada = joined(door, office, "Ada")
    for _ in range(FREE_TRIES):
        with pytest.raises(NotLetIn):
            door.come_back(room.join_code, "Ada", "500000", at=9)

    office.clear_tries(ada.id)
    token = door.come_back(room.join_code, "Ada", PIN, at=9)
    office.new_pin(ada.id, "194410")

    assert door.who_is(token, at=9) is None
    with pytest.raises(NotLetIn):
        door.come_back(room.join_code, "Ada", PIN, at=9)
    assert door.come_back(room.join_code, "Ada", "194410", at=9)


def test_sign_in_ends_by_signing_out_or_after_twelve_hours(door: Door, office: Office) -> None:
    room = office.make_class("Tuesday", at=1)
    tokens = [door.join(room.join_code, name, PIN, at=0) for name in ("Ada", "Bea")]

    assert door.who_is(tokens[0], at=12 * HOURS - 1)
    assert door.who_is(tokens[0], at=12 * HOURS) is None
    door.sign_out(tokens[1])
    assert door.who_is(tokens[1], at=1) is None
    for forged in (None, "", tokens[0][:-1], "\ud800", "a\x00b", "x" * 100_000):
        assert door.who_is(forged, at=1) is None


def test_no_secret_is_in_the_database(door: Door, office: Office, store: SqlStore) -> None:
    room = office.make_class("Tuesday", at=1)
    token = door.join(room.join_code, "Ada", PIN, at=2)

    with store.database.reading() as connection:
        told = [
            str(connection.exec_driver_sql(f"SELECT * FROM {table}").all())
            for table in ("learner", "instructor", "sign_in", "throttle")
        ]
    assert "Ada" in told[0]
    for secret in (PIN, PASSWORD, token):
        assert secret not in "".join(told)


def test_erased_learner_is_signed_out(door: Door, office: Office) -> None:
    room = office.make_class("Tuesday", at=1)
    token = door.join(room.join_code, "Ada", PIN, at=2)
    ada = door.who_is(token, at=2)
    assert ada is not None

    office.erase_learner(ada.id)

    assert door.who_is(token, at=2) is None


def test_learner_has_no_office(people: People, seals: Seals, door: Door, office: Office) -> None:
    office.make_class("Tuesday", at=1)
    with pytest.raises(SignedOut, match="for instructors"):
        Office(people, seals, joined(door, office, "Ada"))


def test_another_instructors_class_answers_as_if_there_were_none(
    people: People, seals: Seals, door: Door, office: Office
) -> None:
    room = office.make_class("Tuesday", at=1)
    ada = joined(door, office, "Ada")
    office.add_instructor("other", PASSWORD, at=2)
    other = door.who_is(door.sign_in("other", PASSWORD, at=3), at=3)
    assert other is not None
    theirs = Office(people, seals, other)

    assert theirs.classes() == ()
    assert not theirs.teaches(ada.id)
    asks: tuple[Callable[[], object], ...] = (
        lambda: theirs.learners(room.id),
        lambda: theirs.erase_class(room.id),
        lambda: theirs.set_joining(room.id, is_open=False),
        lambda: theirs.progress(room.id),
        lambda: theirs.new_pin(ada.id, "194410"),
        lambda: theirs.clear_tries(ada.id),
        lambda: theirs.erase_learner(ada.id),
        lambda: theirs.set_group(ada.id, "A"),
        lambda: theirs.class_room("\ud800"),
        lambda: theirs.learner("a\x00b"),
    )
    for ask in asks:
        with pytest.raises(NotAccepted, match=r"^There is no such"):
            ask()
    assert office.learners(room.id)[0].group_name is None

"""A door on a database of a test's own, with seals that cost little."""

import pytest

from exercises.identity.door import Door
from exercises.identity.office import Office
from exercises.identity.people import People, Person
from exercises.identity.seals import Seals
from exercises.register.people import people_in
from exercises.store import SqlStore

PASSWORD = "slow brown fox"
PIN = "270619"


@pytest.fixture(scope="session")
def seals() -> Seals:
    return Seals("the tests' own secret", kibibytes=8)


@pytest.fixture
def people(store: SqlStore) -> People:
    return people_in(store.database)


@pytest.fixture
def door(people: People, seals: Seals) -> Door:
    return Door(people, seals)


@pytest.fixture
def instructor(door: Door) -> Person:
    code = door.setup_code()
    assert code is not None
    token = door.first_instructor(code, "darrow", PASSWORD, at=1_000)
    found = door.who_is(token, at=1_000)
    assert found is not None
    return found


@pytest.fixture
def office(people: People, seals: Seals, instructor: Person) -> Office:
    return Office(people, seals, instructor)


def joined(door: Door, office: Office, nickname: str, class_id: str = "") -> Person:
    """Have a learner join the class named, or the office's newest."""
    rooms = {room.id: room for room in office.classes()}
    room = rooms[class_id] if class_id else next(iter(rooms.values()))
    found = door.who_is(door.join(room.join_code, nickname, PIN, at=2_000), at=2_000)
    assert found is not None
    return found

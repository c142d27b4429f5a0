"""A class of two on a server for classes, and whose browser looks at its screens."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import pytest

from exercises.actions import ChooseRepair, CloseJob, NameFault
from exercises.desk import Desk, begin
from exercises.identity.office import Office
from exercises.identity.people import Person
from exercises.identity.seals import Seals
from exercises.owned import OwnStore, Reach
from exercises.screens import house, visitor
from tests.laid_out import laid_out
from tests.screens.jobs import LEFT_FEED_OPEN, entry


@dataclass
class Class:
    """A class of two, and whose cookie the browser under test has."""

    office: Office
    class_id: str
    tokens: dict[str, str]
    people: dict[str, Person]
    monkeypatch: pytest.MonkeyPatch

    def look_as(self, name: str) -> None:
        self.monkeypatch.setattr(visitor, "_token", lambda: self.tokens.get(name))

    def attempt(self, name: str, assignment_id: str | None = None) -> str:
        own = OwnStore(house.house().store, lambda: Reach(self.people[name].id))
        chosen = entry(LEFT_FEED_OPEN)
        if assignment_id is not None:  # in the version that was set
            chosen = replace(chosen, body=self.office.assignment(assignment_id).exercise_body)
        return begin(own, chosen, seed=0, key="first", at=1, assignment_id=assignment_id)

    def close(self, attempt_id: str) -> None:
        desk = Desk(house.house().store, attempt_id)
        for action in (NameFault("W4", "open"), ChooseRepair("W4", "renew_wire"), CloseJob()):
            desk.press(action, key=type(action).__name__, at=2)


@contextmanager
def class_of_two(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Class]:
    """Open a server for classes with an instructor, darrow, and two learners, Ada and Bea."""
    monkeypatch.setenv("LAB_DATABASE_URL", laid_out(folder / "lab.db"))
    monkeypatch.setattr(house, "Seals", partial(Seals, kibibytes=8))  # else each costs 60 ms
    monkeypatch.setenv("LAB_CLASS", "1")
    monkeypatch.setenv("LAB_SECRET", "the tests' own secret")
    house.shut()
    parts = house.house()
    assert parts.door is not None
    assert parts.seals is not None
    at = house.now_ms()
    tokens = {
        "darrow": parts.door.first_instructor(
            parts.seals.setup_code(), "darrow", "slow brown fox", at=at
        )
    }
    darrow = parts.door.who_is(tokens["darrow"], at=at)
    assert darrow is not None
    office = Office(parts.people, parts.seals, darrow)
    room = office.make_class("Tuesday", at=at)
    people = {"darrow": darrow}
    for name in ("Ada", "Bea"):
        tokens[name] = parts.door.join(room.join_code, name, "270619", at=at)
        person = parts.door.who_is(tokens[name], at=at)
        assert person is not None
        people[name] = person
    yield Class(office, room.id, tokens, people, monkeypatch)
    house.shut()

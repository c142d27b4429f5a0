"""In class use every screen asks who looks at it, and shows them what is theirs."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from exercises.actions import ChooseRepair, CloseJob, NameFault
from exercises.desk import Desk, begin
from exercises.identity.office import Office
from exercises.identity.people import Person
from exercises.identity.rules import Rules
from exercises.owned import OwnStore, Reach
from exercises.records import UnknownAttempt
from exercises.screens import house, visitor
from tests.conftest import FULL
from tests.screens.jobs import LEFT_FEED_OPEN, entry, screen, texts, url

FAULT_WORDS = "W4 (BU), F1 to C1.2: open"
SIGNED_OUT = "You are signed out. Please sign in again."


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
        return begin(own, chosen, seed=0, key="first", at=1, assignment_id=assignment_id)

    def close(self, attempt_id: str) -> None:
        desk = Desk(house.house().store, attempt_id)
        for action in (NameFault("W4", "open"), ChooseRepair("W4", "renew_wire"), CloseJob()):
            desk.press(action, key=type(action).__name__, at=2)


@pytest.fixture
def tuesday(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Class]:
    monkeypatch.setenv("LAB_DATABASE_URL", url(tmp_path))
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


@pytest.mark.parametrize("name", ["start", "bench", "debrief", "circuit_page", "primer"])
def test_no_screen_shows_anything_to_one_who_is_not_signed_in(tuesday: Class, name: str) -> None:
    attempt = tuesday.attempt("Ada")
    tuesday.close(attempt)
    tuesday.tokens["forged"] = tuesday.tokens["Ada"][::-1]
    for who in ("nobody", "forged"):
        tuesday.look_as(who)
        app = screen(name, attempt=attempt, guarded=True).run()
        assert not app.exception
        assert texts(app) == SIGNED_OUT
        assert not app.button


def test_learner_opens_their_own_attempt_and_no_others(tuesday: Class) -> None:
    ada, bea = tuesday.attempt("Ada"), tuesday.attempt("Bea")
    tuesday.close(bea)
    tuesday.look_as("Ada")

    assert "Left step does not move" in texts(screen("bench", attempt=ada, guarded=True).run())
    told = []
    for attempt in (bea, "Amadeup"):
        for name in ("bench", "debrief"):
            app = screen(name, attempt=attempt, guarded=True).run()
            assert FAULT_WORDS not in texts(app)
            told.append(app.error[0].value.replace(attempt, "…"))
    assert set(told) == {"attempt '…': there is none of that id here."}


def test_press_after_signing_out_is_refused_and_keeps_nothing(tuesday: Class) -> None:
    attempt = tuesday.attempt("Ada")
    tuesday.look_as("Ada")
    app = screen("bench", attempt=attempt, guarded=True).run()
    desk: Desk = app.session_state["desk"]
    door = house.house().door
    assert door is not None
    door.sign_out(tuesday.tokens["Ada"])

    with pytest.raises(Exception, match=r"^You are signed out"):
        desk.press(NameFault("W4", "open"), key="late", at=5)

    assert texts(app.run()) == SIGNED_OUT
    assert len(house.house().store.events(attempt)) == 1


def test_session_of_one_person_is_dropped_for_the_next(tuesday: Class) -> None:
    attempt = tuesday.attempt("Ada")
    tuesday.look_as("Ada")
    app = screen("bench", attempt=attempt, guarded=True).run()
    assert "desk" in app.session_state

    tuesday.look_as("Bea")
    app.run()

    assert "desk" not in app.session_state
    assert "there is none of that id here" in app.error[0].value


def test_instructor_reads_the_attempts_of_their_classes(tuesday: Class) -> None:
    attempt = tuesday.attempt("Ada")
    tuesday.look_as("darrow")

    app = screen("bench", attempt=attempt, guarded=True).run()

    assert "Left step does not move" in texts(app)
    app.session_state["desk"].catch_up()
    with pytest.raises(UnknownAttempt):
        app.session_state["desk"].press(NameFault("W4", "open"), key="press", at=5)


def test_examination_tells_its_debrief_when_it_is_released(tuesday: Class) -> None:
    exam = tuesday.office.set_exercise(
        tuesday.class_id, entry(LEFT_FEED_OPEN), Rules(exam=True), at=1
    )
    attempt = tuesday.attempt("Ada", exam.id)
    tuesday.close(attempt)
    tuesday.look_as("Ada")
    app = screen("debrief", attempt=attempt, guarded=True).run()
    assert FAULT_WORDS not in texts(app)
    assert "once your instructor releases it" in texts(app)

    tuesday.office.release(exam.id, at=house.now_ms())

    assert not visitor.why_no_debrief(house.house().store.attempt(attempt))
    if FULL:  # working it out takes seconds
        assert FAULT_WORDS in texts(app.run())


def test_learner_sees_no_screen_of_an_instructor(tuesday: Class) -> None:
    shown: list[str] = []
    page = visitor.for_instructors(lambda: shown.append("the class"))
    for who, seen in (("Ada", []), ("nobody", []), ("darrow", ["the class"])):
        tuesday.look_as(who)
        page()
        assert shown == seen

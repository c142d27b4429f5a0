"""In class use every screen asks who looks at it, and shows them what is theirs."""

import pytest

from exercises.actions import NameFault
from exercises.desk import Desk
from exercises.identity.rules import Rules
from exercises.records import UnknownAttempt
from exercises.screens import house, visitor
from tests.conftest import FULL
from tests.screens.jobs import LEFT_FEED_OPEN, entry, screen, texts
from tests.screens.tuesday import Class

FAULT_WORDS = "W4 (BU), F1 to C1.2: open"
SIGNED_OUT = "You are signed out. Please sign in again."


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

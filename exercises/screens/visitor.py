"""Who looks at this page: told by the sign-in in the browser's cookie, asked at every run."""

from collections.abc import Callable

import streamlit as st

from exercises.identity.office import Office
from exercises.identity.people import Person, SignedOut
from exercises.identity.rules import may_debrief
from exercises.identity.seat import Seat
from exercises.owned import OwnStore, Reach
from exercises.papers import Papers
from exercises.records import AttemptRow, Store
from exercises.screens.house import class_use, house, now_ms

COOKIE = "lab_sign_in"
_OWNER = "owner"
_SIGNED_OUT = "You are signed out. Please sign in again."


def visitor() -> Person | None:
    """Return who is signed in, None for nobody; in local use nobody ever is."""
    return _who(_token())


def _token() -> str | None:
    return st.context.cookies.get(COOKIE) if class_use() else None


def _who(token: str | None) -> Person | None:
    door = house().door
    return door.who_is(token, at=now_ms()) if door else None


def is_let_in() -> bool:
    """Whether this page may be shown to whoever looks at it.

    What another person left in the session is dropped: a connection that broke may be taken up
    again by whoever sits at the machine now.
    """
    if not class_use():
        return True
    person = visitor()
    found = person.id if person else None
    if st.session_state.get(_OWNER) != found:
        for name in list(st.session_state):
            del st.session_state[name]
        st.session_state[_OWNER] = found
    return person is not None


def is_instructor() -> bool:
    """Whether an instructor looks at this page."""
    person = visitor()
    return person is not None and person.role == "instructor"


def show_door() -> None:
    """Show the way to the door instead of a page."""
    st.text(_SIGNED_OUT)
    st.html('<a class="to-door" href="door" target="_self">To the door</a>')


def show_name() -> None:
    """Show who is signed in, and the way out."""
    person = visitor()
    if person is not None:
        with st.container(key="who", horizontal=True, horizontal_alignment="right"):
            st.text(person.name, width="content")
            st.html('<a href="door" target="_self">Sign out</a>', width="content")


def may_keep_record() -> bool:
    """Whether whoever looks at this page may take the whole record out.

    It holds the classes of every instructor, so in class use that is the first of them alone.
    """
    person = visitor()
    if person is None or person.role != "instructor":
        return not class_use()
    return house().people.is_first_instructor(person.id)


def for_keeper(show: Callable[[], None]) -> Callable[[], None]:
    """Return a screen that shows itself to who may take the whole record out."""

    def shown() -> None:
        if may_keep_record():
            show()
        else:
            st.text("This page is for the first instructor. Please sign in as that one.")

    return shown


def may_teach() -> bool:
    """Whether whoever looks at this page may set exercises: alone anybody, else instructors."""
    return not class_use() or is_instructor()


def for_teachers(show: Callable[[], None]) -> Callable[[], None]:
    """Return a screen that shows itself to those who may set exercises."""

    def shown() -> None:
        if may_teach():
            show()
        else:
            st.text("This page is for instructors. Please sign in as one.")

    return shown


def for_instructors(show: Callable[[], None]) -> Callable[[], None]:
    """Return a screen that shows itself to instructors alone."""

    def shown() -> None:
        if is_instructor():
            show()
        else:
            st.text("This page is for instructors. Please sign in as one.")

    return shown


def store() -> Store:
    """Return the store of the attempts in this visitor's reach."""
    token = _token()
    return OwnStore(house().store, lambda: _reach(token))


def _reach(token: str | None) -> Reach:
    if not class_use():
        return Reach(None)
    person = _who(token)
    if person is None:
        raise SignedOut(_SIGNED_OUT)
    if person.role == "learner":
        return Reach(person.id)
    return Reach(None, reads=_office(person).teaches)


def office() -> Office:
    """Return the office of the instructor who looks at this page.

    Raises
    ------
    SignedOut
        If nobody is signed in, or a learner.
    """
    person = visitor()
    if person is None:
        raise SignedOut(_SIGNED_OUT)
    return _office(person)


def _office(person: Person) -> Office:
    seals = house().seals
    if seals is None:
        raise SignedOut("There are classes where the server was started for them.")
    return Office(house().people, seals, person)


def seat() -> Seat | None:
    """Return the seat of the learner who looks at this page; None for anybody else."""
    person = visitor()
    if person is None or person.role != "learner":
        return None
    return Seat(house().people, person)


def papers() -> Papers:
    """Return the papers of this visitor: their own as a learner, those of no learner else.

    Raises
    ------
    SignedOut
        If this is a server for classes and nobody is signed in.
    """
    if class_use() and visitor() is None:
        raise SignedOut(_SIGNED_OUT)
    sitting = seat()
    return Papers(house().store.database, sitting.learner.id if sitting else None)


def why_no_debrief(row: AttemptRow) -> str:
    """Say why this visitor may not see the debrief of an attempt; empty when they may."""
    person = visitor()
    if row.assignment_id is None or person is None or person.role != "learner":
        return ""
    assignment = house().people.assignment(row.assignment_id)
    if assignment is None or may_debrief(assignment, at=now_ms()):
        return ""
    return "This was an examination. Its debrief is here once your instructor releases it."

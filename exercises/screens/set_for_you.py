"""What is set for the learner who looks at the board: to begin, to go on with, to look back on."""

import datetime as dt
from collections.abc import Callable
from typing import Literal

import streamlit as st

from exercises.files import LibraryExercise
from exercises.identity.people import IdentityError
from exercises.identity.rules import may_debrief, rules_of
from exercises.identity.seat import Work
from exercises.records import StoreError
from exercises.screens import board, work
from exercises.screens.house import now_ms
from exercises.screens.visitor import seat, store

_ERRORS = (IdentityError, StoreError)
Kind = Literal["primary", "secondary"]


def panel() -> bool:
    """Show what is set for this learner; say whether anything is."""
    try:
        sitting = seat()
        found = sitting.work(at=now_ms()) if sitting else ()
    except _ERRORS as error:
        st.error(str(error))
        return False
    if not found:
        return False
    with st.container(key="set_for_you", border=True):
        st.subheader("Set for you", anchor=False)
        for one in found:
            with st.container(key=f"work_{one.assignment.id}"):
                _one(one)
    return True


def _one(one: Work) -> None:
    st.text(_slip(one.exercise))
    st.text(terms(one))
    with st.container(horizontal=True):
        last = one.attempts[0] if one.attempts else ""
        closed = bool(last) and _is_closed(last)
        if last and not closed:
            _button(one, "Go on", "go_on", lambda: board.to_bench(last))
        elif not one.why_not:
            label = "Try again" if one.attempts else "Begin"
            _button(one, label, "begin", lambda: _begin(one))
        else:
            st.text(one.why_not)
        if closed and may_debrief(one.assignment, at=now_ms()):
            _button(one, "See the debrief", "debrief", lambda: _debrief(last), kind="secondary")


def _slip(exercise: LibraryExercise) -> str:
    return f"Slip {exercise.body['slip']}: “{' '.join(exercise.body['complaint'].split())}”"


def terms(one: Work) -> str:
    """Return the terms that a job is set on, in a sentence."""
    rules, due = rules_of(one.assignment), one.assignment.due
    told = ["An examination: one try, no hints" if rules.exam else "An exercise"]
    if due is not None:
        told.append(f"due {dt.datetime.fromtimestamp(due / 1000).astimezone():%A %-d %B, %H:%M}")
    if rules.most_tries is not None and not rules.exam:
        told.append(f"{len(one.attempts)} of {rules.most_tries} tries begun")
    return "; ".join(told) + "."


def _is_closed(attempt_id: str) -> bool:
    events = store().events(attempt_id)
    return bool(events) and events[-1].kind == "closed"


def _button(
    one: Work, label: str, key: str, act: Callable[[], None], *, kind: Kind = "primary"
) -> None:
    if st.button(label, key=f"{key}_{one.assignment.id}", type=kind):
        act()


def _begin(one: Work) -> None:
    try:
        sitting = seat()
        if sitting is None:
            return
        again, seed = sitting.next_try(one.assignment.id, at=now_ms())
        begun = work.begin_set(again.exercise, seed=seed, assignment_id=one.assignment.id)
    except _ERRORS as error:
        st.error(str(error))
        return
    if begun:
        board.to_bench(begun)


def _debrief(attempt_id: str) -> None:
    work.forget()
    st.switch_page(st.session_state["pages"]["debrief"], query_params={"attempt": attempt_id})

"""What is known of an exercise that was made, and giving it to a class."""

import datetime as dt
from collections.abc import Iterable

import streamlit as st

from circuits.faults import describe
from circuits.model import Circuit, Fault
from exercises.authoring.composing import Composed
from exercises.diagnosis import NO_FAULT_WORDS
from exercises.files import LibraryExercise
from exercises.identity.office import Office
from exercises.identity.people import ClassRoom, IdentityError
from exercises.identity.rules import Rules
from exercises.planning.review import spot_words
from exercises.records import StoreError
from exercises.screens.house import class_use, now_ms
from exercises.screens.visitor import office

_EVERYBODY = "Everybody"
_ERRORS = (IdentityError, StoreError)
_BANDS = {"easy": "Easy", "middling": "Middling", "hard": "Hard"}


def fault_words(circuit: Circuit, faults: Iterable[Fault]) -> str:
    """Return the hidden faults in words, for an instructor's eyes."""
    return "; ".join(describe(circuit, fault) for fault in faults) or NO_FAULT_WORDS.lower()


def show_review(made: Composed) -> None:
    """Show whether an exercise can be solved, how hard it is, and what would make it better."""
    circuit, found = made.exercise.circuit, made.review
    with st.container(border=True, key="set_review"):
        if made.problems:
            st.text("It cannot be set: its own rules do not let anybody solve it.")
            for problem in made.problems:
                st.text(problem)
        else:
            st.text("It can be solved by its own rules.")
        st.text(f"Hidden: {fault_words(circuit, made.exercise.faults)}.")
        hard = found.difficulty
        shows = "It shows when it is worked." if hard.visible else "It shows in nothing seen."
        st.text(
            f"{_BANDS[hard.band]}: a good path takes {found.path.minutes:.0f} minutes and "
            f"{len(found.path.steps)} tests. {shows}"
        )
        for group in found.groups:
            others = [spot_words(circuit, spot) for spot in group.others]
            if others:
                st.text(f"Nothing allowed tells it from: {'; '.join(others)}. Either counts.")
        for sentence in made.advice:
            st.text(f"Advice: {sentence}")


def panel(entry: LibraryExercise) -> None:
    """Show the form that gives an exercise to a class."""
    if not class_use():
        st.text(
            "Classes are there where the server was started for them (LAB_CLASS=1); the README "
            "tells how. Alone, an exercise can be tried here at once."
        )
        return
    try:
        desk = office()
        rooms = desk.classes()
    except _ERRORS as error:
        st.error(str(error))
        return
    if not rooms:
        _first_class(desk)
        return
    _give(desk, {room.id: room for room in rooms}, entry)


def _first_class(desk: Office) -> None:
    st.text("You have no class yet. Name one, and give its code to your learners.")
    with st.form("set_first_class", border=False):
        title = st.text_input("Name of the class", key="set_class_title")
        if st.form_submit_button("Make the class"):
            try:
                desk.make_class(title, at=now_ms())
            except _ERRORS as error:
                st.error(str(error))
            else:
                st.rerun()


def _give(desk: Office, rooms: dict[str, ClassRoom], entry: LibraryExercise) -> None:
    chosen = st.selectbox(
        "Class", list(rooms), format_func=lambda room: rooms[room].title, key="set_class"
    )
    groups = {learner.group_name for learner in desk.learners(chosen) if learner.group_name}
    with st.expander("Group, time, tries, examination"):
        group = st.selectbox("For", [_EVERYBODY, *sorted(groups)], key="set_group")
        due = st.date_input("Due at the end of", value=None, min_value="today", key="set_due")
        tries = st.number_input("Tries", 1, 100, None, placeholder="any number", key="set_tries")
        hints = st.checkbox("Hints may be asked for", value=True, key="set_may_hint")
        exam = st.checkbox(
            "Examination: one try, no hints, no debrief until you release it", key="set_exam"
        )
    if st.button("Give it to the class", type="primary", key="set_give"):
        rules = Rules(
            exam=exam,
            hints=hints,
            tries=int(tries) if tries else None,
            group=None if group == _EVERYBODY else group,
        )
        try:
            desk.set_exercise(chosen, entry, rules, due=_end_of(due), at=now_ms())
        except _ERRORS as error:
            st.error(str(error))
        else:
            st.success("It is set. Learners of the class find it among their slips.")


def _end_of(day: object) -> int | None:
    """Return the end of a day, on this server's clock, in UTC milliseconds."""
    if not isinstance(day, dt.date):
        return None
    end = dt.datetime.combine(day, dt.time.max).astimezone()
    return int(end.timestamp() * 1000)

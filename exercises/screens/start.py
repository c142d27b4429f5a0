"""The slips: one way in, and the way back to a job that is open."""

from itertools import groupby

import streamlit as st

from exercises.exercise import Exercise
from exercises.files import ExerciseFileError, exercise_names, library_exercise
from exercises.screens import work
from exercises.screens.bench import one_line

_MOST_OPEN = 3
_LEVELS = {
    1: "first lessons",
    2: "everyday faults",
    3: "harder",
    4: "for those who have done it all",
}


def show() -> None:
    """Show the slips on the board, the jobs that are open above them."""
    st.title("Millrace Lab", anchor=False)
    st.text(
        "Minibus 7 of Millrace Community Transport is in the workshop. Take a slip, find the "
        "fault with the meter, prove it, repair it."
    )
    exercises, unreadable = read_slips()
    still_open = work.open_jobs(_MOST_OPEN)
    if still_open:
        _go_on(still_open)
    elif exercises:
        _begin_here(exercises[0])
    for level, group in groupby(exercises, key=lambda one: one.level):
        _board(level, list(group))
    for problem in unreadable:
        st.error(problem)


def read_slips() -> tuple[list[Exercise], list[str]]:
    """Return the library's exercises as they hang on the board, and what could not be read."""
    exercises, unreadable = [], []
    for name in exercise_names():
        try:
            exercises.append(library_exercise(name))
        except ExerciseFileError as error:
            unreadable.append(f"One slip cannot be hung on the board. {error}")
    exercises.sort(key=lambda one: (one.level, one.circuit.title, one.slip))
    return exercises, unreadable


def _line(exercise: Exercise) -> str:
    return f"Slip {exercise.slip}, {exercise.circuit.title}: {one_line(exercise.complaint)}"


def _go_on(jobs: list[work.OpenJob]) -> None:
    with st.container(key="go_on", border=True):
        st.subheader("Go on where you were", anchor=False)
        for number, job in enumerate(jobs):
            with st.container(horizontal=True, vertical_alignment="center"):
                st.text(_line(job.exercise), width="stretch")
                kind = "primary" if number == 0 else "secondary"
                if st.button("Go on", type=kind, key=f"go_on_{job.id}"):
                    _to_bench(job.id)


def _begin_here(exercise: Exercise) -> None:
    with st.container(key="go_on", border=True):
        st.subheader("New here? Begin with this slip", anchor=False)
        with st.container(horizontal=True, vertical_alignment="center"):
            st.text(_line(exercise), width="stretch")
            _take(exercise, "Begin", key="begin_here", kind="primary")


def _board(level: int, exercises: list[Exercise]) -> None:
    st.subheader(f"Level {level}: {_LEVELS[level]}", anchor=False)
    with st.container(key=f"board_{level}"):
        for exercise in exercises:
            with st.container(border=True, key=f"slip_{exercise.slip}"):
                st.text(f"Slip {exercise.slip} · {exercise.circuit.title}")
                st.text(f"“{one_line(exercise.complaint)}”")
                st.text(f"To practise: {exercise.skill}")
                work.primer_link(exercise.skill)
                _take(exercise, "Take this slip", key=f"take_{exercise.slip}")


def _take(exercise: Exercise, label: str, *, key: str, kind: str = "secondary") -> None:
    if st.button(label, key=key, type=kind):  # type: ignore[arg-type]
        begun = work.begin_job(exercise)
        if begun:
            _to_bench(begun)


def _to_bench(attempt_id: str) -> None:
    work.forget()
    st.switch_page(st.session_state["pages"]["bench"], query_params={"attempt": attempt_id})

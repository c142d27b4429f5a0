"""The slips: one way in, the way back to a job that is open, and the board to choose from."""

import streamlit as st

from exercises.exercise import Exercise
from exercises.files import ExerciseFileError, exercise_names, library_exercise
from exercises.screens import board, set_for_you, work
from exercises.screens.bench import one_line

_MOST_OPEN = 3


def show() -> None:
    """Show the board of slips, the jobs that are open above it."""
    st.title("Millrace Lab", anchor=False)
    st.text(
        "Minibus 7 of Millrace Community Transport is in the workshop. Take a slip, find the "
        "fault with the meter, prove it, repair it."
    )
    exercises, unreadable = read_slips()
    is_set = set_for_you.panel()
    still_open = work.open_jobs(_MOST_OPEN)
    if still_open:
        _go_on(still_open)
    elif exercises and not is_set:
        _begin_here(exercises[0])
    board.panel(exercises)
    for problem in unreadable:
        st.error(problem)


def read_slips() -> tuple[list[Exercise], list[str]]:
    """Return the library's exercises in the order of a course, and what could not be read."""
    exercises, unreadable = [], []
    for name in exercise_names():
        try:
            exercises.append(library_exercise(name))
        except ExerciseFileError as error:
            unreadable.append(f"One slip cannot be hung on the board. {error}")
    exercises.sort(key=lambda one: (one.level, one.circuit.lesson, one.circuit.title, one.slip))
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
                if st.button("Go on", type=kind, key=f"go_on_{job.id}"):  # type: ignore[arg-type]
                    board.to_bench(job.id)


def _begin_here(exercise: Exercise) -> None:
    with st.container(key="go_on", border=True):
        st.subheader("New here? Begin with this slip", anchor=False)
        with st.container(horizontal=True, vertical_alignment="center"):
            st.text(_line(exercise), width="stretch")
            board.take(exercise, "Begin", key="begin_here", kind="primary")

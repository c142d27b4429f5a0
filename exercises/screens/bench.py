"""The bench: a slip, a diagram to probe, a meter, the vehicle's controls, the readings."""

import streamlit as st

from exercises.attempt import Attempt
from exercises.screens import ahead, work
from exercises.screens.panels import diagram, ending, hints, log, meter, suspects, vehicle


def show() -> None:
    """Show the bench of the attempt in the address."""
    if work.open_desk() is None:
        _nothing_open()
        return
    attempt = work.attempt()
    slip(attempt)
    if attempt.exercise.hints:
        ahead.want(work.store(), work.address(), attempt.circuit)
    if attempt.stage == "closed":
        _closed()
        return
    with st.container(key="bench"):
        _panels()


def _panels() -> None:
    if work.attempt().exercise.asks_suspects:
        with st.container(key="bench_suspects"):
            suspects.panel()
    with st.container(key="bench_diagram"):
        diagram.panel()
    with st.container(key="bench_seen"):
        log.seen()
    with st.container(key="bench_rail"):
        meter.panel()
        with st.container(border=True, key="vehicle_box"):
            vehicle.panel()
    with st.container(key="bench_faces"):
        diagram.faces()
    with st.container(key="bench_log"):
        log.log()
    with st.container(key="bench_end"):
        hints.panel()
        ending.panel()


def slip(attempt: Attempt) -> None:
    """Show the complaint slip."""
    exercise = attempt.exercise
    with st.container(key="slip", horizontal=True, gap="small"):
        st.text(f"Minibus 7 · slip {exercise.slip}")
        st.text(f"“{one_line(exercise.complaint)}” O. Darrow", width="stretch")


def one_line(text: str) -> str:
    """Return text without the line breaks of its file.

    >>> one_line("one\\n two")
    'one two'
    """
    return " ".join(text.split())


def _nothing_open() -> None:
    st.subheader("No job is open", anchor=False)
    st.text("Take a slip first: the bench shows the vehicle that it belongs to.")
    if st.button("To the slips", type="primary"):
        st.switch_page(st.session_state["pages"]["start"])


def _closed() -> None:
    st.text("This job is closed.")
    if st.button("See the debrief", type="primary"):
        st.switch_page(
            st.session_state["pages"]["debrief"], query_params={"attempt": work.address()}
        )

"""The debrief: what it was, five marks with their evidence, your path beside a good one."""

from collections.abc import Sequence

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from exercises.attempt import Attempt
from exercises.debrief import Debrief, cure_words, fault_words, named_words
from exercises.marking import Column
from exercises.nextjob import next_exercise
from exercises.paths import PathRow
from exercises.screens import board, debrief_steps, work
from exercises.screens.bench import one_line, slip
from exercises.screens.start import read_slips

_TITLES = {
    "diagnosis": "Diagnosis",
    "proof": "Proof",
    "economy": "Economy",
    "care": "Care",
    "confirmation": "Confirmation",
}


def show() -> None:
    """Show the debrief of the attempt in the address, once its job is closed."""
    if work.open_desk() is None:
        _nowhere("No job is open", "Take a slip first; its debrief comes when the job is closed.")
        return
    attempt = work.attempt()
    if attempt.stage != "closed":
        slip(attempt)
        _nowhere("This job is still open", "Close it at the bench; then its debrief is here.")
        return
    slip(attempt)
    if not work.may_be_told():
        return
    with st.container(key="verdict", border=True):
        _what_it_was(attempt)
        verdict = st.empty()
    places = debrief_steps.Places()
    told = _told(attempt, places, verdict)
    if told is None:
        return
    verdict.text(_verdict(told, gave_up=attempt.gave_up))
    with places.marks:
        _marks(told.mark.columns)
    places.show(told)
    debrief_steps.thoughts(told, circuit=attempt.circuit.name)
    debrief_steps.notes(told.cautions, told.hints)
    _lesson(told)
    _next(told)


def _nowhere(title: str, words: str) -> None:
    st.subheader(title, anchor=False)
    st.text(words)
    page = "bench" if work.address() else "start"
    if st.button("To the bench" if work.address() else "To the slips", type="primary"):
        st.switch_page(st.session_state["pages"][page])


def _what_it_was(attempt: Attempt) -> None:
    """Show what is known at once, before any reading is weighed."""
    st.text(f"It was: {fault_words(attempt)}.")
    st.text(named_words(attempt))
    st.text(cure_words(attempt))


def _told(
    attempt: Attempt, places: debrief_steps.Places, verdict: DeltaGenerator
) -> Debrief | None:
    """Return the debrief, worked out once for each state of the attempt; the steps are shown."""
    state = (work.address(), attempt.last)
    kept = st.session_state.get("debrief")
    if kept is None or kept[0] != state:
        count = len(attempt.evidence)

        def each(row: PathRow) -> None:
            places.own_step(row)
            verdict.text(f"Weighing what you saw and read, one by one: {row.no} of {count} …")

        verdict.text("Weighing what you saw and read …")
        found = work.told(each)
        if found is not None:
            st.session_state["debrief"] = (state, found)
        return found
    told: Debrief = kept[1]
    for row in told.own_path:
        places.own_step(row)
    return told


def _verdict(told: Debrief, *, gave_up: bool) -> str:
    if gave_up:
        return "You asked to be shown: the good path is below, step by step."
    if told.mark.evidenced and told.mark.score("proof") < 1:
        return "Found, and proved but for a last doubt: the marks say which."
    if told.mark.evidenced:
        return "Found and proved: your readings left nothing else."
    return "Not fully proved: the marks below say what was missing."


def _marks(columns: Sequence[Column]) -> None:
    st.subheader("Five marks, each with its evidence", anchor=False)
    with st.container(key="marks"):
        for column in columns:
            with st.container(key=f"mark_{column.name}", border=True):
                st.text(_TITLES[column.name])
                st.text(f"{100 * column.score:.0f} of 100")
                st.progress(column.score)
                st.text("\n".join(column.evidence))
                with st.popover("How it is counted", type="tertiary"):
                    st.text(column.rule)


def _lesson(told: Debrief) -> None:
    with st.container(key="lessons"):
        with st.container(border=True, key="lesson"):
            st.subheader("What to take from it", anchor=False)
            st.text(told.lesson)
            work.primer_link(work.attempt().exercise.skill)
        with st.container(border=True, key="like_case"):
            st.subheader("A like case", anchor=False)
            st.text(told.like_case)


def _next(told: Debrief) -> None:
    """Offer the one exercise to do next, and the way back to the board."""
    slips, _ = read_slips()
    chosen = next_exercise(told.mark, work.attempt(), slips, work.done_before())
    with st.container(key="next_job", border=True):
        st.subheader("Do this next", anchor=False)
        if chosen is not None:
            one = chosen.exercise
            st.text(chosen.reason)
            st.text(f"Slip {one.slip} · {one.circuit.title} · level {one.level} · {one.skill}")
            st.text(f"“{one_line(one.complaint)}”")
        with st.container(horizontal=True):
            if chosen is not None:
                board.take(chosen.exercise, "Take this slip", key="take_next", kind="primary")
            if st.button("Choose another slip", key="another_slip"):
                st.switch_page(st.session_state["pages"]["start"])

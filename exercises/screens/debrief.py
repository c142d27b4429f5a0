"""The debrief: what it was, five marks with their evidence, your path beside a good one."""

from collections.abc import Sequence

import streamlit as st

from exercises.debrief import Debrief, PathRow
from exercises.marking import Column
from exercises.screens import work
from exercises.screens.bench import slip

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
    told = _told(attempt.last)
    if told is None:
        return
    _what_it_was(told, gave_up=attempt.gave_up)
    _marks(told.mark.columns)
    _paths(told)
    _lesson(told)
    if st.button("Take another slip", type="primary", key="another_slip"):
        st.switch_page(st.session_state["pages"]["start"])


def _nowhere(title: str, words: str) -> None:
    st.subheader(title, anchor=False)
    st.text(words)
    page = "bench" if work.address() else "start"
    if st.button("To the bench" if work.address() else "To the slips", type="primary"):
        st.switch_page(st.session_state["pages"][page])


def _told(last: int) -> Debrief | None:
    """Return the debrief, worked out once for each state of the attempt."""
    kept = st.session_state.get("debrief")
    # what could not be told is asked for again: an examination may be released meanwhile
    if kept is None or kept[1] is None or kept[0] != (work.address(), last):
        with st.spinner("Working out the debrief …"):
            kept = ((work.address(), last), work.told())
        st.session_state["debrief"] = kept
    found: Debrief | None = kept[1]
    return found


def _what_it_was(told: Debrief, *, gave_up: bool) -> None:
    with st.container(key="verdict", border=True):
        st.text(f"It was: {told.fault}.")
        st.text(told.cure)
        if gave_up:
            verdict = "You asked to be shown: the good path is below, step by step."
        elif told.mark.evidenced:
            verdict = "Found and proved: your readings left nothing else."
        else:
            verdict = "Not fully proved: the marks below say what was missing."
        st.text(verdict)


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


def _paths(told: Debrief) -> None:
    with st.container(key="paths"):
        with st.container(key="own_path"):
            st.subheader("Your path", anchor=False)
            st.text(f"Before the first step {told.start} faults were possible.")
            if told.own_path:
                st.table(_rows(told.own_path), border="horizontal", hide_index=True)
            else:
                st.text("No reading was taken.")
        with st.container(key="good_path"):
            st.subheader("A good path", anchor=False)
            st.text("Each step with its reason, walked on the same vehicle.")
            st.table(_rows(told.good_path), border="horizontal", hide_index=True)


def _rows(path: Sequence[PathRow]) -> list[dict[str, str]]:
    rows = []
    for step in path:
        row = {
            "No.": str(step.no),
            "Step": step.done,
            "Showed": step.showed,
            "At min": f"{step.minutes:.0f}",
            "Faults left": str(step.left),
        }
        rows.append(row | ({"Why": step.why} if step.why else {}))
    return rows


def _lesson(told: Debrief) -> None:
    with st.container(key="lessons"):
        with st.container(border=True, key="lesson"):
            st.subheader("What to take from it", anchor=False)
            st.text(told.lesson)
            work.primer_link(work.attempt().exercise.skill)
        with st.container(border=True, key="like_case"):
            st.subheader("A like case", anchor=False)
            st.text(told.like_case)

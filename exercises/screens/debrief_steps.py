"""The steps of both paths: what each showed and taught, and what would have told more."""

from collections.abc import Sequence

import streamlit as st

from circuits.files import circuit_names
from exercises.debrief import Debrief, PathRow
from exercises.screens.components.surface import still_picture
from exercises.screens.timeline import summary, timeline


class Places:
    """Where both paths go on the page: each step is shown there as soon as it is known."""

    def __init__(self) -> None:
        self.marks = st.container()
        st.subheader("Your path beside a good one", anchor=False)
        self.line = st.container()
        with st.container(key="paths"):
            self.own = st.container(key="own_path")
            self.good = st.container(key="good_path")
        self.own.subheader("Your path, step by step", anchor=False)

    def own_step(self, row: PathRow) -> None:
        """Show a step of the learner's own."""
        with self.own, st.container(key=f"own_step_{row.no}", gap=None):
            name = f"Reading {row.reading}" if row.reading else "Watched"
            _head(name, row)
            st.text(" ".join(row.learned))
            if row.better:
                st.text(f"More would have been told by: {row.better}")
            if row.then:
                st.text(row.then)

    def show(self, told: Debrief) -> None:
        """Show the good path, and both on one time line."""
        if not told.own_path:
            self.own.text("No reading was taken.")
        with self.line:
            st.text(summary(told))
            still_picture("timeline", timeline(told))
        with self.good:
            st.subheader("A good path, on the same vehicle", anchor=False)
            for row in told.good_path:
                _good_step(row)


def _good_step(row: PathRow) -> None:
    with st.container(key=f"good_step_{row.no}", gap=None):
        _head(f"Step {row.no}", row)
        st.text(_one_line(row.why))


def _head(name: str, row: PathRow) -> None:
    st.text(f"{name} · {row.minutes:.1f} min · {_left(row.left)}")
    st.text(f"{row.done}: {row.showed}")


def _left(count: int) -> str:
    return f"{count} fault{'s' * (count != 1)} left"


def _one_line(text: str) -> str:
    return " ".join(text.split())


def thoughts(told: Debrief, *, circuit: str) -> None:
    """Show what was suspected, expected and concluded, as far as there is something to say."""
    if not (told.suspects or told.expected or told.concluded):
        return
    st.subheader("What you thought, and what the readings say", anchor=False)
    with st.container(key="thoughts"):
        if told.suspects:
            with st.container(border=True, key="suspects_told"):
                st.subheader("Your list of suspects", anchor=False)
                st.text("\n".join(told.suspects))
        if told.expected:
            with st.container(border=True, key="expected_told"):
                _expected(told, circuit)
        if told.concluded:
            with st.container(border=True, key="concluded_told"):
                _concluded(told, circuit)


def _expected(told: Debrief, circuit: str) -> None:
    st.subheader("What you expected of a sound vehicle", anchor=False)
    rows = [
        {
            "Reading": f"{one.no}, {one.where}",
            "You expected": f"{one.expected}: {_JUDGED[one.right]}",
            "A sound one shows": one.sound,
            "It showed": one.shown,
        }
        for one in told.expected
    ]
    st.table(rows, border="horizontal", hide_index=True)
    wrong = sum(one.right is False for one in told.expected)
    if wrong:
        st.text(EXPECTED_WRONG.format(wrong, "s were" if wrong > 1 else " was"))
        _circuit_link(circuit)


_JUDGED = {True: "right", False: "wrong", None: "open"}

EXPECTED_WRONG = (
    "{} expectation{} wrong: that is a gap in knowing this circuit, not in your logic. Its page "
    "tells what should happen in each setting."
)

GAPS = {
    "circuit": (
        "Your logic held, but you did not know what a sound vehicle shows there: read up the "
        "circuit."
    ),
    "logic": (
        "That is a gap in logic, not in knowing the circuit: hold a name against every reading "
        "before you hand it in."
    ),
    "proof": "Nothing spoke against it, but nothing had singled it out: one more reading first.",
}


def _concluded(told: Debrief, circuit: str) -> None:
    st.subheader("What you concluded", anchor=False)
    for one in told.concluded:
        st.text(f"{one.words} {GAPS[one.gap]}")
    if any(one.gap == "circuit" for one in told.concluded):
        _circuit_link(circuit)


def _circuit_link(name: str) -> None:
    pages = st.session_state.get("pages")
    if pages and name in circuit_names():
        st.page_link(pages["circuit"], label="How this circuit works")


def notes(cautions: Sequence[str], hints: Sequence[str]) -> None:
    """Show the cautions met and the hints taken, where there were any."""
    if not (cautions or hints):
        return
    with st.container(key="notes"):
        if cautions:
            with st.container(border=True, key="cautions_met"):
                st.subheader("Cautions you met", anchor=False)
                st.text("\n".join(cautions))
        if hints:
            with st.container(border=True, key="hints_taken"):
                st.subheader("Hints you took", anchor=False)
                st.text("\n".join(hints))

"""What the vehicle does now, and the readings so far."""

import streamlit as st

from exercises.attempt import Attempt
from exercises.entries import Entry
from exercises.exercise import Exercise
from exercises.reports.csv_text import csv_text
from exercises.screens import work
from exercises.screens.components.meter import INSTRUMENTS
from exercises.screens.guard import guarded


@st.fragment(key="seen")
@guarded
def seen() -> None:
    """Show what a person at the vehicle sees and hears in this setting."""
    st.subheader("What you see and hear", anchor=False)
    st.text("\n".join(work.attempt().seen) or "Nothing moves, lights or sounds.")


@st.fragment(key="log")
@guarded
def log() -> None:
    """Show the readings so far, the newest first, with a file of them to take away."""
    attempt = work.attempt()
    with st.container(horizontal=True, vertical_alignment="bottom", key="log_head"):
        st.subheader("Readings so far", anchor=False, width="stretch")
        st.text(f"{attempt.minutes:.0f} min spent")
        st.download_button(
            "CSV",
            csv_text(rows(attempt)),
            file_name="readings.csv",
            mime="text/csv",
            on_click="ignore",
            disabled=not attempt.entries,
            help="The readings as a file for a spreadsheet",
        )
    if attempt.entries:
        with st.container(key=_kind_of_rows(attempt.exercise)):
            st.table(rows(attempt)[::-1], border="horizontal", hide_index=True)
    else:
        st.text("None yet: place both leads on the diagram.")


def _kind_of_rows(exercise: Exercise) -> str:
    """Return the key by which the page's look tells which columns there are."""
    more = (("_expected", exercise.asks_expected), ("_healthy", exercise.shows_expected))
    return "log_rows" + "".join(word for word, there in more if there)


def rows(attempt: Attempt) -> list[dict[str, str]]:
    """Return the readings as rows of words, in the order in which they were taken."""
    return [_row(entry, attempt.exercise) for entry in attempt.entries]


def _row(entry: Entry, exercise: Exercise) -> dict[str, str]:
    row = {"No.": str(entry.no), "Leads": entry.where}
    if exercise.asks_expected:
        row["Expected"] = entry.expected
    row["Reading"] = entry.shown.text
    if exercise.shows_expected:
        row["Healthy"] = entry.shown.expected
    row["Instrument"] = INSTRUMENTS[entry.what.instrument][0]
    return row | {"Vehicle set to": entry.setting_words, "At min": f"{entry.minutes:.0f}"}

"""Marks of a class: filtered, plotted, taken away as files, one attempt at a time on paper."""

import datetime as dt
from collections.abc import Callable, Sequence

import pandas as pd
import streamlit as st

from exercises.attempt import AttemptError
from exercises.desk import Desk, method_of
from exercises.identity.people import IdentityError, Progress
from exercises.marking import COLUMNS
from exercises.marking.weights import Weights, weights_from
from exercises.plans.typeset import PAPERS
from exercises.records import StoreError
from exercises.reports.attempt_sheet import attempt_pdf
from exercises.reports.csv_text import csv_text
from exercises.reports.marked import HEADINGS, Marked, Who, marked, row_of
from exercises.reports.spreadsheet import xlsx
from exercises.reports.statements import lines, statements
from exercises.screens.house import now_ms
from exercises.screens.visitor import office, store

_ERRORS = (IdentityError, StoreError, AttemptError)
_KNOWN = "marks_known"
_ANY = "Any"
_BY = {"Skill": "skill", "Hidden": "kinds", "Learner": "learner"}
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def panel(class_id: str) -> None:
    """Show the marks of a class's closed attempts."""
    try:
        closed = [one for one in office().progress(class_id) if one.stage == "closed"]
        weights = _weights(class_id)
        known = _marked(closed, weights)
    except _ERRORS as error:
        st.error(str(error))
        return
    if not closed:
        st.text("No job is closed yet. Marks come when one is.")
        return
    rows = [row_of(one, closed=_moment(one.closed_at)) for one in known]
    shown = _filtered(rows)
    st.text(_told(len(shown), len(rows)))
    _table(shown)
    _plot(shown)
    _files(shown, known)
    _paper(known)


def _weights(class_id: str) -> dict[str, Weights]:
    """Return by assignment the weights that its rules give."""
    found = {}
    for one in office().assignments(class_id):
        given = one.rules.get("weights")
        found[one.id] = weights_from(given) if given else Weights()
    return found


def _marked(closed: Sequence[Progress], weights: dict[str, Weights]) -> list[Marked]:
    """Return the closed attempts marked; those marked in this session are not marked again."""
    known: dict[tuple[str, int], Marked] = st.session_state.setdefault(_KNOWN, {})
    new = [one for one in closed if (one.attempt_id, one.last_seq) not in known]
    bar = st.progress(0.0, "Marking what was closed") if new else None
    for number, one in enumerate(new, start=1):
        given = weights.get(one.assignment_id or "", Weights())
        known[one.attempt_id, one.last_seq] = _mark(one, given)
        if bar is not None:
            bar.progress(number / len(new), "Marking what was closed")
    if bar is not None:
        bar.empty()
    return [known[one.attempt_id, one.last_seq] for one in closed]


def _mark(one: Progress, weights: Weights) -> Marked:
    desk = Desk(store(), one.attempt_id)
    made = desk.debriefed(at=now_ms(), weights=weights).mark
    last = store().events(one.attempt_id, after=made.up_to - 1)[0]
    who = Who(one.nickname, one.group_name or "", one.attempt_id)
    return marked(
        who,
        desk.attempt,
        made,
        closed_at=last.at,
        digest=last.digest,
        weights=weights,
        method=method_of(made),
    )


def _moment(at: int) -> str:
    return f"{dt.datetime.fromtimestamp(at / 1000, tz=dt.UTC):%Y-%m-%d %H:%M}"


def _filtered(rows: list[dict[str, str | float]]) -> list[dict[str, str | float]]:
    with st.container(key="marks_filters"):
        chosen = {
            name: st.selectbox(
                words, [_ANY, *sorted({str(row[name]) for row in rows})], key=f"marks_{name}"
            )
            for words, name in _BY.items()
        }
    return [
        row
        for row in rows
        if all(value in (_ANY, str(row[name])) for name, value in chosen.items())
    ]


def _told(shown: int, every: int) -> str:
    jobs = f"{every} job{'s' * (every != 1)} closed"
    return f"{jobs}." if shown == every else f"{jobs}; {shown} shown."


def _table(rows: list[dict[str, str | float]]) -> None:
    seen = ("learner", "slip", "circuit", "kinds", *COLUMNS, "evidenced", "total", "minutes")
    frame = pd.DataFrame([{HEADINGS[name]: row[name] for name in seen} for row in rows])
    st.dataframe(frame, hide_index=True, width="stretch")


def _plot(rows: list[dict[str, str | float]]) -> None:
    if not rows:
        return
    st.subheader("Mean marks, of 100", anchor=False)
    by = st.segmented_control(
        "By",
        [*_BY, "Day"],
        default="Skill",
        key="marks_by",
        required=True,
        label_visibility="collapsed",
    )
    frame = pd.DataFrame(rows)
    key = frame["closed"].str[:10] if by == "Day" else frame[_BY[by]]
    means = frame.groupby(key)[list(COLUMNS)].mean()
    means = means.rename(columns=HEADINGS).rename_axis(by)
    draw: Callable[..., object] = st.line_chart if by == "Day" else st.bar_chart
    draw(means, **({} if by == "Day" else {"stack": False, "horizontal": True}))
    st.table(means.round(0).astype(int).astype(str), border="horizontal")


def _files(rows: list[dict[str, str | float]], known: list[Marked]) -> None:
    st.subheader("Take it away", anchor=False)
    attempts = {str(row["attempt"]) for row in rows}
    as_text = [{HEADINGS[name]: str(row[name]) for name in HEADINGS} for row in rows]
    told = [
        said
        for one in known
        if one.who.attempt_id in attempts
        for said in statements(one, store().events(one.who.attempt_id))
    ]
    with st.container(horizontal=True):
        for label, data, name, mime in (
            ("Marks as CSV", csv_text(as_text), "marks.csv", "text/csv"),
            ("Marks as XLSX", xlsx(HEADINGS, rows), "marks.xlsx", _XLSX),
            ("Statements as JSON lines", lines(told), "statements.jsonl", "application/jsonl"),
        ):
            st.download_button(label, data, file_name=name, mime=mime, on_click="ignore")


def _paper(known: list[Marked]) -> None:
    st.subheader("One attempt on paper", anchor=False)
    by_id = {one.who.attempt_id: one for one in known}
    chosen = st.selectbox(
        "Attempt",
        list(by_id),
        index=None,
        format_func=lambda key: (
            f"{by_id[key].who.learner}, slip {by_id[key].slip}, {_moment(by_id[key].closed_at)}"
        ),
        key="marks_attempt",
    )
    if chosen is None:
        return
    paper = st.segmented_control(
        "Paper",
        list(PAPERS),
        default=PAPERS[0],
        key="marks_paper",
        required=True,
        format_func=str.upper,
    )
    try:
        desk = Desk(store(), chosen)
        told = desk.debriefed(at=now_ms())
    except _ERRORS as error:
        st.error(str(error))
        return
    made = dt.datetime.fromtimestamp(now_ms() / 1000, tz=dt.UTC)
    st.download_button(
        "Report as PDF",
        attempt_pdf(by_id[chosen], desk.attempt, told, paper=paper, made=made),
        file_name=f"report-{chosen}.pdf",
        mime="application/pdf",
        on_click="ignore",
    )

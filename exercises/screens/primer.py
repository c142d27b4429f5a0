"""Primers: a list of them, or one: three paragraphs, a live circuit, a task, two questions."""

from pathlib import Path
from typing import Any

import streamlit as st

from exercises.primer_files import PrimerFileError, library_primer, primer_names
from exercises.primers import (
    Primer,
    Question,
    explanation,
    number_is_right,
    options,
    task_lacks,
    where_read,
    with_reading,
)
from exercises.screens import primer_bench, work
from exercises.screens.guard import guarded

_STYLE = Path(__file__).with_name("primer.css")
_DONE, _ANSWERS = "primers_done", "primer_answers"
TASK = "task"


def show() -> None:
    """Show the primer that the address names, else the list of them."""
    work.address()
    st.html(f"<style>{_STYLE.read_text(encoding='utf-8')}</style>")
    name = st.query_params.get("primer", "")
    if not name:
        _list()
        return
    try:
        primer = library_primer(name)
    except PrimerFileError:
        st.text("There is no such primer. Here are those that there are.")
        _list()
        return
    _primer(primer)


def _list() -> None:
    st.title("Primers", anchor=False)
    st.text(
        "A few minutes each: read three paragraphs, take one reading on a live circuit, answer "
        "two questions with the meter. Nothing here is marked."
    )
    with st.container(key="primer_list"):
        for number, name in enumerate(primer_names(), start=1):
            _card(number, library_primer(name))


def _card(number: int, primer: Primer) -> None:
    with st.container(border=True, key=f"primer_card_{primer.name}"):
        st.text(f"{number} · {primer.circuit.title}")
        st.text(primer.title)
        st.text(_first_sentence(primer.paragraphs[0]))
        with st.container(horizontal=True, vertical_alignment="center"):
            st.button(
                "Open",
                key=f"open_{primer.name}",
                on_click=lambda: _go_to(primer.name),
            )
            st.text(_progress(primer))


def _first_sentence(text: str) -> str:
    """Return the first sentence of a paragraph.

    >>> _first_sentence("Listen first. A click tells.")
    'Listen first.'
    """
    return text.partition(". ")[0].rstrip(".") + "."


def _progress(primer: Primer) -> str:
    parts = _done(primer.name)
    whole = 1 + len(primer.questions)
    return "✓ done" if len(parts) == whole else f"{len(parts)} of {whole} done" if parts else ""


def _go_to(name: str) -> None:
    if name:
        st.query_params["primer"] = name
    else:
        st.query_params.pop("primer", None)


def _done(name: str) -> frozenset[str]:
    """Return which parts of a primer have been done since the page was opened."""
    found: frozenset[str] = st.session_state.get(_DONE, {}).get(name, frozenset())
    return found


def _mark_done(name: str, part: str) -> None:
    kept = st.session_state.get(_DONE, {})
    st.session_state[_DONE] = kept | {name: _done(name) | {part}}


def _primer(primer: Primer) -> None:
    primer_bench.open_bench(primer)
    number = primer_names().index(primer.name) + 1
    with st.container(key="primer_head", horizontal=True, vertical_alignment="center"):
        st.title(f"{number} · {primer.title}", anchor=False)
        st.button("All primers", key="all_primers", on_click=lambda: _go_to(""))
    with st.container(key="primer_text"):
        for text in primer.paragraphs:
            st.text(text)
    with st.container(key="primer_work"):
        task_panel()
        with st.container(border=True, key="primer_vehicle_box"):
            primer_bench.vehicle_panel()
        with st.container(key="primer_diagram_box"):
            primer_bench.diagram_panel()
        with st.container(key="primer_seen_box"):
            primer_bench.seen_panel()
        primer_bench.meter_panel()
    _questions(primer)
    _ways_on(primer)


@st.fragment(key="primer_task")
@guarded
def task_panel() -> None:
    """Show the task, with a tick and what it tells once its reading has been taken."""
    now = primer_bench.bench()
    primer, entry = now.primer, primer_bench.task_entry(now)
    with st.container(key="task_done" if entry else "task_open"):
        st.text("✓ Done" if entry else "Now you")
        st.text(primer.task.ask)
        if entry:
            if TASK not in _done(primer.name):
                st.toast("✓ That is the reading.")  # the strip may be out of sight on a phone
            _mark_done(primer.name, TASK)
            st.text(with_reading(primer.task.told, entry.shown))
        elif hint := _hint(now):
            st.text(hint)


def _hint(now: primer_bench.Bench) -> str:
    """Return what the last reading lacks to be the task's; empty before the first."""
    attempt = now.attempt
    if not attempt.reading:
        return ""
    entry = attempt.entries[-1]
    lacks = task_lacks(now.primer, entry.what, entry.setting)
    return f"Not yet. {lacks}" if lacks else ""


def _questions(primer: Primer) -> None:
    st.subheader("Two questions for the meter", anchor=False)
    st.text("Say what you expect, or measure it first: the vehicle above is yours.")
    with st.container(key="primer_questions"):
        for number, question in enumerate(primer.questions, start=1):
            with st.container(border=True, key=f"question_{number}"):
                _question(primer, question, number)


@st.fragment
def _question(primer: Primer, question: Question, number: int) -> None:
    key = f"{primer.name}_{number}"
    st.text(question.ask)
    choices = options(primer, question)
    words = [option.words for option in choices]
    if choices:
        given: Any = st.radio(
            f"Answer {number}", words, index=None, key=f"answer_{key}", label_visibility="collapsed"
        )
    else:
        given = st.number_input(
            f"Your answer in {question.unit}", value=None, step=0.1, key=f"answer_{key}", width=220
        )
    answers = st.session_state.setdefault(_ANSWERS, {})
    if st.button("Check", key=f"check_{key}", disabled=given is None):
        answers[key] = given
    if given is not None and answers.get(key) == given:
        if choices:
            right = any(option.right for option in choices if option.words == given)
        else:
            right = number_is_right(primer, question, given)
        _verdict(primer, question, number, right=right)


def _verdict(primer: Primer, question: Question, number: int, *, right: bool) -> None:
    if right:
        _mark_done(primer.name, f"question {number}")
    with st.container(key=f"verdict_{'right' if right else 'wrong'}_{number}"):
        st.text("✓ Right." if right else "✗ Not so.")
        st.text(explanation(primer, question))
        st.text(f"Read so: {where_read(primer, question)}.")


def _ways_on(primer: Primer) -> None:
    names = primer_names()
    after = names[names.index(primer.name) + 1 :]
    with st.container(horizontal=True, key="primer_ways"):
        if after:
            following = library_primer(after[0])
            st.button(
                f"Next: {following.title}",
                key="next_primer",
                type="primary",
                on_click=lambda: _go_to(following.name),
            )
        st.button(
            "Put the vehicle back as it was",
            key="primer_afresh",
            on_click=lambda: primer_bench.begin_afresh(primer),
        )

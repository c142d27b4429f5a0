"""The board: the library's slips, looked through by circuit, level and skill."""

from collections.abc import Mapping, Sequence
from typing import Literal

import streamlit as st

from exercises.exercise import Exercise
from exercises.screens import work
from exercises.screens.bench import one_line

LEVELS = {
    1: "first lessons",
    2: "everyday faults",
    3: "harder",
    4: "for those who have done it all",
}
SHOWN_AT_ONCE = 12
_ANY = ""
_CHOICES = ("level", "circuit", "skill")
_COUNT = "board_shown"


def panel(exercises: Sequence[Exercise]) -> None:
    """Show the slips that fit what was chosen, so many at a time."""
    if not exercises:
        return
    st.subheader("The board", anchor=False)
    found = fitting(exercises, *_chosen(exercises))
    shown = int(st.session_state.get(_COUNT, SHOWN_AT_ONCE))
    st.text(_told(len(found), min(shown, len(found))))
    with st.container(key="board_slips"):
        for exercise in found[:shown]:
            _card(exercise)
    if len(found) > shown:
        st.button("Show more slips", key="board_more", on_click=_more, args=(shown,))


def fitting(exercises: Sequence[Exercise], level: str, circuit: str, skill: str) -> list[Exercise]:
    """Return the exercises of a level, a circuit and a skill; an empty choice takes any."""
    return [
        one
        for one in exercises
        if level in (_ANY, str(one.level))
        and circuit in (_ANY, one.circuit.name)
        and skill in (_ANY, one.skill)
    ]


def _told(found: int, shown: int) -> str:
    if not found:
        return "No slip fits all three choices: widen one of them."
    slips = f"{found} slip{'s' * (found != 1)}"
    return slips if shown == found else f"{slips}; the first {shown} are shown"


def _chosen(exercises: Sequence[Exercise]) -> tuple[str, str, str]:
    circuits = {one.circuit.name: one.circuit for one in exercises}
    in_course = sorted(circuits, key=lambda name: (circuits[name].lesson, circuits[name].title))
    titles = {_ANY: "Any circuit"} | {name: circuits[name].title for name in in_course}
    there = sorted({one.level for one in exercises})
    levels = {str(level): f"{level}, {LEVELS[level]}" for level in there}
    levels[_ANY] = "Any level"
    skills = {_ANY: "Any skill"} | {skill: skill for skill in sorted({e.skill for e in exercises})}
    with st.container(key="board_choices"):
        level = _choice("level", "Level", levels)
        circuit = _choice("circuit", "Circuit", titles)
        skill = _choice("skill", "To practise", skills)
    return level, circuit, skill


def _choice(name: str, label: str, words: Mapping[str, str]) -> str:
    """Return what is chosen; a choice outlives a visit to another page, as its widget does not."""
    kept, key = f"board_kept_{name}", f"board_{name}"
    options = list(words)
    first = st.session_state.get(kept, options[0])
    chosen = st.selectbox(
        label,
        options,
        index=options.index(first) if first in words else 0,
        format_func=words.__getitem__,
        key=key,
        on_change=_fewer,
    )
    st.session_state[kept] = chosen
    return chosen


def _fewer() -> None:
    st.session_state[_COUNT] = SHOWN_AT_ONCE


def _more(shown: int) -> None:
    st.session_state[_COUNT] = shown + SHOWN_AT_ONCE


def _card(exercise: Exercise) -> None:
    with st.container(border=True, key=f"slip_{exercise.slip}"):
        st.text(f"Slip {exercise.slip} · {exercise.circuit.title} · level {exercise.level}")
        st.text(f"“{one_line(exercise.complaint)}”")
        st.text(f"To practise: {exercise.skill}")
        work.primer_link(exercise.skill)
        take(exercise, "Take this slip", key=f"take_{exercise.slip}")


def take(
    exercise: Exercise, label: str, *, key: str, kind: Literal["primary", "secondary"] = "secondary"
) -> None:
    """Offer a slip: a button that begins its job and goes to the bench."""
    if st.button(label, key=key, type=kind):
        begun = work.begin_job(exercise)
        if begun:
            to_bench(begun)


def to_bench(attempt_id: str) -> None:
    """Go to the bench of a job."""
    work.forget()
    st.switch_page(st.session_state["pages"]["bench"], query_params={"attempt": attempt_id})

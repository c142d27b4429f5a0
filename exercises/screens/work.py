"""The attempt that is open in this browser: found by the address, pressed, told of.

The record on the server is the truth. ``st.session_state`` holds a copy of it, and what a
panel has to say of the last press.
"""

import os
import secrets
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import streamlit as st

from circuits.cautions import sentences
from circuits.model import CircuitError
from exercises.actions import Action
from exercises.asking import given_hints, next_hint
from exercises.attempt import Attempt, AttemptError
from exercises.debrief import Debrief
from exercises.desk import Desk, begin
from exercises.exercise import Exercise
from exercises.files import (
    ExerciseFileError,
    LibraryExercise,
    exercise_names,
    library_entry,
    library_exercise,
)
from exercises.identity.people import IdentityError
from exercises.paths import PathRow
from exercises.records import StoreError
from exercises.screens import ahead
from exercises.screens.house import now_ms
from exercises.screens.visitor import store, why_no_debrief
from exercises.skills import primer_for

BEHIND = "This job was changed in another window. Look at it as it is now, then press again."

PANELS = ("suspects", "diagram", "meter", "vehicle", "seen", "faces", "log", "hints", "ending")
_ALWAYS = ("meter", "log")
_MOST_KEYS = 40
_UNSEEN = ("fuse_blew",)
"""Cautions that nobody at the vehicle would notice; the debrief tells of them."""

_ERRORS = (CircuitError, AttemptError, ExerciseFileError, IdentityError, StoreError)


def address() -> str:
    """Return the open attempt's id, and put it back into the address if a page lost it."""
    named = st.query_params.get("attempt", "") or st.session_state.get("attempt_id", "")
    if named and st.query_params.get("attempt") != named:
        st.query_params["attempt"] = named
    if named != st.session_state.get("attempt_id"):
        forget()
        st.session_state["attempt_id"] = named
    return str(named)


def forget() -> None:
    """Drop the copy of the attempt; the next look reads the record."""
    for name in ("desk", "done", "said", "warned", "attempt_id"):
        st.session_state.pop(name, None)


def open_desk() -> Desk | None:
    """Return the desk of the attempt in the address; None without one, or with a wrong one."""
    named = address()
    if not named:
        return None
    if "desk" not in st.session_state:
        try:
            st.session_state["desk"] = Desk(store(), named)
            kept = store().events(named)[-_MOST_KEYS:]
        except _ERRORS as error:
            forget()
            st.query_params.pop("attempt", None)
            st.error(str(error))
            return None
        # A browser that outlived the server sends its last presses again.
        st.session_state["done"] = tuple(event.key for event in kept)
    return desk()


def desk() -> Desk:
    """Return the desk that the screen has opened."""
    found: Desk = st.session_state["desk"]
    return found


def attempt() -> Attempt:
    """Return the attempt as it is now."""
    return desk().attempt


def primer_link(skill: str) -> None:
    """Link to the primer that teaches a skill, where there is one."""
    primer, pages = primer_for(skill), st.session_state.get("pages")
    if primer and pages:
        st.page_link(pages["primer"], label=f"Primer: {skill}", query_params={"primer": primer})


def may_be_told() -> bool:
    """Say whether the attempt may be told of; else the reason is on the screen."""
    try:
        reason = why_no_debrief(store().attempt(desk().attempt_id))
    except _ERRORS as error:
        st.error(str(error))
        return False
    if reason:
        st.text(reason)
    return not reason


def told(each: Callable[[PathRow], object]) -> Debrief | None:
    """Return the debrief of the attempt; None, with the reason on the screen, without one.

    ``each`` gets every step as soon as it is weighed.
    """
    try:
        plan = ahead.plan(desk().attempt.exercise)
        return desk().debriefed(at=now_ms(), plan=plan, each=each)
    except _ERRORS as error:
        st.error(str(error))
        return None


_MOST_DONE = 60


def done_before() -> set[str]:
    """Return the names of the exercises at which the learner of this job was lately."""
    try:
        learner = store().attempt(address()).learner_id
        return {row.exercise_name for row in store().attempts(_MOST_DONE, learner_id=learner)}
    except _ERRORS as error:
        st.error(str(error))
        return set()


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job that was begun and not closed."""

    id: str
    exercise: Exercise


def open_jobs(most: int) -> list[OpenJob]:
    """Return the jobs that are still open, the one last worked on first."""
    found: list[OpenJob] = []
    try:
        for row in store().attempts(4 * most):
            last = store().events(row.id, after=row.last_seq - 1)
            closed = bool(last) and last[-1].kind == "closed"
            if len(found) < most and not closed and row.exercise_name in exercise_names():
                found.append(OpenJob(row.id, library_exercise(row.exercise_name)))
    except _ERRORS as error:
        st.error(str(error))
    return found


def begin_job(exercise: Exercise) -> str:
    """Begin a job and return its id; empty, with the reason on the screen, if it cannot be."""
    entry = entry_of(exercise)
    return begin_entry(entry) if entry else ""


def entry_of(exercise: Exercise) -> LibraryExercise | None:
    """Return an exercise of the library as plain data; None, with the reason on the screen."""
    try:
        return library_entry(exercise.name)
    except _ERRORS as error:
        st.error(str(error))
        return None


def begin_entry(entry: LibraryExercise) -> str:
    """Begin a job at an exercise from anywhere and return its id, as ``begin_job``."""
    try:
        return begin(store(), entry, seed=_seed(), key=str(uuid.uuid4()), at=now_ms())
    except _ERRORS as error:
        st.error(str(error))
        return ""


def begin_set(entry: LibraryExercise, *, seed: int, assignment_id: str) -> str:
    """Begin a job that is set for a class and return its id, as ``begin_job``."""
    key = str(uuid.uuid4())
    try:
        return begin(store(), entry, seed=seed, key=key, at=now_ms(), assignment_id=assignment_id)
    except _ERRORS as error:
        st.error(str(error))
        return ""


def _seed() -> int:
    """Return the seed of a new job: another vehicle each time, or that of ``LAB_SEED``."""
    told = os.environ.get("LAB_SEED", "")
    return int(told) if told.isdecimal() else secrets.randbelow(2**31)


def done_keys() -> tuple[str, ...]:
    """Return the keys of the presses that were taken lately."""
    return tuple(st.session_state.get("done", ()))


def said(panel: str) -> str:
    """Return the sentence that a panel has to show of the last press, or empty."""
    return str(st.session_state.get("said", {}).get(panel, ""))


def warned() -> tuple[str, ...]:
    """Return the cautions that the last press met."""
    return tuple(st.session_state.get("warned", ()))


def tell(panel: str, sentence: str) -> None:
    """Keep a sentence for a panel to show, of a press that could not be done."""
    st.session_state["said"] = {panel: sentence}


def press(action: Action, *, panel: str, key: str = "") -> bool:
    """Do an action once, keep what a person must be told of it for a panel; say if it held."""
    key = key or str(uuid.uuid4())
    before = attempt()
    sentence = _sentence(action, key)
    met = [name for name in attempt().slips[len(before.slips) :] if name not in _UNSEEN]
    st.session_state["done"] = (*done_keys(), key)[-_MOST_KEYS:]
    st.session_state["said"] = {panel: sentence} if sentence else {}
    st.session_state["warned"] = sentences(tuple(met))
    return not sentence


def _sentence(action: Action, key: str) -> str:
    try:
        pressed = desk().press(action, key=key, at=now_ms())
    except _ERRORS as error:
        return str(error)
    return BEHIND if pressed.behind else ""


def pressing(*panels: str) -> Callable[[Callable[[], object]], Callable[[], None]]:
    """Return a wrapper for callbacks: do it, then redraw these panels and all that changed."""

    def wrap(act: Callable[[], object]) -> Callable[[], None]:
        def callback() -> None:
            if "desk" not in st.session_state:
                return  # a new session after the server started again: the page shows it anew
            before = attempt()
            act()
            redraw(changed_panels(before, attempt(), panels))

        return callback

    return wrap


def changed_panels(before: Attempt, after: Attempt, panels: Sequence[str]) -> tuple[str, ...]:
    """Return the panels that show something else now; none, for all, after a change of stage."""
    if before.stage != after.stage:
        return ()
    wanted = {*_ALWAYS, *panels}
    if before.setting != after.setting:
        wanted |= {"diagram", "faces", "vehicle"}
    if before.seen != after.seen:
        wanted.add("seen")
    if next_hint(before) != next_hint(after) or given_hints(before) != given_hints(after):
        wanted.add("hints")
    return tuple(panel for panel in PANELS if panel in wanted)


def redraw(panels: Sequence[str]) -> None:
    """Redraw these panels from a callback; the whole page if there are none."""
    if panels:
        st.rerun(list(panels))
    st.rerun()

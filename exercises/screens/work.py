"""The attempt that is open in this browser: found by the address, pressed, told of.

The record on the server is the truth. ``st.session_state`` holds a copy of it, and what a
panel has to say of the last press.
"""

import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import streamlit as st

from circuits.model import CircuitError
from exercises.actions import Action
from exercises.attempt import Attempt, AttemptError
from exercises.desk import Desk
from exercises.exercise import Exercise
from exercises.store import Store, StoreError, open_store

BEHIND = "This job was changed in another window. Look at it as it is now, then press again."

PANELS = ("diagram", "meter", "vehicle", "seen", "faces", "log", "ending")
_ALWAYS = ("meter", "log")
_MOST_KEYS = 40


@st.cache_resource(show_spinner=False)
def store() -> Store:
    """Return the store of this server."""
    return open_store()


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
    for name in ("desk", "done", "said", "attempt_id"):
        st.session_state.pop(name, None)


def open_desk() -> Desk | None:
    """Return the desk of the attempt in the address; None without one, or with a wrong one."""
    named = address()
    if not named:
        return None
    if "desk" not in st.session_state:
        try:
            st.session_state["desk"] = Desk(store(), named)
        except (StoreError, AttemptError, CircuitError) as error:
            st.session_state.pop("attempt_id", None)
            st.query_params.pop("attempt", None)
            st.error(str(error))
            return None
    return st.session_state["desk"]


def desk() -> Desk:
    """Return the desk that the screen has opened."""
    return st.session_state["desk"]


def attempt() -> Attempt:
    """Return the attempt as it is now."""
    return desk().attempt


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job that was begun and not closed."""

    id: str
    exercise: Exercise


def open_jobs(most: int) -> list[OpenJob]:
    """Return the jobs that are still open, the one last worked on first."""
    return []


def begin_job(exercise: Exercise) -> str:
    """Begin a job and return its id; empty, with the reason on the screen, if it cannot be."""
    from exercises.desk import begin

    return begin(exercise.name)


def done_keys() -> tuple[str, ...]:
    """Return the keys of the presses that were taken lately."""
    return tuple(st.session_state.get("done", ()))


def said(panel: str) -> str:
    """Return the sentence that a panel has to show of the last press, or empty."""
    return str(st.session_state.get("said", {}).get(panel, ""))


def press(action: Action, *, panel: str, key: str = "") -> bool:
    """Do an action once, keep what a person must be told of it for a panel; say if it held."""
    key = key or str(uuid.uuid4())
    sentence = _sentence(action, key)
    st.session_state["done"] = (*done_keys(), key)[-_MOST_KEYS:]
    st.session_state["said"] = {panel: sentence} if sentence else {}
    return not sentence


def _sentence(action: Action, key: str) -> str:
    try:
        outcome = desk().press(action, key)
    except (CircuitError, AttemptError, StoreError) as error:
        return str(error)
    return "" if outcome == "kept" else BEHIND


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
    """Return the panels that show something else now; all of them after a change of stage."""
    if before.stage != after.stage:
        return ()
    wanted = {*_ALWAYS, *panels}
    if before.setting != after.setting:
        wanted |= {"diagram", "faces", "vehicle"}
    if before.seen != after.seen:
        wanted.add("seen")
    return tuple(panel for panel in PANELS if panel in wanted)


def redraw(panels: Sequence[str]) -> None:
    """Redraw these panels from a callback; the whole page if there are none."""
    if panels:
        st.rerun(list(panels))

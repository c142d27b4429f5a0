"""Hints: how many faults still fit, then where to look, then the test itself."""

import streamlit as st

from exercises.asking import TakeHint, given_hints, next_hint
from exercises.attempt import Attempt
from exercises.planning.advice import hint_for
from exercises.screens import ahead, work
from exercises.screens.components.status import status
from exercises.screens.guard import guarded

LABELS = {1: "Give me a hint", 2: "A clearer hint", 3: "Tell me the test"}
LOOK_AGAIN_S = 5
NOT_BUILT = "Hints for this circuit are not ready on this server; all else works without them."
NO_MORE = "That is the clearest hint there is. Do what it says, and you can ask again."


@st.fragment(key="hints")
@guarded
def panel() -> None:
    """Show the hints taken since the last reading, and the next one that can be had."""
    attempt = work.attempt()
    if not offered(attempt):
        return
    with st.container(key="hints_box", border=True):
        share = ahead.share(attempt.circuit)
        if share is None:
            st.text(NOT_BUILT)
        elif share < 1:
            _until_ready()
        else:
            _hints()


def offered(attempt: Attempt) -> bool:
    """Say whether hints belong to this stage of the job: until the last repair at least."""
    repaired = attempt.stage == "repaired" and len(attempt.exercise.faults) < 2
    return bool(attempt.exercise.hints) and not repaired


@st.fragment(run_every=LOOK_AGAIN_S)
@guarded
def _until_ready() -> None:
    share = ahead.share(work.attempt().circuit)
    if share is None:
        st.text(NOT_BUILT)
        return
    if share == 1:
        _hints()
        return
    told = f"Hints for this circuit are being worked out: {100 * share:.0f} % is done."
    st.text(f"{told} Go on measuring meanwhile.")
    st.progress(share)


def _hints() -> None:
    attempt = work.attempt()
    given = given_hints(attempt)
    depth = next_hint(attempt)
    lines = [hint.words for hint in given]
    if depth is None:
        lines.append(NO_MORE)
    if sentence := work.said("hints"):
        lines.append(sentence)
    with st.container(horizontal=True, vertical_alignment="center"):
        wanted = st.button(
            LABELS[depth or attempt.exercise.hints], key="take_hint", disabled=depth is None
        )
        st.text(taken_words(len(attempt.hinted)))
    if wanted:
        with st.spinner("Working out what still fits …"):
            _take(attempt)
        st.rerun()
    status("hints_said", lines)


def taken_words(count: int) -> str:
    """Return how many hints were taken.

    >>> taken_words(0), taken_words(1)
    ('None taken so far.', '1 taken; the debrief counts it.')
    """
    if not count:
        return "None taken so far."
    return f"{count} taken; the debrief counts {'it' if count == 1 else 'them'}."


def _take(attempt: Attempt) -> None:
    plan, depth = ahead.plan(attempt.exercise), next_hint(attempt)
    if plan is None or depth is None:
        ahead.want(work.store(), work.address(), attempt.circuit, anew=True)
        work.tell("hints", NOT_BUILT)
        return
    hint = hint_for(attempt, plan, depth=depth)
    work.press(TakeHint(depth, hint.words), panel="hints")

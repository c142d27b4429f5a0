"""Who is where: the attempts of a class as they go on, looked at again every few seconds."""

import datetime as dt
from collections.abc import Mapping, Sequence

import streamlit as st

from exercises.attempt import AttemptError
from exercises.desk import Desk
from exercises.identity.people import IdentityError, Progress
from exercises.narrowing import narrowing, questions
from exercises.records import StoreError
from exercises.screens.guard import guarded
from exercises.screens.visitor import office, store

EVERY_S = 5
MOST_COUNTED = 3
"""Attempts whose faults left are counted in one look: it may cost a second each."""

_STAGES = {"probing": "measuring", "repaired": "repaired, confirming", "closed": "closed"}
_KNOWN = "watching_known"


def panel(class_id: str) -> None:
    """Show where the learners of a class are."""
    st.session_state["watching_class"] = class_id
    _table()


@st.fragment(run_every=EVERY_S, key="watching")
@guarded
def _table() -> None:
    try:
        class_id = st.session_state["watching_class"]
        desk = office()
        found = desk.progress(class_id)
        slips = {one.id: str(one.exercise_body["slip"]) for one in desk.assignments(class_id)}
    except (IdentityError, StoreError) as error:
        st.error(str(error))
        return
    if not found:
        st.text("Nobody has begun a job yet. What learners do shows here by itself.")
        return
    counts = _counted(found)
    st.table([_row(one, counts, slips) for one in found], border="horizontal", hide_index=True)
    st.caption("Looked at again every few seconds. “Left” are the faults their readings leave.")


def _row(
    one: Progress, counts: Mapping[str, tuple[int, int, int]], slips: Mapping[str, str]
) -> dict[str, str]:
    seq, left, cautions = counts.get(one.attempt_id, (-1, 0, 0))
    known = seq == one.last_seq
    return {
        "Learner": one.nickname,
        "Group": one.group_name or "",
        "Slip set": slips.get(one.assignment_id or "", "own choice"),
        "Stage": _STAGES[one.stage],
        "Left": str(left) if known else "…",
        "Cautions": str(cautions) if known else "…",
        "Minutes": f"{one.minutes:.1f}",
        "Last act": f"{dt.datetime.fromtimestamp(one.last_at / 1000).astimezone():%H:%M:%S}",
    }


def _counted(found: Sequence[Progress]) -> Mapping[str, tuple[int, int, int]]:
    """Return by attempt the last event looked at, the faults left after it and the cautions."""
    known: dict[str, tuple[int, int, int]] = st.session_state.setdefault(_KNOWN, {})
    stale = [one for one in found if known.get(one.attempt_id, (-1, 0, 0))[0] != one.last_seq]
    for one in stale[:MOST_COUNTED]:
        try:
            attempt = Desk(store(), one.attempt_id).attempt
        except (StoreError, AttemptError, IdentityError):
            continue
        *_, left = narrowing(questions(attempt.exercise), attempt.evidence)
        known[one.attempt_id] = (one.last_seq, len(left), len(attempt.slips))
    return known

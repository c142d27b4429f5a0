"""The case that is open in this browser, and the tables that its tests are chosen by.

The record on the server is the truth; what stands in ``st.session_state`` is a copy.
"""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

import streamlit as st

from circuits.filecheck.toml_text import data_of
from circuits.files import LIBRARY, circuit_names, library_circuit
from circuits.model import Circuit, CircuitError
from exercises.cases.case import Case, CaseError
from exercises.cases.notebook import Notebook, begin, opened_again
from exercises.cases.typed import TypedError
from exercises.events import Draft
from exercises.own.draft import PAPER, own_from_json, standing
from exercises.planning.table import Table
from exercises.plans.plan import PrintedPlan, printed_plan
from exercises.plans.symptoms import symptom_named
from exercises.records import StoreError
from exercises.screens import ahead
from exercises.screens.guard import guarded
from exercises.screens.house import now_ms
from exercises.screens.visitor import papers, store

ERRORS = (CircuitError, CaseError, TypedError, StoreError)
LOOK_AGAIN_S = 4.0
BEHIND = "This case was changed in another window. Look at it as it is now, then press again."


def now() -> datetime:
    """Return the time now."""
    return datetime.fromtimestamp(now_ms() / 1000, UTC)


# --- the case


def opened() -> Notebook | None:
    """Return the case in the address; None without one, or with a wrong one."""
    named = st.query_params.get("case", "") or st.session_state.get("case_id", "")
    if not named:
        return None
    st.query_params["case"] = named
    if st.session_state.get("case_id") != named or "case_book" not in st.session_state:
        try:
            st.session_state["case_book"] = Notebook(store(), named)
        except ERRORS as error:
            leave()
            st.error(str(error))
            return None
        st.session_state["case_id"] = named
    book: Notebook = st.session_state["case_book"]
    return book


def leave() -> None:
    """Go back to the choice of a circuit; the case stays in the record."""
    st.query_params.pop("case", None)
    for name in ("case_id", "case_book"):
        st.session_state.pop(name, None)


def begin_case(chosen: "Chosen", complaint: tuple[str, ...]) -> None:
    """Begin a case on a circuit and open it."""
    try:
        case_id = begin(store(), chosen.circuit.name, chosen.body, complaint, at=now_ms())
    except ERRORS as error:
        say(str(error))
        return
    st.query_params["case"] = case_id


def open_file(text: str) -> None:
    """Keep a case from its file and open it."""
    try:
        st.query_params["case"] = opened_again(store(), text, at=now_ms())
    except ERRORS as error:
        say(str(error))


def keep(draft: Draft) -> bool:
    """Keep an event of the open case; say whether it counts."""
    book: Notebook = st.session_state["case_book"]
    try:
        counts = book.keep(draft, key=str(uuid.uuid4()), at=now_ms())
    except ERRORS as error:
        say(str(error))
        return False
    say("" if counts else BEHIND)
    return counts


def say(sentence: str) -> None:
    """Keep a sentence for the next look at the page."""
    st.session_state["case_said"] = sentence


def said() -> str:
    """Return the sentence of the last press, or empty."""
    return str(st.session_state.get("case_said", ""))


# --- tables and plans


@dataclass(frozen=True, slots=True)
class Chosen:
    """A circuit with the data of its file."""

    circuit: Circuit
    body: Mapping[str, Any]


def offered() -> dict[str, str]:
    """Return the titles of the circuits to choose from: the library's, then one's own."""
    found = {name: library_circuit(name).title for name in circuit_names()}
    try:
        mine = papers().latest(PAPER)
    except StoreError as error:
        st.error(str(error))
        return found
    return found | {f"{_OWN}{paper.id}": f"{paper.title} (my own)" for paper in mine}


_OWN = "own "


def chosen(name: str) -> Chosen | None:
    """Return a circuit that is offered; None, with the reason on the screen, if it is not ready."""
    if not name.startswith(_OWN):
        path = LIBRARY / f"{name}.toml"
        body = data_of(path.read_text(encoding="utf-8"), file=path.name)
        return Chosen(library_circuit(name), body)
    try:
        made = standing(own_from_json(papers().paper(name.removeprefix(_OWN), PAPER).body)).made
    except ERRORS as error:
        st.error(str(error))
        return None
    if made.circuit is None:
        st.error("This circuit of your own is not finished. Go on with it under My circuits.")
        return None
    return Chosen(made.circuit, made.body)


def table_of(circuit: Circuit, body: Mapping[str, Any]) -> Table | None:
    """Return the table of a circuit; None while it is built beside the server."""
    found = ahead.table(circuit)
    if found is None:
        ahead.want_of(circuit, body)
    return found


@st.fragment(run_every=LOOK_AGAIN_S)
@guarded
def waiting(circuit: Circuit) -> None:
    """Tell how far a table is; the page goes on by itself once it is there."""
    if ahead.table(circuit) is not None:
        st.rerun()
    share = ahead.share(circuit)
    if share is None:
        st.text(
            "The tables that tests are chosen by are not built on this server. Whoever runs it "
            f"can build this one: python -m exercises tables {circuit.name}"
        )
        return
    st.progress(share, "Working out what every fault of this circuit would show")
    st.text("That takes some minutes the first time, and is kept.")


@lru_cache(maxsize=64)
def plan_for(
    table: "Kept", names: tuple[str, ...], instruments: tuple[str, ...], battery: float | None
) -> PrintedPlan:
    """Return the plan of a circuit, worked out once for all who ask.

    Raises
    ------
    CircuitError
        As ``printed_plan``.
    """
    complaint = [symptom_named(table.circuit, name) for name in names]
    return printed_plan(table.table, complaint, instruments=instruments, battery_volt=battery)


@dataclass(frozen=True, slots=True)
class Kept:
    """A table as a key: told apart by its circuit."""

    circuit: Circuit
    table: Table = field(compare=False)


def case_of() -> Case:
    """Return the open case as it is now."""
    book: Notebook = st.session_state["case_book"]
    return book.case

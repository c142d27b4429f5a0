"""The case that is open in this browser, and the tables that its tests are chosen by.

The record on the server is the truth; what stands in ``st.session_state`` is a copy.
"""

import subprocess
import sys
import uuid
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache

import streamlit as st

from circuits.filecheck.toml_text import data_of
from circuits.files import LIBRARY
from circuits.model import Circuit, CircuitError
from exercises.advising import TABLES
from exercises.cases.case import Case, CaseError
from exercises.cases.notebook import Notebook, begin, opened_again
from exercises.cases.typed import TypedError
from exercises.events import Draft
from exercises.planning.keep import kept
from exercises.planning.table import Table
from exercises.plans.plan import PrintedPlan, printed_plan
from exercises.plans.symptoms import symptom_named
from exercises.records import StoreError
from exercises.screens.house import now_ms
from exercises.screens.visitor import store

ERRORS = (CircuitError, CaseError, TypedError, StoreError)
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


def begin_case(circuit_name: str, complaint: tuple[str, ...]) -> None:
    """Begin a case on a circuit of the library and open it."""
    path = LIBRARY / f"{circuit_name}.toml"
    try:
        body = data_of(path.read_text(encoding="utf-8"), file=path.name)
        case_id = begin(store(), circuit_name, body, complaint, at=now_ms())
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


@st.cache_resource(show_spinner=False, max_entries=16)
def _builders() -> dict[str, "subprocess.Popen[bytes]"]:
    return {}


@lru_cache(maxsize=16)
def _kept(circuit: Circuit, _size: int) -> Table | None:
    return kept(TABLES, circuit)


def table_of(circuit: Circuit) -> Table | None:
    """Return the table of a circuit; None, with a builder at work, while there is none."""
    running = _builders().get(circuit.name)
    done = 0 if running is None or running.poll() is None else 1
    found = _kept(circuit, done)
    if found is None and running is None:
        command = [sys.executable, "-m", "exercises", "tables", circuit.name, "--workers", "1"]
        _builders()[circuit.name] = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
    return found


def is_building(circuit: Circuit) -> bool:
    """Say whether the table of a circuit is being worked out."""
    running = _builders().get(circuit.name)
    return running is not None and running.poll() is None


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

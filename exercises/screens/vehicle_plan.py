"""The plan of a real vehicle as a panel: what it may use, and the sheet to download."""

import streamlit as st

from circuits.model import CircuitError
from exercises.plans.order import METER
from exercises.plans.sheet import plan_pdf
from exercises.plans.typeset import PAPERS, Paper
from exercises.screens import vehicle_desk

PAPER_WORDS = {"a4": "A4", "letter": "Letter"}


def plan_panel(
    found: vehicle_desk.Chosen, complaint: tuple[str, ...], battery_volt: float | None
) -> None:
    """Show what the plan may use, and the plan to download once it is worked out."""
    clamp = st.checkbox("I have a DC clamp meter too", key="v_clamp")
    paper = st.radio(
        "Paper", PAPERS, format_func=PAPER_WORDS.__getitem__, horizontal=True, key="v_paper"
    )
    if st.toggle("Make the plan", key="v_make"):
        _plan(found, complaint, clamp, paper, battery_volt)


def _plan(
    found: vehicle_desk.Chosen,
    complaint: tuple[str, ...],
    clamp: bool,
    paper: Paper,
    battery_volt: float | None,
) -> None:
    circuit = found.circuit
    table = vehicle_desk.table_of(circuit, found.body)
    if table is None:
        vehicle_desk.waiting(circuit)
        return
    instruments = (*METER, "clamp") if clamp else METER
    try:
        with st.spinner("Working out what could cause it…"):
            known = vehicle_desk.Kept(circuit, table)
            made = vehicle_desk.plan_for(known, complaint, instruments, battery_volt)
    except CircuitError as error:
        st.error(str(error))
        return
    st.text(f"{len(made.steps)} tests, about {made.minutes:.0f} minutes.")
    st.download_button(
        "Download the plan (PDF)",
        plan_pdf(made, paper=paper, made=vehicle_desk.now()),
        file_name=f"plan-{circuit.name}.pdf",
        mime="application/pdf",
        on_click="ignore",
        type="primary",
        key="v_download",
    )

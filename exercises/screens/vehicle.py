"""My vehicle: choose a circuit and a complaint, print the plan, bring the readings back."""

from pathlib import Path

import streamlit as st

from circuits.cautions import CAUTIONS
from circuits.model import CircuitError
from exercises.plans.order import METER
from exercises.plans.sheet import plan_pdf
from exercises.plans.symptoms import check_in_bounds, symptoms
from exercises.plans.typeset import PAPERS, Paper
from exercises.screens import vehicle_case, vehicle_desk, work

_STYLE = Path(__file__).with_name("vehicle.css")
PAPER_WORDS = {"a4": "A4", "letter": "Letter"}
REFUSED = (
    "Restraint (airbag) circuits and anything with orange cables are refused here: no plan is "
    "made for them, and no reading of theirs belongs here."
)
UNKNOWN = (
    "What this lab knows of your vehicle is the diagram that you choose, and nothing else. If "
    "wires, colours or cavities differ from it, stop and go by the vehicle's own information. "
    "Where you are not sure, or not licensed for it, ask somebody who is."
)


def show() -> None:
    """Show the open case, else the choice of a circuit."""
    work.address()
    st.html(f"<style>{_STYLE.read_text(encoding='utf-8')}</style>")
    with st.container(key="vehicle"):
        if vehicle_desk.opened() is None:
            _choose()
        else:
            vehicle_case.show()


def _choose() -> None:
    st.title("My vehicle", anchor=False)
    st.text(
        "Print a plan, take it to the vehicle with a meter, bring the readings back here: each "
        "narrows down what it can be, and names the next test."
    )
    cautions("service_information", "no_restraint")
    st.text(REFUSED)
    titles = vehicle_desk.offered()
    name = st.selectbox("Circuit", list(titles), format_func=titles.__getitem__, key="v_circuit")
    told()
    found = vehicle_desk.chosen(name)
    if found is not None:
        _complain(name, found)
    _again()
    st.text(UNKNOWN)


def _complain(name: str, found: vehicle_desk.Chosen) -> None:
    circuit = found.circuit
    try:
        check_in_bounds(circuit)
    except CircuitError as error:
        st.error(str(error))
        return
    words = {one.name: one.sentence(circuit) for one in symptoms(circuit)}
    chosen = st.multiselect(
        "What does it do wrong? Leave empty for a health check",
        list(words),
        format_func=words.__getitem__,
        key=f"v_complaint_{name}",
        placeholder="Type to search",
        max_selections=4,
    )
    complaint = tuple(chosen)
    st.button(
        "Begin with the readings",
        key="v_begin",
        type="primary",
        on_click=lambda: vehicle_desk.begin_case(found, complaint),
    )
    with st.container(border=True, key="v_plan"):
        st.subheader("The plan on paper", anchor=False)
        plan_panel(found, complaint, None)


def cautions(*names: str) -> None:
    """Show cautions, each in a line of its own."""
    for name in names:
        st.warning(CAUTIONS[name])


def told() -> None:
    """Show what the last press was told."""
    if vehicle_desk.said():
        st.error(vehicle_desk.said())
        vehicle_desk.say("")


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


def _again() -> None:
    with st.expander("Open a case from its file"):
        file = st.file_uploader("A case that you downloaded here", type=["jsonl"], key="v_file")
        if file is not None:
            text = file.getvalue().decode("utf-8", errors="replace")
            st.button("Open it", key="v_open", on_click=lambda: vehicle_desk.open_file(text))

"""My vehicle: choose a circuit and a complaint, print the plan, bring the readings back."""

from pathlib import Path

import streamlit as st

from circuits.cautions import CAUTIONS
from circuits.model import CircuitError
from exercises.plans.symptoms import check_in_bounds, symptoms
from exercises.screens import vehicle_case, vehicle_desk, vehicle_plan, work

_STYLE = Path(__file__).with_name("vehicle.css")
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
        vehicle_plan.plan_panel(found, complaint, None)


def cautions(*names: str) -> None:
    """Show cautions, each in a line of its own."""
    for name in names:
        st.warning(CAUTIONS[name])


def told() -> None:
    """Show what the last press was told."""
    if vehicle_desk.said():
        st.error(vehicle_desk.said())
        vehicle_desk.say("")


def _again() -> None:
    with st.expander("Open a case from its file"):
        file = st.file_uploader("A case that you downloaded here", type=["jsonl"], key="v_file")
        if file is not None:
            text = file.getvalue().decode("utf-8", errors="replace")
            st.button("Open it", key="v_open", on_click=lambda: vehicle_desk.open_file(text))

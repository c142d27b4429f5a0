"""How a job ends: name the fault, repair it, show that it is cured, or give up."""

import streamlit as st

from circuits.faultkinds import REPAIRS
from exercises.actions import ChooseRepair, CloseJob, GiveUp, NameFault
from exercises.attempt import Attempt
from exercises.diagnosis import fault_menu, repairs
from exercises.screens import work


@st.fragment(key="ending")
def panel() -> None:
    """Show what can be done next to end the job."""
    attempt = work.attempt()
    with st.container(key="ending_box", border=True):
        if sentence := work.said("ending"):
            st.error(sentence)
        if attempt.stage == "repaired":
            _repaired(attempt)
        else:
            _probing()


def _probing() -> None:
    st.text("Sure of it? Name the fault, say which readings prove it, and repair it.")
    with st.container(horizontal=True):
        if st.button("Name the fault", type="primary", key="name_the_fault"):
            _name_the_fault()
        if st.button("Show me", key="show_me", help="Ends the job and walks you through it"):
            _give_up()


def _repaired(attempt: Attempt) -> None:
    st.text(f"Repair done: {REPAIRS[attempt.repair]}.")
    st.text("Now prove it: work the vehicle, and take the reading again that was wrong.")
    st.button(
        "Close the job",
        type="primary",
        key="close_job",
        on_click=lambda: _end(CloseJob()),
    )


def _end(action: CloseJob | GiveUp) -> None:
    work.pressing("ending")(lambda: work.press(action, panel="ending"))()


@st.dialog("Name the fault", position="right")
def _name_the_fault() -> None:
    attempt = work.attempt()
    if attempt.named:
        _choose_repair(attempt)
        return
    menu = fault_menu(attempt.circuit)
    place = st.selectbox(
        "Where is it?",
        [one.name for one in menu],
        index=None,
        placeholder="Part, wire or terminal",
        format_func={one.name: one.title for one in menu}.__getitem__,
        key="named_place",
    )
    kinds = dict(kind for one in menu if one.name == place for kind in one.kinds)
    kind = st.selectbox(
        "What is wrong with it?",
        list(kinds),
        index=None,
        placeholder="First say where" if not place else "Kind of fault",
        format_func=kinds.__getitem__,
        disabled=not place,
        key=f"named_kind_{place}",
    )
    because = st.pills(
        "Which readings prove it?",
        [entry.no for entry in attempt.entries],
        selection_mode="multi",
        format_func=lambda no: f"No. {no}",
        key="named_because",
    )
    _error("naming")
    st.button(
        "Hand in",
        type="primary",
        key="hand_in",
        disabled=not (place and kind),
        on_click=lambda: work.press(NameFault(place, kind, tuple(because or ())), panel="naming"),
    )


def _choose_repair(attempt: Attempt) -> None:
    st.text(f"You named: {attempt.named.words}.")
    options = repairs(attempt.circuit, attempt.named.place, attempt.named.kind)
    repair = st.radio(
        "What do you do about it?",
        options,
        index=None,
        format_func=lambda name: REPAIRS[name].capitalize(),
        key="named_repair",
    )
    _error("naming")
    if st.button("Do the repair", type="primary", key="do_repair", disabled=not repair):
        work.press(ChooseRepair(repair), panel="naming")
        st.rerun()


def _error(panel: str) -> None:
    if sentence := work.said(panel):
        st.error(sentence)


@st.dialog("Show me")
def _give_up() -> None:
    st.text("The job ends here, and the good path is shown step by step.")
    st.text("It costs the mark for the diagnosis, nothing else.")
    if st.button("Show me the good path", type="primary", key="give_up"):
        work.press(GiveUp(), panel="ending")
        st.rerun()

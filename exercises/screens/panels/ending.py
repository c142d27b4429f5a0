"""How a job ends: name the fault, repair it, show that it is cured, or give up."""

import streamlit as st

from exercises.actions import (
    LONGEST_BECAUSE,
    Action,
    ChooseRepair,
    CloseJob,
    GiveUp,
    NameFault,
)
from exercises.attempt import Attempt
from exercises.diagnosis import fault_menu, repair_menu
from exercises.screens import work
from exercises.screens.guard import guarded


@st.fragment(key="ending")
@guarded
def panel() -> None:
    """Show what can be done next to end the job."""
    attempt = work.attempt()
    with st.container(key="ending_box", border=True):
        if sentence := work.said("ending"):
            st.error(sentence)
        if len(attempt.exercise.faults) > 1:
            st.text("More than one thing is wrong here: name and repair one after the other.")
        if attempt.stage == "repaired":
            _repaired(attempt)
        else:
            _probing()


def _probing() -> None:
    st.text("Sure of it? Name the fault, say which readings prove it, and repair it.")
    with st.container(horizontal=True):
        if st.button("Name the fault", type="primary", key="name_the_fault"):
            _name_the_fault()
        _show_me()


def _repaired(attempt: Attempt) -> None:
    repair = attempt.repairs[-1]
    menu = {choice.name: choice.words for choice in repair_menu(attempt.circuit, repair.place)}
    st.text(f"Repair done at {_place_words(attempt, repair.place)}: {menu[repair.name]}.")
    st.text("Now prove it: work the vehicle, and take the reading again that was wrong.")
    with st.container(horizontal=True):
        st.button(
            "Close the job",
            type="primary",
            key="close_job",
            on_click=lambda: _press(CloseJob(), panel="ending"),
        )
        if st.button("Not cured: name a further fault", key="name_the_fault"):
            _name_the_fault()
        _show_me()


def _show_me() -> None:
    if st.button("Show me", key="show_me", help="Ends the job and walks you through it"):
        _give_up()


def _place_words(attempt: Attempt, place: str) -> str:
    words = {choice.name: choice.words for choice in fault_menu(attempt.circuit)}
    return words.get(place, place)


def _press(action: Action, *, panel: str) -> None:
    work.pressing(panel)(lambda: work.press(action, panel=panel))()


@st.dialog("Name the fault", position="right")
def _name_the_fault() -> None:
    attempt = work.attempt()
    if len(attempt.named) > len(attempt.repairs):
        _choose_repair(attempt)
    else:
        _say_what_it_is(attempt)


def _say_what_it_is(attempt: Attempt) -> None:
    menu = {choice.name: choice for choice in fault_menu(attempt.circuit)}
    place = st.selectbox(
        "Where is it?",
        list(menu),
        index=None,
        placeholder="Part, wire or terminal",
        format_func=lambda name: menu[name].words,
        key="named_place",
    )
    kinds = {kind.name: kind.words for kind in menu[place].kinds} if place is not None else {}
    kind = st.selectbox(
        "What is wrong with it?",
        list(kinds),
        index=None,
        placeholder="Kind of fault" if kinds else "First say where",
        format_func=kinds.__getitem__,
        disabled=not kinds,
        key=f"named_kind_{place}",
    )
    numbers = [str(entry.no) for entry in attempt.entries]
    proof = st.pills("Which readings prove it?", numbers, selection_mode="multi", key="named_proof")
    why = st.text_area(
        "Why these?", key="named_why", max_chars=LONGEST_BECAUSE, placeholder="They show that …"
    )
    _error("naming")
    if st.button("Hand in", type="primary", key="hand_in", disabled=kind is None):
        because = because_words(proof or [], why or "")
        if work.press(NameFault(place or "", kind or "", because), panel="naming"):
            st.rerun(scope="fragment")
        _error("naming")


def because_words(numbers: list[str], why: str) -> str:
    """Return the learner's reasons as one text.

    >>> because_words(["3", "7"], "no drop there")
    'Readings 3, 7: no drop there'
    """
    readings = f"Readings {', '.join(numbers)}" if numbers else ""
    return ": ".join(text for text in (readings, why.strip()) if text)


def _choose_repair(attempt: Attempt) -> None:
    fault = attempt.named[-1].fault
    choice = next(one for one in fault_menu(attempt.circuit) if one.name == fault.place)
    kind = next(one.words for one in choice.kinds if one.name == fault.kind)
    st.text(f"You named: {choice.words}, {kind}.")
    repairs = {one.name: one.words for one in repair_menu(attempt.circuit, fault.place)}
    repair = st.radio(
        "What do you do about it?",
        list(repairs),
        index=None,
        format_func=repairs.__getitem__,
        key=f"named_repair_{len(attempt.named)}",
    )
    _error("naming")
    if st.button("Do the repair", type="primary", key="do_repair", disabled=repair is None):
        if work.press(ChooseRepair(fault.place, repair or ""), panel="naming"):
            st.rerun()
        _error("naming")


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

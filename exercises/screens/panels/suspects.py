"""The suspects: what could be wrong, listed before the first reading where that is asked."""

import streamlit as st

from circuits.model import Circuit
from exercises.asking import ListSuspects
from exercises.attempt import Attempt
from exercises.diagnosis import fault_menu
from exercises.screens import work
from exercises.screens.components.status import status
from exercises.screens.guard import guarded

Spot = tuple[str, str]


@st.fragment(key="suspects")
@guarded
def panel() -> None:
    """Ask for the suspects, or show those that were listed."""
    attempt = work.attempt()
    if attempt.lacks_suspects:
        with st.container(key="suspects_box", border=True):
            _ask(spots(attempt.circuit))
    elif attempt.suspected:
        listed = listed_words(attempt)
        with st.expander(f"Your suspects: {len(listed)}", key="suspects_listed"):
            st.text("\n".join(listed))


def spots(circuit: Circuit) -> dict[Spot, str]:
    """Return every place and kind that can be suspected, in the order of the fault menu."""
    return {
        (place.name, kind.name): f"{place.words}: {kind.words}" if place.name else place.words
        for place in fault_menu(circuit)
        for kind in place.kinds
    }


def listed_words(attempt: Attempt) -> list[str]:
    """Return the suspects that were listed, in words."""
    words = spots(attempt.circuit)
    return [words[fault.place, fault.kind] for fault in attempt.suspected]


def _ask(offered: dict[Spot, str]) -> None:
    st.subheader("First: what could be wrong?", anchor=False)
    st.text(
        "List every fault that could do what the slip says, before you measure. Switches may be "
        "worked meanwhile. The debrief shows what the list missed."
    )
    st.multiselect(
        "Suspects",
        list(offered),
        format_func=offered.__getitem__,
        placeholder="Type a part, a wire or a kind of fault",
        filter_mode="contains",
        select_all=False,  # a list of everything is no list
        key="suspected",
    )
    status("suspects_said", [sentence] if (sentence := work.said("suspects")) else [])
    st.button(
        "That is my list",
        type="primary",
        key="list_suspects",
        on_click=_list,
    )


def _list() -> None:
    act = ListSuspects(tuple(st.session_state["suspected"]))
    work.pressing("suspects")(lambda: work.press(act, panel="suspects"))()

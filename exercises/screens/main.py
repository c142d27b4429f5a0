"""The script that Streamlit runs for each visitor: the look, and the screens by their pages."""

import streamlit as st

from exercises.screens import (
    bench,
    circuit_page,
    debrief,
    look,
    own_circuit,
    primer,
    start,
    vehicle,
)
from exercises.screens.guard import guarded
from exercises.screens.visitor import show_name

look.dress()
PAGES = {
    "start": st.Page(guarded(start.show), title="Slips", url_path="slips", default=True),
    "bench": st.Page(guarded(bench.show), title="Bench", url_path="bench"),
    "debrief": st.Page(guarded(debrief.show), title="Debrief", url_path="debrief"),
    "primer": st.Page(guarded(primer.show), title="Primers", url_path="primers"),
    "own": st.Page(guarded(own_circuit.show), title="My circuits", url_path="own"),
    "circuit": st.Page(guarded(circuit_page.show), title="Circuits", url_path="circuits"),
    "vehicle": st.Page(guarded(vehicle.show), title="My vehicle", url_path="vehicle"),
}
st.session_state["pages"] = PAGES
show_name()
st.navigation(list(PAGES.values()), position="top").run()

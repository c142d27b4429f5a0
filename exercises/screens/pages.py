"""The screens by their pages, for whoever looks."""

import streamlit as st

from exercises.screens import (
    bench,
    circuit_page,
    class_page,
    debrief,
    own_circuit,
    primer,
    record,
    set_exercise,
    start,
    vehicle,
)
from exercises.screens.guard import guarded
from exercises.screens.house import class_use
from exercises.screens.visitor import (
    for_instructors,
    for_keeper,
    for_teachers,
    is_instructor,
    may_keep_record,
    may_teach,
)


def pages() -> dict[str, st.Page]:
    """Return the pages that are for this visitor, by name."""
    found = {
        "start": st.Page(guarded(start.show), title="Slips", url_path="slips", default=True),
        "bench": st.Page(guarded(bench.show), title="Bench", url_path="bench"),
        "debrief": st.Page(guarded(debrief.show), title="Debrief", url_path="debrief"),
        "primer": st.Page(guarded(primer.show), title="Primers", url_path="primers"),
        "circuit": st.Page(guarded(circuit_page.show), title="Circuits", url_path="circuits"),
        "own": st.Page(guarded(own_circuit.show), title="My circuits", url_path="own"),
        "vehicle": st.Page(guarded(vehicle.show), title="My vehicle", url_path="vehicle"),
    }
    if may_teach():
        teach = guarded(for_teachers(set_exercise.show))
        found["set"] = st.Page(teach, title="Teach", url_path="teach")
    if class_use() and is_instructor():
        classes = guarded(for_instructors(class_page.show))
        found["classes"] = st.Page(classes, title="Classes", url_path="classes")
    if may_keep_record():
        kept = guarded(for_keeper(record.show))
        found["record"] = st.Page(kept, title="Record", url_path="record")
    return found

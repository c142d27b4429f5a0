"""A circuit to read up: its diagram, and the four views that its file tells of it."""

from functools import lru_cache

import streamlit as st

from circuits.files import circuit_names, library_circuit
from circuits.listing import healthy_table
from circuits.model import AS_FOUND, Circuit
from exercises.screens import work
from exercises.screens.components.surface import still_picture
from exercises.screens.panels.diagram import diagram

_VIEWS = (
    ("Where it is", "where"),
    ("How current flows", "flow"),
    ("What should happen", "behaviour"),
    ("How to test it", "testing"),
)


def show() -> None:
    """Show a circuit of the library; that of the open job first."""
    work.address()
    circuits = sorted(map(library_circuit, circuit_names()), key=lambda c: (c.lesson, c.title))
    titles = {circuit.name: circuit.title for circuit in circuits}
    with st.container(key="circuit_head"):
        chosen = st.selectbox(
            "Circuit",
            list(titles),
            index=_first(list(titles)),
            format_func=titles.__getitem__,
            key="circuit_shown",
            width=360,
        )
    circuit = library_circuit(chosen)
    st.text(circuit.summary)
    still_picture("circuit_diagram", diagram(circuit, AS_FOUND))
    _views(circuit)
    st.subheader("A healthy vehicle: volts to the body, probed from behind", anchor=False)
    with st.container(key="healthy"):
        st.table(list(healthy_rows(circuit)), border="horizontal", hide_index=True)


@lru_cache(maxsize=32)
def healthy_rows(circuit: Circuit) -> tuple[dict[str, str], ...]:
    """Return a row for each cavity, with its volts in each setting."""
    told = healthy_table(circuit)
    points = list(told[0]["volts"])
    return tuple(
        {"Point": point} | {row["setting"]: row["volts"][point] for row in told} for point in points
    )


def _first(names: list[str]) -> int:
    open_desk = st.session_state.get("desk")
    name = open_desk.attempt.circuit.name if open_desk else ""
    return names.index(name) if name in names else 0


def _views(circuit: Circuit) -> None:
    with st.container(key="views"):
        for title, name in _VIEWS:
            with st.container(border=True, key=f"view_{name}"):
                st.subheader(title, anchor=False)
                st.text(unwrapped(getattr(circuit.views, name)))


def unwrapped(text: str) -> str:
    """Return paragraphs without the line breaks of their file.

    >>> unwrapped("one\\ntwo\\n\\nthree\\n")
    'one two\\n\\nthree'
    """
    return "\n\n".join(" ".join(part.split()) for part in text.strip().split("\n\n"))

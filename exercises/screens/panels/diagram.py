"""The diagram and the connector faces: what the leads are placed on."""

import hashlib
from functools import lru_cache

import streamlit as st

from circuits.drawing import draw
from circuits.faces import draw_face
from circuits.model import Circuit, Setting
from circuits.palette import css_variables
from exercises.screens import work
from exercises.screens.components.surface import Picture, surface
from exercises.screens.guard import guarded
from exercises.screens.panels.meter import take, touched


@st.fragment(key="diagram")
@guarded
def panel() -> None:
    """Show the diagram in the setting that the vehicle is in."""
    attempt = work.attempt()
    surface(
        "diagram_face",
        diagram(attempt.circuit, attempt.setting),
        touched(attempt),
        on_press=lambda: take("diagram_face"),
    )


@st.fragment(key="faces")
@guarded
def faces() -> None:
    """Show the face of the connector that was chosen."""
    attempt = work.attempt()
    connectors = attempt.circuit.connector_by_name
    if not connectors:
        return
    st.subheader("Connector face", anchor=False)
    chosen = st.segmented_control(
        "Connector",
        list(connectors),
        key="face_of",
        default=next(iter(connectors)),
        required=True,
        label_visibility="collapsed",
    )
    surface(
        "connector_face",
        connector_face(attempt.circuit, chosen, attempt.setting),
        touched(attempt),
        on_press=lambda: take("connector_face"),
    )


@lru_cache(maxsize=256)
def diagram(circuit: Circuit, setting: Setting) -> Picture:
    """Return the drawing of a circuit in a setting, both ways up."""
    across = draw(circuit, setting, theme="screen", direction="across")
    down = draw(circuit, setting, theme="screen", direction="down")
    return _picture(across, down, f"Diagram: {circuit.title}")


@lru_cache(maxsize=256)
def connector_face(circuit: Circuit, connector: str, setting: Setting) -> Picture:
    """Return the drawing of a connector's face in a setting."""
    drawn = draw_face(circuit, connector, setting)
    return _picture(drawn, "", f"Connector {connector}", plain=True)


def _picture(across: str, down: str, label: str, *, plain: bool = False) -> Picture:
    rev = hashlib.sha256((across + down).encode()).hexdigest()[:12]
    return Picture(across, down, rev, label, _colours(dark=False), _colours(dark=True), plain)


@lru_cache(maxsize=2)
def _colours(*, dark: bool) -> str:
    return ";".join(f"{name}:{colour}" for name, colour in css_variables(dark=dark).items())

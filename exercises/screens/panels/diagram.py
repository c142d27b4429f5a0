"""The diagram and the connector faces: what the leads are placed on."""

import hashlib
from dataclasses import replace
from functools import lru_cache

import streamlit as st

from circuits.drawing import draw
from circuits.faces import draw_face
from circuits.jumper_lines import jumper_name
from circuits.model import Circuit, Setting
from circuits.network import JUMPER_FUSE_A
from circuits.palette import css_variables
from circuits.settings import setting_words
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
        diagram(attempt.circuit, attempt.setting, attempt.exercise.closed_places),
        touched(attempt),
        on_press=lambda: take("diagram_face"),
    )
    with st.container(key="diagram_state", gap=None):
        for line in state_lines(attempt.circuit, attempt.setting, attempt.exercise.closed_places):
            st.text(line)


def state_lines(
    circuit: Circuit, setting: Setting, closed_places: tuple[str, ...] = ()
) -> list[str]:
    """Return what the diagram shows of the setting, in words, for those who do not see it."""
    bare = replace(setting, jumpers=())
    lines = [f"Vehicle set to: {setting_words(circuit, bare)}."]
    if setting.jumpers:
        leads = ", ".join(
            f"{jumper_name(number)} from {lead.start} to {lead.end}"
            for number, lead in enumerate(setting.jumpers, start=1)
        )
        lines.append(f"Jumper leads, each with a {JUMPER_FUSE_A:g} A fuse: {leads}.")
    if closed_places:
        titles = "; ".join(circuit.place_by_name[name].title for name in closed_places)
        lines.append(f"Dimmed, closed in this job: {titles}.")
    return lines


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
def diagram(circuit: Circuit, setting: Setting, closed: tuple[str, ...] = ()) -> Picture:
    """Return the drawing of a circuit in a setting, both ways up, closed places dimmed."""
    across = draw(circuit, setting, direction="across", closed=closed)
    down = draw(circuit, setting, direction="down", closed=closed)
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

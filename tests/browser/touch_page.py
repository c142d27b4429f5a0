"""A page with one surface and the meter over a handmade circuit: no domain behind it."""

import streamlit as st

from exercises.screens.components.meter import Face, meter
from exercises.screens.components.surface import Picture, Touched, surface
from exercises.screens.components.touch import Touch, touches

ACROSS = {"BAT.pos": (60, 60), "F1.in": (200, 60), "F1.out": (290, 60), "C1.2": (560, 60)} | {
    "BODY": (60, 200),
    "C1.5": (560, 200),
    "LAMP.a": (760, 60),
    "LAMP.b": (760, 200),
}
DOWN = {name: (y * 1.4, x * 0.9) for name, (x, y) in ACROSS.items()}
WIRES = (("W1", "BAT.pos", "F1.in"), ("W2", "F1.out", "C1.2"), ("W3", "C1.5", "BODY"))


def drawing(at: dict[str, tuple[float, float]], width: int, height: int) -> str:
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">']
    for wire, start, end in WIRES:
        (x1, y1), (x2, y2) = at[start], at[end]
        path = f'd="M{x1} {y1} L{x2} {y2}"'
        parts.append(f'<path {path} stroke="#2f6fb3" stroke-width="2.5"/>')
        parts.append(f'<path class="wire-hit" data-wire="{wire}" aria-label="wire {wire}" {path}/>')
    for name, (x, y) in at.items():
        parts.append(
            f'<g class="tp" data-tp="{name}" role="button" tabindex="-1" aria-label="{name}"'
            f' transform="translate({x} {y})"><circle class="hit" r="9"/>'
            f'<circle class="dot" r="5"/></g>'
            f'<text x="{x + 8}" y="{y + 24}" font-size="12" fill="var(--ink)">{name}</text>'
        )
    return "".join(parts) + "</svg>"


PICTURE = Picture(
    drawing(ACROSS, 840, 260),
    drawing(DOWN, 340, 740),
    "one",
    "Diagram",
    "--ink:#18282c",
    "--ink:#e9ece4",
)
kept = st.session_state.setdefault(
    "kept", {"red": "", "black": "", "clamp": "", "instrument": "volts", "done": [], "hold": False}
)


def apply(touch: Touch) -> None:
    kept["done"] = [*kept["done"], touch.key]
    if touch.does in {"place", "lift"}:
        kept[touch.lead] = touch.point
    elif touch.does == "clamp":
        kept["clamp"] = touch.wire
    elif touch.does == "dial":
        kept["instrument"] = touch.instrument
    elif touch.does == "hold":
        kept["hold"] = touch.on


def pressed(key: str) -> None:
    for touch in touches(st.session_state[key].press, bench="bench"):
        if touch.key not in kept["done"]:
            apply(touch)
    st.rerun(["meter"])


def touched() -> Touched:
    words = (kept["red"], kept["black"], kept["clamp"], kept["instrument"])
    return Touched("bench", len(kept["done"]), *words, done=tuple(kept["done"]))


@st.fragment(key="meter")
def show_meter() -> None:
    ready = kept["red"] and kept["black"]
    face = Face(
        f"{len(kept['red']) + 0.6:.2f}" if ready else "Place both leads",
        "V" if ready else "",
        f"{kept['red']} to {kept['black']}" if ready else "",
        "key on, Off, at rest" if ready else "",
        ("volts", "ohms", "continuity", "amps", "clamp", "lamp"),
        hold=kept["hold"],
        blank=not ready,
        cautions=("Isolate the battery, negative first.",) * (kept["instrument"] == "ohms"),
    )
    meter("meter_face", face, touched(), on_press=lambda: pressed("meter_face"))


@st.fragment(key="diagram")
def show_diagram() -> None:
    surface("diagram_face", PICTURE, touched(), on_press=lambda: pressed("diagram_face"))


st.set_page_config(page_title="Touch", layout="wide")
left, right = st.columns([7, 4])
with left:
    show_diagram()
with right:
    show_meter()

"""A primer's bench: its vehicle, leads and readings, kept for as long as the page is open."""

import uuid
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import streamlit as st

from circuits.cautions import sentences
from circuits.model import Circuit, CircuitError, Part, Setting
from circuits.parts.switching import Positioned
from circuits.settings import MOMENT_WORDS, moments, switches, usual_moment
from exercises.actions import (
    Action,
    ChangeSetting,
    ReplaceFuse,
)
from exercises.attempt import METER, Attempt, AttemptError
from exercises.entries import Entry
from exercises.primers import Primer, practise, task_done
from exercises.screens.components.meter import meter
from exercises.screens.components.surface import Touched, surface
from exercises.screens.components.touch import touches
from exercises.screens.guard import guarded
from exercises.screens.panels.diagram import diagram
from exercises.screens.panels.meter import ACTS, face

_BENCH = "primer_bench"
_MOST_KEYS = 40
_ALWAYS = ("primer_meter", "primer_task")
_AFTER_SETTING = ("primer_diagram", "primer_vehicle", "primer_seen")
_NOBODY = "nobody moves anything"
_OHMS = ("ohms", "continuity")


@dataclass(frozen=True, slots=True)
class Bench:
    """A primer at work: what was done on it, and what a person must be told of the last press."""

    id: str
    primer: Primer
    attempt: Attempt
    done: tuple[str, ...] = ()
    said: str = ""
    warned: tuple[str, ...] = ()


def open_bench(primer: Primer) -> Bench:
    """Return the bench of a primer; a fresh one if another was open."""
    found: Bench | None = st.session_state.get(_BENCH)
    if found is None or found.primer.name != primer.name:
        found = begin_afresh(primer)
    return found


def begin_afresh(primer: Primer) -> Bench:
    """Put the primer's vehicle back as it was found, leads off."""
    fresh = Bench(f"{primer.name}-{uuid.uuid4().hex}", primer, Attempt(primer.practice))
    st.session_state[_BENCH] = fresh
    return fresh


def bench() -> Bench:
    """Return the bench that the screen has opened."""
    found: Bench = st.session_state[_BENCH]
    return found


def task_entry(now: Bench) -> Entry | None:
    """Return the reading that did the task, the last such one; None while there is none."""
    done = [e for e in now.attempt.entries if task_done(now.primer, e.what, e.setting)]
    return done[-1] if done else None


def press(action: Action, *, key: str = "") -> None:
    """Do an act on the primer's vehicle."""
    now = bench()
    key = key or str(uuid.uuid4())
    done = (*now.done, key)[-_MOST_KEYS:]
    try:
        after = practise(now.attempt, action, key=key)
    except (CircuitError, AttemptError) as error:
        st.session_state[_BENCH] = replace(now, done=done, said=str(error), warned=())
        return
    met = sentences(tuple(after.slips[len(now.attempt.slips) :]))
    st.session_state[_BENCH] = replace(now, attempt=after, done=done, said="", warned=met)


def pressing(act: Callable[[], object]) -> None:
    """Do something in a callback, then redraw the panels that it changed."""
    if _BENCH not in st.session_state:
        return  # a new session after the server started again: the page shows it anew
    before = bench().attempt
    act()
    after = bench().attempt
    changed = before.setting != after.setting or before.meter_blown != after.meter_blown
    st.rerun([*_ALWAYS, *(_AFTER_SETTING if changed else ())])


def _take(component: str) -> None:
    def act() -> None:
        for touch in touches(st.session_state[component].press, bench=bench().id):
            if touch.key not in bench().done:
                press(ACTS[touch.does](touch), key=touch.key)

    pressing(act)


def _touched(now: Bench) -> Touched:
    attempt = now.attempt
    return Touched(
        bench=now.id,
        seq=attempt.last,
        red=attempt.red,
        black=attempt.black,
        clamp=attempt.clamp,
        instrument=attempt.instrument,
        done=now.done,
    )


@st.fragment(key="primer_diagram")
@guarded
def diagram_panel() -> None:
    """Show the diagram; a touch places a lead."""
    now = bench()
    picture = diagram(now.attempt.circuit, now.attempt.setting)
    key = "primer_surface"
    surface(key, picture, _touched(now), on_press=lambda: _take(key))


@st.fragment(key="primer_meter")
@guarded
def meter_panel() -> None:
    """Show the meter with the last reading."""
    now, key = bench(), "primer_meter_face"
    shown = replace(face(now.attempt), cautions=_cautions(now), note=now.said)
    meter(key, shown, _touched(now), on_press=lambda: _take(key))


def _cautions(now: Bench) -> tuple[str, ...]:
    attempt = now.attempt
    found = attempt.reading.cautions if attempt.reading else ()
    if attempt.instrument in _OHMS and not attempt.reading and not attempt.setting.isolated:
        found = sentences(("isolate_first",))
    return tuple(dict.fromkeys((*found, *now.warned)))


@st.fragment(key="primer_seen")
@guarded
def seen_panel() -> None:
    """Show what a person at the vehicle sees and hears."""
    st.subheader("What you see and hear", anchor=False)
    st.text("\n".join(bench().attempt.seen) or "Nothing moves, lights or sounds.")


@st.fragment(key="primer_vehicle")
@guarded
def vehicle_panel() -> None:
    """Show the switches, and of the other controls those that the primer needs."""
    now = bench()
    circuit, setting, shown = now.attempt.circuit, now.attempt.setting, now.primer.controls
    with st.container(
        horizontal=True, gap="medium", vertical_alignment="bottom", key="primer_controls"
    ):
        for name, spec in switches(circuit):
            _switch(circuit.part_by_name[name], spec, setting)
        if offered := moments(circuit):
            _choice("Read", "moment", offered, setting.moment, MOMENT_WORDS.__getitem__)
        if "connectors" in shown:
            _several("Connectors unplugged", list(circuit.connector_by_name), "unmated")
        if "fuses" in shown:
            fuses = [part.name for part in circuit.parts if part.spec.sort == "fuse"]
            _several("Fuses out", fuses, "pulled")
        if "wiggle" in shown:
            _wiggle(circuit, setting)
        if "battery" in shown:
            _battery(setting)
    if now.attempt.meter_blown:
        st.button(
            "Fit a new fuse in the meter",
            key="primer_meter_fuse",
            on_click=lambda: pressing(lambda: press(ReplaceFuse(METER))),
        )


def _change(**changed: Any) -> None:
    wanted = replace(bench().attempt.setting, **changed)
    pressing(lambda: press(ChangeSetting(wanted)))


def _switch(part: Part, spec: Positioned, setting: Setting) -> None:
    key = f"primer_set_{part.name}"
    st.session_state[key] = setting.position(part.name, spec.rests)

    def turned() -> None:
        attempt = bench().attempt
        positions = dict(attempt.setting.positions) | {part.name: st.session_state[key]}
        if positions[part.name] == spec.rests:
            del positions[part.name]
        moment = usual_moment(attempt.circuit, positions)
        _change(positions=tuple(sorted(positions.items())), moment=moment)

    st.segmented_control(
        part.title,
        spec.positions,
        key=key,
        required=True,
        format_func=spec.label,
        on_change=turned,
    )


def _choice(
    label: str, field: str, values: tuple[str, ...], now: str, words: Callable[[str], str]
) -> None:
    key = f"primer_set_{field}"
    st.session_state[key] = now
    st.segmented_control(
        label,
        values,
        key=key,
        required=True,
        format_func=words,
        on_change=lambda: _change(**{field: st.session_state[key]}),
    )


def _battery(setting: Setting) -> None:
    key = "primer_set_isolated"
    st.session_state[key] = setting.isolated
    st.toggle(
        "Battery isolated, negative lead off",
        key=key,
        on_change=lambda: _change(isolated=st.session_state[key]),
    )


def _several(label: str, names: list[str], field: str) -> None:
    key = f"primer_set_{field}"
    now = getattr(bench().attempt.setting, field)
    st.session_state[key] = [name for name in names if name in now]
    st.pills(
        label,
        names,
        selection_mode="multi",
        key=key,
        on_change=lambda: _change(**{field: frozenset(st.session_state[key])}),
    )


def _wiggle(circuit: Circuit, setting: Setting) -> None:
    titles = {"": _NOBODY}
    titles |= {c.name: f"{c.name}, {c.title}" for c in circuit.connectors}
    titles |= {part.name: part.title for part in circuit.parts}
    key = "primer_set_moved"
    st.session_state[key] = setting.moved
    st.selectbox(
        "Someone wiggles or taps",
        list(titles),
        key=key,
        width=300,
        format_func=titles.__getitem__,
        on_change=lambda: _change(moved=st.session_state[key]),
    )

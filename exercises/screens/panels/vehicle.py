"""The vehicle's controls: switches, battery, connectors, fuses, and what a second person does."""

from dataclasses import replace
from typing import Any

import streamlit as st

from circuits.cautions import CAUTIONS
from circuits.consequences import drives_to_stops
from circuits.instruments import LOADS_W
from circuits.jumper_lines import jumper_name
from circuits.model import Circuit, Jumper, Part, Setting
from circuits.parts.switching import Positioned
from circuits.points import exposed_points
from circuits.settings import (
    MOMENT_WORDS,
    moments,
    switches,
    usual_moment,
    with_exposed_jumpers,
)
from circuits.spec import Moment
from exercises.actions import ChangeSetting, ReplaceFuse, SetLoad, SwapJumpers
from exercises.attempt import METER
from exercises.screens import work
from exercises.screens.guard import guarded

_NOBODY = "nobody moves anything"


@st.fragment(key="vehicle")
@guarded
def panel() -> None:
    """Show every control of the vehicle, as it is set now."""
    attempt = work.attempt()
    circuit, setting = attempt.circuit, attempt.setting
    if sentence := work.said("vehicle"):
        st.error(sentence)
    with st.container(horizontal=True, gap="medium", key="switches"):
        for name, spec in switches(circuit):
            _switch(circuit.part_by_name[name], spec, setting)
    if offered := moments(circuit):
        _moment(setting, offered)
    if drives_to_stops(circuit):
        st.text(CAUTIONS["pulse_only"])
    _toggle_battery(setting)
    _several("Connectors unplugged", list(circuit.connector_by_name), setting.unmated, "unmated")
    _several("Fuses out", _fuses(circuit), setting.pulled, "pulled")
    with st.expander("Jumper lead, test load, wiggle, warm-up, new fuse", key="more"):
        _jumpers(circuit, setting)
        _load(attempt.load_w)
        _wiggle(circuit, setting)
        _toggle_warm(setting)
        _new_fuse(circuit)


def _fuses(circuit: Circuit) -> list[str]:
    return [part.name for part in circuit.parts if part.spec.sort == "fuse"]


def change(setting: Setting) -> None:
    """Put the vehicle into a setting, from a widget's callback."""
    act = work.pressing("vehicle")(lambda: work.press(ChangeSetting(setting), panel="vehicle"))
    act()


def _take_apart(**wanted: Any) -> None:
    """Take something off or put it back; a jumper comes off with what it was clipped to."""
    attempt = work.attempt()
    change(with_exposed_jumpers(attempt.circuit, replace(attempt.setting, **wanted)))


def _chosen(key: str) -> Any:
    return st.session_state[key]


def _switch(part: Part, spec: Positioned, setting: Setting) -> None:
    key = f"set_{part.name}"
    st.session_state[key] = setting.position(part.name, spec.rests)

    def turned() -> None:
        now = work.attempt().setting
        positions = dict(now.positions) | {part.name: _chosen(key)}
        if positions[part.name] == spec.rests:
            del positions[part.name]
        moment = usual_moment(work.attempt().circuit, positions)
        change(replace(now, positions=tuple(sorted(positions.items())), moment=moment))

    st.segmented_control(
        part.title,
        spec.positions,
        key=key,
        required=True,
        format_func=spec.label,
        on_change=turned,
    )


def _moment(setting: Setting, offered: tuple[Moment, ...]) -> None:
    st.session_state["set_moment"] = setting.moment
    st.segmented_control(
        "Read",
        offered,
        key="set_moment",
        required=True,
        format_func=MOMENT_WORDS.__getitem__,
        on_change=lambda: change(replace(work.attempt().setting, moment=_chosen("set_moment"))),
    )


def _toggle_battery(setting: Setting) -> None:
    st.session_state["set_isolated"] = setting.isolated
    st.toggle(
        "Battery isolated, negative lead off",
        key="set_isolated",
        on_change=lambda: _take_apart(isolated=_chosen("set_isolated")),
    )


def _toggle_warm(setting: Setting) -> None:
    st.session_state["set_warm"] = setting.warm
    st.toggle(
        "Everything warmed up",
        key="set_warm",
        on_change=lambda: change(replace(work.attempt().setting, warm=_chosen("set_warm"))),
    )


def _load(load_w: float) -> None:
    st.session_state["set_load"] = load_w

    def put() -> None:
        load = SetLoad(_chosen("set_load"))
        work.pressing("vehicle")(lambda: work.press(load, panel="vehicle"))()

    st.selectbox(
        "Test load across the voltmeter's leads",
        (0.0, *LOADS_W),
        key="set_load",
        format_func=lambda watt: f"{watt:g} W lamp" if watt else "no load",
        on_change=put,
    )


def _several(label: str, options: list[str], now: frozenset[str], field: str) -> None:
    if not options:
        return
    key = f"set_{field}"
    st.session_state[key] = [name for name in options if name in now]

    def picked() -> None:
        _take_apart(**{field: frozenset(_chosen(key))})

    st.pills(label, options, selection_mode="multi", key=key, on_change=picked)


def _jumpers(circuit: Circuit, setting: Setting) -> None:
    st.text(CAUTIONS["fused_jumper"])
    names = [point.name for point in exposed_points(circuit, setting)]
    with st.container(horizontal=True, vertical_alignment="bottom"):
        start = st.selectbox("Jumper lead from", names, index=None, placeholder="point", width=180)
        end = st.selectbox("to", names, index=None, placeholder="point", width=180)
        st.button(
            "Fit jumper lead",
            disabled=not (start and end),
            on_click=lambda: _jump(Jumper(start or "", end or "")),
        )
    if setting.jumpers:
        numbered = enumerate(setting.jumpers, start=1)
        fitted = {f"{jumper_name(no)} {j.start} to {j.end}": j for no, j in numbered}
        st.session_state["set_jumpers"] = list(fitted)
        st.pills(
            "Jumper leads fitted; press one to take it off",
            list(fitted),
            selection_mode="multi",
            key="set_jumpers",
            on_change=lambda: _keep_jumpers([fitted[name] for name in _chosen("set_jumpers")]),
        )
    if len(setting.jumpers) == 2:
        st.button("Swap the polarity of the two leads", key="swap_jumpers", on_click=_cross)


def _jump(jumper: Jumper) -> None:
    now = work.attempt().setting
    change(replace(now, jumpers=(*now.jumpers, jumper)))


def _cross() -> None:
    work.pressing("vehicle")(lambda: work.press(SwapJumpers(), panel="vehicle"))()


def _keep_jumpers(kept: list[Jumper]) -> None:
    change(replace(work.attempt().setting, jumpers=tuple(kept)))


def _wiggle(circuit: Circuit, setting: Setting) -> None:
    titles = {"": _NOBODY}
    titles |= {c.name: f"{c.name}, {c.title}" for c in circuit.connectors}
    titles |= {part.name: part.title for part in circuit.parts}
    titles |= {wire.name: f"Wire {wire.label}" for wire in circuit.wires}
    st.session_state["set_moved"] = setting.moved
    st.selectbox(
        "Someone wiggles or taps",
        list(titles),
        key="set_moved",
        format_func=titles.__getitem__,
        on_change=lambda: change(replace(work.attempt().setting, moved=_chosen("set_moved"))),
    )


def _new_fuse(circuit: Circuit) -> None:
    fuses = [*_fuses(circuit), METER]

    def fit() -> None:
        fuse = _chosen("new_fuse")
        work.pressing("vehicle")(lambda: work.press(ReplaceFuse(fuse), panel="vehicle"))()

    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.selectbox(
            "New fuse, same rating",
            fuses,
            key="new_fuse",
            format_func=lambda name: "the meter's own" if name == METER else name,
            width=150,
        )
        st.button("Fit new fuse", on_click=fit)

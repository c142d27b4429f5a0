"""The meter panel, and every press on a lead, the clamp or a button of the meter."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from circuits.cautions import sentences
from exercises.actions import (
    Action,
    CheckMeter,
    PlaceLead,
    PutClamp,
    ReadAgain,
    ReplaceBattery,
    ReplaceFuse,
    SetHold,
    TurnDial,
    ZeroLeads,
)
from exercises.asking import Expect
from exercises.attempt import METER, Attempt
from exercises.expectation import LEAST, choices
from exercises.screens import work
from exercises.screens.components.meter import Face, meter
from exercises.screens.components.surface import Touched
from exercises.screens.components.touch import touches
from exercises.screens.guard import guarded

ACTS: dict[str, Callable[[Any], Action]] = {
    "place": lambda touch: PlaceLead(touch.lead, touch.point),
    "lift": lambda touch: PlaceLead(touch.lead, ""),
    "clamp": lambda touch: PutClamp(touch.wire),
    "dial": lambda touch: TurnDial(touch.instrument),
    "hold": lambda touch: SetHold(touch.on),
    "zero": lambda touch: ZeroLeads(touch.on),
    "again": lambda _: ReadAgain(),
    "check": lambda touch: CheckMeter(touch.part),
    "expect": lambda touch: Expect(touch.words),
    "renew": lambda touch: ReplaceBattery() if touch.part == "battery" else ReplaceFuse(METER),
}
"""The act of each press, by what the browser says that it does."""

_OHMS = ("ohms", "continuity")


def touched(attempt: Attempt) -> Touched:
    """Return where the leads are, for every surface and the meter."""
    return Touched(
        bench=work.address(),
        seq=attempt.last,
        red=attempt.red,
        black=attempt.black,
        clamp=attempt.clamp,
        instrument=attempt.instrument,
        done=work.done_keys(),
    )


def take(component: str) -> None:
    """Do what a component sent, each press once, and redraw what changed."""

    @work.pressing("meter")
    def act() -> None:
        for touch in touches(st.session_state[component].press, bench=work.address()):
            if touch.key not in work.done_keys():
                work.press(ACTS[touch.does](touch), panel="meter", key=touch.key)

    act()


@st.fragment(key="meter")
@guarded
def panel() -> None:
    """Show the meter with the last reading, its leads and the setting it was taken in."""
    attempt = work.attempt()
    meter("meter_face", face(attempt), touched(attempt), on_press=lambda: take("meter_face"))


def face(attempt: Attempt) -> Face:
    """Return what the meter's window shows."""
    reading, awaited = attempt.reading, attempt.awaited
    entry = attempt.entries[-1] if reading and attempt.entries else None
    display, unit = missing(attempt), ""
    if reading:
        digits, _, last = reading.text.rpartition(" ")
        display, unit = (digits, last) if digits else (last, "")
    return Face(
        display=display,
        unit=unit,
        where=entry.where if entry else awaited.where() if awaited else "",
        words=entry.setting_words if entry else attempt.setting_words if awaited else "",
        instruments=attempt.exercise.instruments,
        hold=attempt.hold,
        zeroed=attempt.zeroed,
        cautions=cautions(attempt),
        note=work.said("meter"),
        blank=reading is None,
        beeps=reading is not None and reading.beep,
        battery_low=attempt.meter_low,
        own=tuple((check, shown.text) for check, shown in attempt.checked),
        choices=choices(awaited.instrument) if awaited else (),
        takes_figure=awaited is not None and awaited.instrument in LEAST,
        expected=entry.expected if entry else "",
    )


def cautions(attempt: Attempt) -> tuple[str, ...]:
    """Return the cautions that go with the reading, or with the one that is to be taken."""
    found = attempt.reading.cautions if attempt.reading else ()
    if attempt.instrument in _OHMS and not attempt.reading and not attempt.setting.isolated:
        found = sentences(("isolate_first",))
    return tuple(dict.fromkeys((*found, *work.warned())))


def missing(attempt: Attempt) -> str:
    """Return what has to be done before there is a reading."""
    if attempt.lacks_suspects:
        return "First list your suspects"
    if attempt.awaited:
        return "What should a sound vehicle show here?"
    if attempt.instrument == "clamp":
        return "Put the clamp round a wire"
    leads = [name for name, point in (("red", attempt.red), ("black", attempt.black)) if not point]
    if len(leads) == 2:
        return "Place both leads"
    return f"Place the {leads[0]} lead" if leads else "No reading"

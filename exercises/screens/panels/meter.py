"""The meter panel, and every press on a lead, the clamp or a button of the meter."""

import streamlit as st

from exercises.actions import Action, LiftLead, PlaceLead, PutClamp, SetHold, TurnDial, ZeroLeads
from exercises.attempt import Attempt
from exercises.screens import work
from exercises.screens.components.meter import Face, meter
from exercises.screens.components.surface import Touched
from exercises.screens.components.touch import Touch, touches

_ACTIONS = {
    "place": lambda touch: PlaceLead(touch.lead, touch.point),
    "lift": lambda touch: LiftLead(touch.lead),
    "clamp": lambda touch: PutClamp(touch.wire),
    "dial": lambda touch: TurnDial(touch.instrument),
    "hold": lambda touch: SetHold(touch.on),
    "zero": lambda touch: ZeroLeads(),
}


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
                work.press(_action(touch), panel="meter", key=touch.key)

    act()


def _action(touch: Touch) -> Action:
    return _ACTIONS[touch.does](touch)


@st.fragment(key="meter")
def panel() -> None:
    """Show the meter with the last reading, its leads and the setting it was taken in."""
    attempt = work.attempt()
    meter("meter_face", face(attempt), touched(attempt), on_press=lambda: take("meter_face"))


def face(attempt: Attempt) -> Face:
    """Return what the meter's window shows."""
    reading = attempt.reading
    return Face(
        display=reading.display if reading else missing(attempt),
        unit=reading.unit if reading else "",
        where=reading.where if reading else "",
        words=reading.setting_words if reading else "",
        instruments=attempt.exercise.instruments,
        hold=attempt.hold,
        zeroed=attempt.zeroed,
        cautions=reading.cautions if reading else (),
        note=work.said("meter"),
    )


def missing(attempt: Attempt) -> str:
    """Return what has to be done before there is a reading."""
    if attempt.instrument == "clamp":
        return "Put the clamp round a wire"
    leads = [name for name, point in (("red", attempt.red), ("black", attempt.black)) if not point]
    if len(leads) == 2:
        return "Place both leads"
    return f"Place the {leads[0]} lead" if leads else "No reading"

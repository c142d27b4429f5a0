"""The meter: a flat pale window over its buttons, docked at the bottom of a phone."""

from collections.abc import Callable
from dataclasses import asdict, dataclass

import streamlit as st

from exercises.screens.components.assets import script, style
from exercises.screens.components.surface import Touched

_HTML = """
<section class="meter" aria-label="Multimeter">
  <div class="cautions" role="alert" data-at="cautions"></div>
  <div class="note" role="alert" data-at="note"></div>
  <div class="face">
    <div class="window" role="status" aria-live="polite" aria-atomic="true">
      <p class="sign" data-at="sign" hidden><i aria-hidden="true"></i>The meter’s battery is low</p>
      <p class="value"><span class="display" data-at="display"></span><span class="unit"
        data-at="unit"></span><span class="tone" data-at="tone"></span></p>
      <p class="told"><b data-at="where"></b><span data-at="setting"></span></p>
      <p class="told" data-at="expectedLine" hidden>You expected <b data-at="expected"></b></p>
    </div>
    <div class="keys">
      <button type="button" data-does="hold" data-at="hold">Hold</button>
      <button type="button" data-does="zero" data-at="zero">Zero leads</button>
      <button type="button" data-does="again" data-at="again"
        title="Take the same reading once more">Again</button>
      <button type="button" data-does="own" data-at="ownKey" aria-expanded="false"
        title="The meter’s own battery, fuse and leads">Meter</button>
    </div>
  </div>
  <form class="ask" aria-label="What a sound vehicle shows here" data-at="ask" hidden>
    <span class="lead-in" aria-hidden="true">A sound vehicle shows</span>
    <span class="choices" data-at="choices"></span>
    <span class="figure"><label for="figure">or</label><input id="figure" type="text"
      aria-label="Or a figure" inputmode="decimal" enterkeyhint="done" maxlength="20"
      autocomplete="off" data-at="figure"><button type="submit">Read</button></span>
  </form>
  <div class="own" role="group" aria-label="The meter itself" data-at="own" hidden>
    <p><b>Battery</b><span data-at="batteryState"></span><span><button type="button"
      data-does="renew" data-part="battery">New battery</button></span></p>
    <p><b>Amps fuse</b><span data-at="fuseState"></span><span><button type="button"
      data-does="check" data-part="fuse">Test</button><button type="button"
      data-does="renew" data-part="fuse">New fuse</button></span></p>
    <p><b>Leads</b><span data-at="leadsState"></span><span><button type="button"
      data-does="check" data-part="leads">Tips together</button></span></p>
    <p class="how">All on ohms. The fuse is tested with a lead from the ohms socket into the
      amps socket: under 1 Ω it is whole, OL means blown. To prove the meter, read volts on a
      battery known to be good.</p>
  </div>
  <div class="leads" role="group" aria-label="Leads: the next touch places the chosen one">
    <div class="lead"><button type="button" class="pick" data-lead="red"><span class="mark red"
      aria-hidden="true">+</span><span>Red</span><span class="on"></span></button><button
      type="button" class="lift" data-lift="red" aria-label="Lift the red lead"
      title="Lift the red lead">×</button></div>
    <div class="lead"><button type="button" class="pick" data-lead="black"><span class="mark black"
      aria-hidden="true">−</span><span>Black</span><span class="on"></span></button><button
      type="button" class="lift" data-lift="black" aria-label="Lift the black lead"
      title="Lift the black lead">×</button></div>
  </div>
  <p class="clampline"><span class="mark amp" aria-hidden="true">A</span><span>Clamp
    <span class="on" data-at="clampOn"></span></span></p>
  <div class="dial" role="radiogroup" aria-label="Instrument" data-at="dial"></div>
</section>
"""

_METER = st.components.v2.component("lab_meter", html=_HTML, css=style("meter"), js=script("meter"))

INSTRUMENTS: dict[str, tuple[str, str]] = {
    "volts": ("V", "Volts DC"),
    "ohms": ("Ω", "Ohms"),
    "continuity": ("Beep", "Continuity, with a beep"),
    "diode": ("Diode", "Diode test"),
    "amps": ("A", "Amps, in line"),
    "clamp": ("Clamp", "Clamp, amps round a wire"),
    "lamp": ("Lamp", "Test lamp"),
}
"""Label and title by the instrument's name."""

_ZEROES = ("ohms", "continuity")


@dataclass(frozen=True, slots=True)
class Face:
    """What the meter shows.

    Attributes
    ----------
    display, unit : the reading; words and no unit while there is none.
    where : which lead is where, ``C1.4 to BODY``.
    words : the setting in which the reading was taken.
    cautions : sentences that belong with this reading.
    note : one sentence on a press that was not taken, or empty.
    blank : whether there is no reading, so that the display holds words.
    beeps : whether the continuity tone sounds; it is shown, not played.
    battery_low : whether the low-battery sign shows.
    own : what the meter has shown of its own ``fuse`` and ``leads``, in words.
    choices : the expectations to choose from while the reading waits for one, else none.
    takes_figure : whether a figure may be given instead.
    expected : the expectation that the reading was taken with, or empty.
    """

    display: str
    unit: str
    where: str
    words: str
    instruments: tuple[str, ...]
    hold: bool = False
    zeroed: bool = False
    cautions: tuple[str, ...] = ()
    note: str = ""
    blank: bool = False
    beeps: bool = False
    battery_low: bool = False
    own: tuple[tuple[str, str], ...] = ()
    choices: tuple[str, ...] = ()
    takes_figure: bool = False
    expected: str = ""


def meter(key: str, face: Face, touched: Touched, *, on_press: Callable[[], None]) -> None:
    """Show the meter; presses are in ``st.session_state[key].press``."""
    offered = [
        {"name": name, "label": INSTRUMENTS[name][0], "title": INSTRUMENTS[name][1]}
        for name in face.instruments
    ]
    more = {"instruments": offered, "zeroes": list(_ZEROES), "own": dict(face.own)}
    _METER(
        key=key,
        data=touched.as_data() | asdict(face) | more,
        on_press_change=on_press,
    )

"""A surface takes the leads: the diagram, or the face of a connector."""

from collections.abc import Callable
from dataclasses import asdict, dataclass

import streamlit as st

from exercises.screens.components.assets import script, style

_HTML = """
<div class="surface">
  <div class="bar">
    <p class="hint"></p>
    <span class="zoom" role="group" aria-label="Size of the drawing">
      <button type="button" data-zoom="out" aria-label="Smaller">−</button>
      <button type="button" data-zoom="fit">Fit</button>
      <button type="button" data-zoom="in" aria-label="Larger">+</button>
    </span>
  </div>
  <div class="sheet" role="group"></div>
</div>
"""

_SURFACE = st.components.v2.component(
    "lab_surface", html=_HTML, css=style("surface"), js=script("surface")
)


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with handles, feed at the left and, for a narrow screen, feed at the top.

    ``rev`` differs when the drawing does: the browser draws anew only then. ``light`` and
    ``dark`` are the declarations of the CSS variables that the drawing uses. A ``plain``
    picture has no line of words and no buttons for its size.
    """

    across: str
    down: str
    rev: str
    label: str
    light: str = ""
    dark: str = ""
    plain: bool = False


@dataclass(frozen=True, slots=True)
class Touched:
    """What the leads and the clamp are on, after event ``seq``; ``done`` are taken presses."""

    bench: str
    seq: int
    red: str
    black: str
    clamp: str
    instrument: str
    done: tuple[str, ...] = ()

    def as_data(self) -> dict[str, object]:
        """Return what both components are sent of it."""
        return {
            "bench": self.bench,
            "seq": self.seq,
            "red": self.red,
            "black": self.black,
            "clamp": self.clamp,
            "instrument": self.instrument,
            "done": list(self.done),
        }


def surface(key: str, picture: Picture, touched: Touched, *, on_press: Callable[[], None]) -> None:
    """Show a picture that takes the leads; presses are in ``st.session_state[key].press``."""
    _SURFACE(
        key=key,
        data=touched.as_data() | asdict(picture),
        on_press_change=on_press,
    )


def still_picture(key: str, picture: Picture) -> None:
    """Show a picture that takes no leads."""
    _SURFACE(key=key, data=asdict(picture) | {"still": True})

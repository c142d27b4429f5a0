"""What every screen asks first, and what is told when one fails for a reason nobody foresaw."""

import logging
from collections.abc import Callable
from functools import wraps

import streamlit as st

from exercises.screens.visitor import is_let_in, show_door

SORRY = "Something went wrong here. Nothing is lost: load the page again and go on."


def guarded(show: Callable[[], None]) -> Callable[[], None]:
    """Return a screen or a panel for who is let in; it fails with one sentence.

    The log has the rest of what went wrong.
    """

    @wraps(show)
    def shown() -> None:
        try:
            if is_let_in():
                show()
            else:
                show_door()
        except Exception:  # the last fence: a traceback on the screen could tell the fault
            logging.getLogger(__name__).exception("a screen failed")
            st.error(SORRY)

    return shown

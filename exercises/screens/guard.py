"""What a person is told when a screen fails for a reason that nobody foresaw."""

import logging
from collections.abc import Callable
from functools import wraps

import streamlit as st

SORRY = "Something went wrong here. Nothing is lost: load the page again and go on."


def guarded(show: Callable[[], None]) -> Callable[[], None]:
    """Return a screen or a panel that fails with one sentence; the log has the rest."""

    @wraps(show)
    def shown() -> None:
        try:
            show()
        except Exception:  # the last fence: a traceback on the screen could tell the fault
            logging.getLogger(__name__).exception("a screen failed")
            st.error(SORRY)

    return shown

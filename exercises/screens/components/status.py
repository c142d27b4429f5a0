"""Lines of plain text that are read out when they change: what a press has brought."""

from collections.abc import Sequence

import streamlit as st

from exercises.screens.components.assets import script, style

_STATUS = st.components.v2.component(
    "lab_status",
    html='<div class="status" role="status" aria-live="polite"></div>',
    css=style("status"),
    js=script("status"),
)


def status(key: str, lines: Sequence[str]) -> None:
    """Show lines of text, announced when they change."""
    _STATUS(key=key, data={"lines": list(lines)})

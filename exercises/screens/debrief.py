"""Screen."""

import streamlit as st


def show() -> None:
    """Show it."""
    st.text("debrief")

"""The page's own look, over Streamlit's theme."""

from pathlib import Path

import streamlit as st

_HERE = Path(__file__).parent


def dress() -> None:
    """Set the page up: its title, its icon, its width, its style."""
    st.set_page_config(
        page_title="Millrace Lab",
        page_icon=str(_HERE / "icon.svg"),
        layout="wide",
        initial_sidebar_state="collapsed",
    )
    st.logo(str(_HERE / "icon.svg"), size="medium")
    st.html(f"<style>{(_HERE / 'look.css').read_text(encoding='utf-8')}</style>")

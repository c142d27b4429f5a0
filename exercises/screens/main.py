"""The script that Streamlit runs for each visitor: the look, then the page that they are on."""

import streamlit as st

from exercises.screens import look
from exercises.screens.pages import pages
from exercises.screens.visitor import is_let_in, show_name

look.dress()
is_let_in()  # first: it drops what another person left in the session
PAGES = pages()
st.session_state["pages"] = PAGES
show_name()
st.navigation(list(PAGES.values()), position="top").run()

"""Starts Streamlit on the screens, and the door beside it, nothing else.

The screens and the slips are read here, before the first visitor comes, so that nobody waits
for them; and the tables that hints need begin to be built beside the server.
"""

import streamlit as st

from exercises.screens import ahead, pages, start
from exercises.screens.doorway.opening import beside

SCREENS = pages  # its imports are all of them
start.read_slips()
ahead.begin()

routes, middleware = beside(st.get_option("server.baseUrlPath"))
app = st.App("exercises/screens/main.py", routes=routes, middleware=middleware)

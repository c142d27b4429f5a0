"""Starts Streamlit on the screens, nothing else.

The screens and the slips are read here, before the first visitor comes, so that nobody waits
for them.
"""

import streamlit as st

from exercises.screens import bench, circuit_page, debrief, look, primer, start

SCREENS = (bench, circuit_page, debrief, look, primer, start)
start.read_slips()

app = st.App("exercises/screens/main.py")

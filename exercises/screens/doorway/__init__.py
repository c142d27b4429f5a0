"""The door beside Streamlit: plain forms that work without scripts, and the cookie they give."""

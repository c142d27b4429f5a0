"""The two parts of the bench that Streamlit has not: a surface to touch, and a meter."""

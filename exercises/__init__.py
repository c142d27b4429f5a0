"""Exercises: reasoning about readings, attempts and what is kept of them, marks, reports.

Built on ``circuits``, which never imports it. Nothing here knows Streamlit except
``screens``; nothing opens a database except ``store``, ``tables`` and ``migrations``. The
rest is pure: the clock, randomness and files come in as arguments.
"""

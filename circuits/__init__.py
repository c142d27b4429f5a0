"""Electrical truth: circuits, their faults and settings, and what an instrument shows.

Nothing here knows of exercises, learners or screens. Data goes one way:
circuit file -> ``Circuit`` -> ``Vehicle`` (with faults, with a setting) -> solved
``State`` -> ``Reading``.
"""

"""Circuits of somebody's own vehicle: from templates and plain questions, or from tables.

Nothing here opens a screen or keeps anything; a circuit is made as data and checked as a
circuit file is. What nobody knows gets the usual value and a wide tolerance.
"""

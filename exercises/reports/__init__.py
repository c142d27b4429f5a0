"""Evidence that leaves the lab: marks as tables, statements of what was done, sheets on paper.

Every number in it can be computed again from the events that are kept.
"""

"""The panels of the bench: a keyed fragment each, so that a press redraws only what changed."""

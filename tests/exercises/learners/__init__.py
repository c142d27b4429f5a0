"""Learners: what they do with their hands (``acting``), and of what kinds they are (``players``).

``python -m tests.exercises.learners`` prints what marks each kind gets on every circuit.
"""

from tests.exercises.learners.acting import (
    ATTEMPT_ID,
    Learner,
    body,
    careful,
    entry,
    job,
    lucky,
    name_the_truth,
    name_what_cures,
    random_setting,
    random_test,
    right_repair,
)

__all__ = [
    "ATTEMPT_ID",
    "Learner",
    "body",
    "careful",
    "entry",
    "job",
    "lucky",
    "name_the_truth",
    "name_what_cures",
    "random_setting",
    "random_test",
    "right_repair",
]

"""Marks: five separate columns, each with the evidence for it, and one verdict.

*Diagnosis*: is it what was named. *Proof*: was it the only fault left. *Economy*: minutes
against a good path. *Care*: cautions kept. *Confirmation*: cured, and shown. A lucky guess
is visibly a guess: economy counts only as far as the diagnosis was proved.

A mark follows from the attempt's events alone, so that it can be made again years later and be
the same. The first event carries the circuit, the exercise with its good path and the vehicle
that was drawn; each later one what was shown and what it cost. The yardstick of economy is that
written path, walked on that vehicle: no table that may or may not be kept has a say. Two
things besides decide: the rules here, whose version is ``MARKER``, and the electrical model,
whose version is the desk's ``ENGINE``. Both are kept with every mark. When either changes,
marks that were kept stay as they are, and a correction is a new mark beside them.
"""

from exercises.marking.columns import COLUMNS, Column
from exercises.marking.marks import MARKER, Mark, mark
from exercises.marking.naming import final_names, words_for
from exercises.marking.weights import Weights, WeightsError, weighed, weights_from

__all__ = [
    "COLUMNS",
    "MARKER",
    "Column",
    "Mark",
    "Weights",
    "WeightsError",
    "final_names",
    "mark",
    "weighed",
    "weights_from",
    "words_for",
]

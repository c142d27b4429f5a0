"""How bad a fault may still be, and the words for it."""

import math
from collections.abc import Iterable, Iterator, Sequence

from circuits.faultkinds import KINDS
from circuits.model import Circuit, Fault
from exercises.candidates import Candidates
from exercises.explaining.bands import Stretch, coarse, range_words
from exercises.explaining.names import fault_names
from exercises.explaining.watching import Spot


def narrowed_words(
    circuit: Circuit, before: Sequence[Candidates], after: Sequence[Candidates]
) -> Iterator[str]:
    """Yield the faults still possible that are known better in how bad they may be."""
    was = _ranges(before)
    for spot, stretch in _ranges(after).items():
        if stretch != was[spot]:
            yield _range_words(circuit, spot, stretch)


def _ranges(asked: Iterable[Candidates]) -> dict[Spot, Stretch]:
    """Return the least and the greatest severity that each fault may still have."""
    found: dict[Spot, Stretch] = {}
    for candidates in asked:
        for low, high, _ in candidates.spans():
            ends = sorted((low.severity, high.severity))
            known = found.get((low.place, low.kind), (math.inf, -math.inf))
            found[(low.place, low.kind)] = (min(known[0], ends[0]), max(known[1], ends[1]))
    return found


MEASURED = {"Ω", "A", "V", "W"}
"""Units of severities that are told in figures; shares and turns say nothing to a technician."""


def _range_words(circuit: Circuit, spot: Spot, stretch: Stretch) -> str:
    name = fault_names(circuit, [Fault(*spot)])
    unit = KINDS[spot[1]].unit
    if unit not in MEASURED:
        return name
    return f"{name}, {range_words([severity_words(end, unit) for end in stretch])}"


def severity_words(value: float, unit: str) -> str:
    """Return how bad a fault is, to two digits.

    >>> severity_words(2.4831, "Ω"), severity_words(100_000.0, "Ω")
    ('2.5 Ω', '100 kΩ')
    """
    return coarse(float(f"{value:.2g}"), unit)

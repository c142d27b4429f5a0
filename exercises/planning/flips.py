"""Where between two severities a vehicle begins to behave otherwise, as when a fuse blows.

Between two severities that behave alike a reading lies between what the two show; across a
flip it need not, so there the pair is cut in two.
"""

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from circuits.faults import severities
from circuits.model import Circuit, Fault, Setting
from circuits.operate import solve_many
from exercises.evidence import NO_FAULT, Evidence
from exercises.planning.bands import Ends, behaviour_of
from exercises.trial import Trial

HALVINGS = 6
"""How often a pair of severities is halved on the way to its flip: 1/64 of it is left."""

TOGETHER = 0.1
"""Flips closer together than this share of their severity are taken for one."""

NONE: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Flip:
    """Two severities of a fault close together, between which its behaviour changes."""

    low: Fault
    high: Fault


def steps_of(fault: Fault) -> tuple[Fault, ...]:
    """Return a fault at every severity that stands for its kind, the least first."""
    grid = (0.0,) if fault == NO_FAULT else severities(fault)
    return tuple(replace(fault, severity=how_bad) for how_bad in sorted(grid))


def worth_flips(setting: Setting, watch: Setting | None) -> bool:
    """Say whether flips are looked for in a setting: where the whole vehicle is worked.

    What else trips or blows it with something unplugged or warm trips or blows it there too.
    """
    return watch is not None and not (setting.unmated or setting.warm)


def flips_in(
    circuit: Circuit, setting: Setting, tried: Sequence[Trial], found: Ends
) -> tuple[Flip, ...]:
    """Return the flips between neighbouring severities in a setting that has been surveyed."""
    of = {one.fault: how for one, how in zip(tried, found.behaviour, strict=True)}
    pairs = [(a, b) for a, b in _neighbours(of) if of[a] != of[b]]
    first = [of[low] for low, _ in pairs]
    for _ in range(HALVINGS if pairs else 0):
        middles = [_middle(low, high) for low, high in pairs]
        trials = [Trial(fault, NONE).vehicle(circuit, Evidence(setting)) for fault in middles]
        behaves = [behaviour_of(state) for state in solve_many(trials)]
        pairs = [
            (middle, high) if how == like else (low, middle)
            for (low, high), middle, how, like in zip(pairs, middles, behaves, first, strict=True)
        ]
    return tuple(Flip(low, high) for low, high in pairs)


def _neighbours(faults: Iterable[Fault]) -> Iterator[tuple[Fault, Fault]]:
    """Yield pairs of faults of one place and kind at neighbouring severities."""
    known = list(faults)
    for low, high in itertools.pairwise(known):
        if (low.place, low.kind) == (high.place, high.kind):
            yield low, high


def _middle(low: Fault, high: Fault) -> Fault:
    a, b = low.severity, high.severity
    return replace(low, severity=(a * b) ** 0.5 if a > 0 and b > 0 else (a + b) / 2)


def spans(fault: Fault, flips: Iterable[Flip]) -> tuple[tuple[Fault, Fault], ...]:
    """Return the pairs of neighbouring severities of a fault, cut at its flips."""
    steps = steps_of(fault)
    if len(steps) == 1:
        return ((steps[0], steps[0]),)
    cuts = _joined(sorted(flips, key=lambda flip: flip.low.severity))
    found = []
    for low, high in itertools.pairwise(steps):
        start = low
        for cut in cuts:
            if low.severity <= cut.low.severity and cut.high.severity <= high.severity:
                found.append((start, cut.low))
                start = cut.high
        found.append((start, high))
    return tuple(found)


def _joined(flips: Sequence[Flip]) -> list[Flip]:
    found: list[Flip] = []
    for flip in flips:
        last = found[-1] if found else None
        if last is None or not _close(last.high.severity, flip.low.severity):
            found.append(flip)
        elif flip.high.severity > last.high.severity:
            found[-1] = Flip(last.low, flip.high)
    return found


def _close(one: float, other: float) -> bool:
    return other - one <= TOGETHER * abs(one)

"""Whether one vehicle, with parts somewhere within their tolerances, fits several readings.

Each reading says that a sum of unknowns lies in a slab: ``|off - move @ x| <= half``, with
every unknown between -1 and 1. Many candidates ask at once. Both answers are proved: *fits*
by a point that lies in every slab, *cannot* by a combination of the readings that no point
of the box can meet (Farkas' lemma). What is not proved in time is said to fit, so nothing
is ruled out without proof.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Slab:
    """What one reading asks of the unknowns: ``|off - move @ x| <= half``."""

    off: float
    half: float
    unknowns: tuple[str, ...]
    move: Array


def together(asked: Sequence[Sequence[Slab]]) -> Bools:
    """Return for each candidate whether the slabs that its readings make have a point in common."""
    readings = max((len(slabs) for slabs in asked), default=0)
    fits = np.ones(len(asked), dtype=bool)
    if not readings:
        return fits
    # Most slabs name the same unknowns: each tuple of names is looked up once.
    names: dict[str, int] = {}
    columns: dict[tuple[str, ...], list[int]] = {}
    for unknowns in dict.fromkeys(slab.unknowns for slabs in asked for slab in slabs):
        columns[unknowns] = [names.setdefault(name, len(names)) for name in unknowns]
    off, half = np.zeros((len(asked), readings)), np.ones((len(asked), readings))
    move = np.zeros((len(asked), readings, len(names)))
    for case, slabs in enumerate(asked):
        for number, slab in enumerate(slabs):
            off[case, number], half[case, number] = slab.off, slab.half
            move[case, number, columns[slab.unknowns]] = slab.move
    return fits_together(off, half, move)


ROUNDS = 300
LEAST = 1e-9


def fits_together(off: Array, half: Array, move: Array) -> Bools:
    """Return for each candidate whether its readings can all be met at once.

    Parameters
    ----------
    off : (candidate, reading), shown minus predicted.
    half : (candidate, reading), what the reading may be off by on its own.
    move : (candidate, reading, unknown), the reading's move with the unknown at its limit.
    """
    reach = np.abs(move).sum(axis=2)
    fits: Bools = (np.abs(off) <= half + reach).all(axis=1)
    left = np.flatnonzero(fits & (off.shape[1] > 1))
    scale = 1 / (half + reach + LEAST)
    off, half, move = off * scale, half * scale, move * scale[:, :, None]
    fits[left] = _together(off[left], half[left], move[left])
    return fits


def _together(off: Array, half: Array, move: Array) -> Bools:
    """Decide by accelerated projected gradients on the squared distance to the slabs."""
    count, _, unknowns = move.shape
    fits = np.ones(count, dtype=bool)
    left = np.arange(count)
    point = ahead = np.zeros((count, unknowns))
    speed = 1 / (np.square(move).sum(axis=(1, 2)) + LEAST)
    momentum = 1.0
    for _ in range(ROUNDS):
        if not left.size:
            break
        excess = _excess(off, half, move, ahead)
        met = np.abs(excess).max(axis=1) <= LEAST
        never = _impossible(off, half, move, excess)
        fits[left[never]] = False
        keep = ~(met | never)
        pull = np.einsum("cj,cjk->ck", excess, move)
        new = np.clip(ahead + speed[:, None] * pull, -1, 1)
        following = (1 + np.sqrt(1 + 4 * momentum**2)) / 2
        ahead = new + (momentum - 1) / following * (new - point)
        point, momentum = new, following
        left, off, half, move = left[keep], off[keep], half[keep], move[keep]
        point, ahead, speed = point[keep], np.clip(ahead[keep], -1, 1), speed[keep]
    return fits


def _excess(off: Array, half: Array, move: Array, point: Array) -> Array:
    """Return how far each slab is from a point, signed towards it."""
    short = off - np.einsum("cjk,ck->cj", move, point)
    away: Array = np.sign(short) * np.maximum(np.abs(short) - half, 0.0)
    return away


def _impossible(off: Array, half: Array, move: Array, weight: Array) -> Bools:
    """Say whether readings combined with these weights lie beyond what the box can give."""
    needed = (weight * off).sum(axis=1)
    most = (np.abs(weight) * half).sum(axis=1)
    most += np.abs(np.einsum("cj,cjk->ck", weight, move)).sum(axis=1)
    beyond: Bools = needed > most + LEAST
    return beyond

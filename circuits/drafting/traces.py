"""Traces: a wire's path piece by piece, what it shares with others, where wires cross."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from circuits.drafting.drawn import Layout, Point

Piece = tuple[Point, Point]


def pieces(path: Sequence[Point]) -> list[Piece]:
    """Return the straight pieces of a path."""
    return list(pairwise(path))


def length(path: Sequence[Point]) -> float:
    """Return the length of a path."""
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(path))


def simplified(points: Sequence[Point]) -> tuple[Point, ...]:
    """Return the corners of a path without those that lie on a straight run."""
    kept: list[Point] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and _in_line(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return tuple(kept)


def _in_line(a: Point, b: Point, c: Point) -> bool:
    return (a[0] == b[0] == c[0]) or (a[1] == b[1] == c[1])


def own_part(wire: str, paths: Mapping[str, tuple[Point, ...]]) -> tuple[Point, ...]:
    """Return the longest run of a wire's path that no other wire shares.

    A wire that shares all of it returns its whole path.
    """
    others = [piece for name, path in paths.items() if name != wire for piece in pieces(path)]
    best: tuple[Point, ...] = ()
    run: list[Point] = []
    for piece in pieces(paths[wire]):
        left = _uncovered(piece, others)
        if left is None:
            run = []
            continue
        run = [*run, left[1]] if run and run[-1] == left[0] else list(left)
        best = max(best, tuple(run), key=length)
    return best or paths[wire]


def _uncovered(piece: Piece, others: Sequence[Piece]) -> Piece | None:
    """Return the longest stretch of a piece on which no other piece lies."""
    axis = 0 if piece[0][1] == piece[1][1] else 1
    fixed = piece[0][1 - axis]
    low, high = sorted((piece[0][axis], piece[1][axis]))
    cuts = [(high, high)]
    for a, b in others:
        if a[1 - axis] == b[1 - axis] == fixed:
            start, end = sorted((a[axis], b[axis]))
            if start < high and end > low:
                cuts.append((max(start, low), min(end, high)))
    best, reach = (low, low), low
    for start, end in sorted(cuts):
        if start - reach > best[1] - best[0]:
            best = (reach, start)
        reach = max(reach, end)
    if best[0] == best[1]:
        return None
    ends = best if piece[0][axis] < piece[1][axis] else best[::-1]
    first, last = (((end, fixed) if axis == 0 else (fixed, end)) for end in ends)
    return first, last


def crossings(layout: Layout) -> int:
    """Return at how many places wires cross in a drawing."""
    runs = [(trace.wire, piece) for trace in layout.traces for piece in pieces(trace.path)]
    found: set[Point] = set()
    for number, (wire, piece) in enumerate(runs):
        for other, against in runs[:number]:
            spot = _crossing(piece, against) if wire != other else None
            if spot:
                found.add(spot)
    return len(found)


def _crossing(one: Piece, other: Piece) -> Point | None:
    flat, steep = (one, other) if one[0][1] == one[1][1] else (other, one)
    if flat[0][1] != flat[1][1] or steep[0][0] != steep[1][0]:
        return None
    x, y = steep[0][0], flat[0][1]
    x_low, x_high = sorted((flat[0][0], flat[1][0]))
    y_low, y_high = sorted((steep[0][1], steep[1][1]))
    return (x, y) if x_low < x < x_high and y_low < y < y_high else None

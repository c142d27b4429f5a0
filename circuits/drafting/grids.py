"""A heated window's block: its lines between two bars, with points along some of them."""

import math
from collections.abc import Iterator
from itertools import pairwise

from circuits.drafting.flow import Flow
from circuits.drafting.ports import port_of, shells, sides_of
from circuits.drafting.shapes import (
    TITLE_LINE,
    TITLE_SIZE,
    Block,
    Inside,
    Metrics,
    Side,
    title_of,
    widest,
    wrapped,
)
from circuits.model import Circuit, Part
from circuits.parts.window import FEED, FEED_BUS, GROUND, GROUND_BUS, HeaterGrid
from circuits.spec import join

BAR = 28
"""From the edge of the glass to a bar, along."""
STEP = 34
"""Between two points of a line, along."""
APART = 27
"""The least distance between the points of two lines, across."""
CLOSEST = 13
"""Between two lines, across, at least."""
RIM = 12
"""From the outer lines to the edge of the glass, across."""


def line_pitch(spec: HeaterGrid) -> int:
    """Return the distance between two lines of a drawn grid, across."""
    gaps = [b - a for a, b in pairwise(sorted(set(spec.probed)))]
    return max(CLOSEST, math.ceil(APART / min(gaps, default=APART)))


def line_level(spec: HeaterGrid, line: int) -> int:
    """Return how far a line lies from the row of the tabs, across."""
    return round((line - (spec.lines + 1) / 2) * line_pitch(spec))


def glass_half(spec: HeaterGrid) -> int:
    """Return how far the glass reaches from the row of the tabs, across."""
    return line_level(spec, spec.lines) + RIM


def heater_grid(circuit: Circuit, part: Part, flow: Flow, metrics: Metrics) -> Block:
    """Return the block of a heated window, as long as its points need."""
    spec = part.spec
    assert isinstance(spec, HeaterGrid)  # the only kind of its sort
    sides = sides_of(circuit, part, flow, (FEED, GROUND))
    pins = zip((FEED, GROUND), sides, strict=True)
    ports = tuple(port_of(circuit, part, pin, side, 0) for pin, side in pins)
    half, lines = glass_half(spec), wrapped(title_of(part), 110, TITLE_SIZE)
    across = metrics.direction == "across"
    width = round(widest(lines, TITLE_SIZE)) + 2
    return Block(
        part.name,
        part.spec.sort,
        ports,
        (0,),
        before=metrics.up(half + 2 + TITLE_LINE * len(lines)) if across else metrics.up(half + 4),
        after=metrics.up(half + 4) if across else metrics.up(half + 6 + width),
        length=2 * BAR + spec.segments * STEP + shells(ports),
        title=lines,
        housing=(half, half),
        inside=tuple(_points(part.name, spec, sides[0])),
    )


def _points(name: str, spec: HeaterGrid, feed: Side) -> Iterator[Inside]:
    """Yield the points on bars and lines; the feed bar is on the side of the feed."""
    last = spec.segments
    top = line_level(spec, 1)

    def along(step: int) -> int:
        return BAR + STEP * (step if feed < 0 else last - step)

    yield Inside(join(name, FEED_BUS), along(0), top)
    yield Inside(join(name, GROUND_BUS), along(last), top)
    for line in spec.probed:
        for n in range(1, last):
            yield Inside(join(name, f"line{line}_{n}"), along(n), line_level(spec, line))

"""Jumper leads on a drawing: curved dashed lines, each with its fuse and its name.

Wires run straight and at right angles; a lead that hangs between two clips is told from
them by its curve, on paper and on a screen, without a colour of its own.
"""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from circuits.drafting.drawn import Box, Layout, Point
from circuits.model import Jumper
from circuits.network import JUMPER_FUSE_A

LEAST_BOW, MOST_BOW = 24.0, 70.0
"""How far a lead hangs out of the straight line, in viewBox units."""
BOWS = (1.0, -1.0, 1.6, -1.6, 2.4, -2.4)
FUSE_AT = (0.5, 0.4, 0.6, 0.3, 0.7)
"""Where along the lead its fuse may sit, in the order in which places are tried."""
FUSE = (26.0, 10.0)
NAME = (44.0, 13.0)
NAME_OFF = (-17.0, 17.0)
"""The name stands above the fuse or below it."""
MARGIN = 6.0
SAMPLES = 24
LEAD_WIDTH, CLEAR_WIDTH = 2.4, 7.0


@dataclass(frozen=True, slots=True)
class JumperLine:
    """Where a lead runs: a quadratic curve, and its fuse ``at`` a point, ``degrees`` turned.

    ``bow`` is how far it hangs, in the usual way; ``name_off`` how far below the fuse the name is.
    """

    number: int
    start: Point
    bend: Point
    end: Point
    bow: float
    at: Point = (0.0, 0.0)
    degrees: float = 0.0
    name_off: float = NAME_OFF[0]

    def point(self, share: float) -> Point:
        """Return the point of the curve at a share of the way."""
        left = 1 - share
        x, y = (
            left * left * s + 2 * left * share * b + share * share * e
            for s, b, e in zip(self.start, self.bend, self.end, strict=True)
        )
        return x, y

    def boxes(self) -> tuple[Box, Box]:
        """Return the boxes that the fuse and the name take."""
        return _box(self.at, FUSE[0], FUSE[0]), _box(self.name_at(), *NAME)

    def name_at(self) -> Point:
        """Return the middle of the lead's name."""
        return self.at[0], self.at[1] + self.name_off


def jumper_name(number: int) -> str:
    """Return the name of a jumper lead, counted from 1, as the drawing writes it."""
    return f"J{number}"


def placed_jumpers(jumpers: Sequence[Jumper], layout: Layout) -> tuple[JumperLine, ...]:
    """Return where jumper leads run, so that fuses and names cover as little as can be."""
    covered = [*(label.box for label in layout.labels), *_bodies(layout)]
    found: list[JumperLine] = []
    for number, lead in enumerate(jumpers, start=1):
        ends = layout.handles[lead.start], layout.handles[lead.end]
        taken = [*covered, *itertools.chain.from_iterable(line.boxes() for line in found)]
        tried = [
            replace(_line(number, ends, bow, share), name_off=off)
            for bow, share, off in itertools.product(BOWS, FUSE_AT, NAME_OFF)
        ]
        found.append(min(tried, key=lambda line: _cost(line, taken, layout)))
    return tuple(found)


def _line(number: int, ends: tuple[Point, Point], bow: float, share: float) -> JumperLine:
    start, end = ends
    length = math.dist(start, end) or 1.0
    across = ((start[1] - end[1]) / length, (end[0] - start[0]) / length)
    reach = 2 * bow * min(MOST_BOW, max(LEAST_BOW, 0.18 * length))
    bend = (
        (start[0] + end[0]) / 2 + reach * across[0],
        (start[1] + end[1]) / 2 + reach * across[1],
    )
    bare = JumperLine(number, start, bend, end, bow)
    (x, y), (on_x, on_y) = bare.point(share - 0.02), bare.point(share + 0.02)
    degrees = math.degrees(math.atan2(on_y - y, on_x - x))
    upright = (degrees + 90) % 180 - 90
    return replace(bare, at=bare.point(share), degrees=upright)


def _bodies(layout: Layout) -> Iterator[Box]:
    """Yield the boxes of the parts' bodies."""
    for placed in layout.placed:
        low, high = placed.body
        rows = placed.rows
        (x, y), (far_x, far_y) = (layout.xy(low, min(rows) - 8), layout.xy(high, max(rows) + 8))
        yield min(x, far_x), min(y, far_y), max(x, far_x), max(y, far_y)


def _cost(line: JumperLine, taken: Sequence[Box], layout: Layout) -> float:
    """Return how much a lead covers: letters and bodies under its fuse and name, then
    those under its curve, then how far it hangs."""
    left, top, width, height = layout.view
    points = [line.point(n / SAMPLES) for n in range(SAMPLES + 1)]
    corners = [point for box in line.boxes() for point in (box[:2], box[2:])]
    sheet = (left + MARGIN, top + MARGIN, left + width - MARGIN, top + height - MARGIN)
    outside = sum(not _inside(point, sheet) for point in (*points[2:-2], *corners))
    covered = sum(_overlap(box, other) for box in line.boxes() for other in taken)
    handles = sum(_inside(h, box) for h in layout.handles.values() for box in line.boxes())
    crossed = sum(_inside(point, box) for point in points for box in taken)
    return 100.0 * outside + 10.0 * (covered + handles) + crossed + 3.0 * (abs(line.bow) - 1.0)


def _box(middle: Point, width: float, height: float) -> Box:
    x, y = middle
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def _inside(point: Point, box: Box) -> bool:
    return box[0] <= point[0] <= box[2] and box[1] <= point[1] <= box[3]


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def jumper_svg(lines: Sequence[JumperLine], ink: str, paper: str) -> Iterator[str]:
    """Yield the SVG of jumper leads in the colours of ink and paper.

    A rim of paper keeps a lead readable where it crosses a wire.
    """
    wide, high = FUSE
    for line in lines:
        path = f"M{_xy(line.start)}Q{_xy(line.bend)} {_xy(line.end)}"
        yield f'<g class="jumper" data-jumper="{line.number}" pointer-events="none" fill="none">'
        yield f'<path d="{path}" stroke="{paper}" stroke-width="{CLEAR_WIDTH:g}"/>'
        yield f'<path class="lead" d="{path}" stroke="{ink}" stroke-width="{LEAD_WIDTH:g}"'
        yield ' stroke-dasharray="8 5" stroke-linecap="round"/>'
        yield f'<g transform="translate({_xy(line.at)}) rotate({line.degrees:.1f})">'
        yield f'<rect x="{-wide / 2:g}" y="{-high / 2:g}" width="{wide:g}" height="{high:g}"'
        yield f' fill="{paper}" stroke="{ink}" stroke-width="1.6"/>'
        yield f'<path d="M{-wide / 2:g} 0H{wide / 2:g}" stroke="{ink}" stroke-width="1.6"/></g>'
        x, y = line.name_at()
        yield f'<text class="jumper-name" x="{x:.1f}" y="{y:.1f}" font-size="12"'
        yield f' text-anchor="middle" dominant-baseline="central" fill="{ink}"'
        yield f' stroke="{paper}" stroke-width="4" paint-order="stroke">'
        yield f"{jumper_name(line.number)} {JUMPER_FUSE_A:g} A</text></g>"


def _xy(point: Point) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"

"""The pen with which symbols are drawn, in (along, across) for both directions."""

from dataclasses import dataclass, field
from typing import Literal

import schemdraw.elements as elm
from schemdraw.segments import Segment, SegmentCircle, SegmentPoly

from circuits.drafting.drawn import Layout, Placed, Point
from circuits.model import Circuit, Setting

UNIT = 36.0
"""ViewBox units in one unit of schemdraw at half an inch a unit."""
# schemdraw refuses CSS variables, so it draws in stand-ins that are replaced in the text.
INK, PAPER, PART, FAINT = "#fe00ee", "#fe01ee", "#fe02ee", "#fe03ee"
LINE = 1.6


@dataclass(slots=True)
class Sketch:
    """A part's elements, and single letters inside its symbol with their places."""

    layout: Layout
    elements: list[elm.Element] = field(default_factory=list)
    letters: list[tuple[str, Point]] = field(default_factory=list)
    shape: elm.Element = field(default_factory=lambda: elm.Element().at((0, 0)).theta(0))

    def spot(self, along: float, across: float) -> Point:
        """Return a point in schemdraw's units, whose second axis points up."""
        x, y = self.layout.xy(along, across)
        return x / UNIT, -y / UNIT

    def line(
        self, *points: Point, dashed: bool = False, faint: bool = False, over: bool = False
    ) -> None:
        """Draw a line through points, under circles or over them."""
        path = [self.spot(*p) for p in points]
        colour = FAINT if faint else INK
        style: Literal["--", "-"] = "--" if dashed else "-"
        self.shape.segments.append(
            Segment(path, color=colour, lw=LINE, ls=style, zorder=5 if over else 3)
        )

    def box(self, low: Point, high: Point, *, fill: str = PART, dashed: bool = False) -> None:
        """Draw a rectangle between two corners."""
        corners = [low, (high[0], low[1]), high, (low[0], high[1])]
        self.shape.segments.append(
            SegmentPoly(
                [self.spot(*p) for p in corners],
                color=FAINT if dashed else INK,
                fill=fill if not dashed else None,
                lw=LINE if not dashed else 1.1,
                ls="--" if dashed else "-",
                zorder=2,
            )
        )

    def circle(self, centre: Point, radius: float, fill: str = PAPER) -> None:
        """Draw a circle."""
        self.shape.segments.append(
            SegmentCircle(
                self.spot(*centre), radius / UNIT, color=INK, fill=fill, lw=LINE, zorder=4
            )
        )

    def two(self, element: elm.Element2Term, start: Point, end: Point, scale: float) -> None:
        """Draw a two-terminal symbol of schemdraw with its leads."""
        self.elements.append(
            element.scale(scale)
            .endpoints(self.spot(*start), self.spot(*end))
            .color(INK)
            .linewidth(LINE)
        )

    def letter(self, text: str, along: float, across: float) -> None:
        """Write a letter into the symbol."""
        self.letters.append((text, self.layout.xy(along, across)))


@dataclass(frozen=True, slots=True)
class Subject:
    """A block to draw, of which circuit, in which setting."""

    placed: Placed
    circuit: Circuit
    setting: Setting


def ends(placed: Placed) -> tuple[Point, Point]:
    """Return where the first two ports meet the body."""
    one, two = placed.block.ports[:2]
    return placed.inner(one), placed.inner(two)


def straightened(drawn: Sketch, placed: Placed) -> tuple[Point, Point]:
    """Return the two ends of a load's symbol; leads are bent to it if they leave one side."""
    a, b = ends(placed)
    if placed.block.ports[0].side != placed.block.ports[1].side:
        return a, b
    inward = -placed.block.ports[0].side
    axis = a[0] + inward * 23
    drawn.line(a, (axis, a[1]))
    drawn.line(b, (axis, b[1]))
    return (axis, a[1]), (axis, b[1])

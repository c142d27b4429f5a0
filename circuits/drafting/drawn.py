"""What a finished layout is made of."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from circuits.drafting.shapes import NOTE_SIZE, TITLE_SIZE, Block, Direction, Port

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, top, right and bottom."""
Anchor = Literal["start", "middle", "end"]
LabelKind = Literal["title", "note", "wire"]

BATTERY_AXIS = {"across": 24, "down": 38}
"""From a battery block's beginning to the line of its plates, along."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A block where it lies: its start along, and its rows across."""

    block: Block
    start: float
    rows: tuple[int, ...]

    @property
    def end(self) -> float:
        """Where it ends along."""
        return self.start + self.block.length

    @property
    def body(self) -> tuple[float, float]:
        """Where its body begins and ends along, without plugged connectors."""
        return self.start + self.block.shell(-1), self.end - self.block.shell(1)

    @property
    def low(self) -> int:
        """Where its room begins across."""
        return min(self.rows) - self.block.before

    @property
    def high(self) -> int:
        """Where its room ends across."""
        return max(self.rows) + self.block.after

    def at(self, port: Port) -> Point:
        """Return where a port lies: along, across."""
        return (self.start if port.side < 0 else self.end), float(self.rows[port.row])

    def inner(self, port: Port) -> Point:
        """Return where a port's lead meets the body: along, across."""
        low, high = self.body
        return (low if port.side < 0 else high), float(self.rows[port.row])


@dataclass(frozen=True, slots=True)
class Trace:
    """A wire's path; ``own`` is the longest part that it shares with no other wire."""

    wire: str
    path: tuple[Point, ...]
    own: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text in a box of viewBox units; ``kind`` tells titles from notes."""

    lines: tuple[str, ...]
    kind: LabelKind
    owner: str
    x: float
    y: float
    width: float
    height: float
    anchor: Anchor = "start"

    @property
    def size(self) -> float:
        """The size of the letters."""
        return TITLE_SIZE if self.kind == "title" else NOTE_SIZE

    @property
    def box(self) -> Box:
        """Left, top, right and bottom."""
        return self.x, self.y, self.x + self.width, self.y + self.height


@dataclass(frozen=True)
class Layout:
    """A drawing's positions.

    Attributes
    ----------
    view : left, top, width and height of the viewBox.
    placed : parts, in-line connectors and grounds, in (along, across).
    traces, dots, handles, labels : in viewBox coordinates.
    handles : where each test point lies, in whichever setting it is exposed.
    """

    direction: Direction
    view: tuple[float, float, float, float]
    placed: tuple[Placed, ...]
    traces: tuple[Trace, ...]
    dots: tuple[Point, ...]
    handles: Mapping[str, Point]
    labels: tuple[Label, ...]

    def xy(self, along: float, across: float) -> Point:
        """Return viewBox coordinates."""
        return turned_point(self.direction, (along, across))


def turned_point(direction: Direction, point: Point) -> Point:
    """Return a point with its coordinates changed over if the drawing runs down."""
    return point if direction == "across" else (point[1], point[0])

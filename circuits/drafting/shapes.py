"""Blocks: the room each part takes in a drawing and where its wires arrive.

A drawing is laid out in two coordinates: ``along`` runs with the flow from the feed to
the load, ``across`` at right angles to it. On a wide page *along* goes to the right and
*across* downwards; on a tall page they change places. All lengths are viewBox units.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from circuits.model import Part, Wire

Direction = Literal["across", "down"]
Side = Literal[-1, 1]
"""-1 towards the feed, +1 towards the load."""
SIDES: tuple[Side, Side] = (-1, 1)

SHELL = 36
"""The length kept for a plugged connector: both its faces, apart."""
FACE = 5
"""From the end of that room to the handle of a face."""
TITLE_SIZE, NOTE_SIZE = 12.5, 11.0
TITLE_LINE, NOTE_LINE = 15, 12
HOUSING = {"across": 17, "down": 22}
"""From the outer contact of a switch or relay to its housing, across, at least."""
POST = 60
"""From a battery's positive row to its negative post, across."""
OFF_POST = (18, 26)
"""From the negative post to the end of a cable that is off it: along, across."""
BUS = 12
"""Between two lines inside a switch, along."""


@dataclass(frozen=True, slots=True)
class Metrics:
    """The pitches of a drawing in one direction.

    Attributes
    ----------
    pitch : across, from one port of a part to the next.
    box_pitch : the same in a controller, where each cavity has words.
    grid : every distance across is a multiple of it, so that no jog is smaller.
    """

    direction: Direction
    pitch: int
    box_pitch: int
    grid: int

    def up(self, length: float) -> int:
        """Return the length rounded up to the grid."""
        return int(-(-length // self.grid)) * self.grid


METRICS: Mapping[Direction, Metrics] = {
    "across": Metrics("across", pitch=30, box_pitch=30, grid=15),
    "down": Metrics("down", pitch=40, box_pitch=60, grid=20),
}


@dataclass(frozen=True, slots=True)
class Port:
    """Where wires arrive at a block.

    Attributes
    ----------
    node : the terminal as wires name it, a cavity by its wired face.
    pin : the part's terminal behind it, or the cavity's number in an in-line connector.
    row : index of the row on which it lies.
    cavity : ``C1.4``, empty where no connector plugs in.
    """

    node: str
    pin: str
    side: Side
    row: int
    cavity: str = ""
    words: str = ""

    @property
    def connector(self) -> str:
        """The name of the connector that plugs in here, empty if none does."""
        return self.cavity.rpartition(".")[0]


@dataclass(frozen=True, slots=True)
class Inside:
    """A test point within a block: along from its body's beginning, across from its first row."""

    node: str
    along: int
    across: int


@dataclass(frozen=True, slots=True)
class Block:
    """A part, an in-line connector, or the room for a wire that passes by.

    Attributes
    ----------
    rows : where each row lies across, from the first; in a ``stretch`` block the least.
    before, after : room across, ahead of the first row and behind the last.
    order : which of its rows may change places: none, all, or only the whole sequence
        turned round.
    contacts : the row of each contact of a switch.
    insets : room along inside a housing for the names of its terminals, near and far.
    housing : from the first and the last row to a dashed housing, across.
    wired : the wires that are drawn within the block: a battery's negative cable.
    inside : test points within its body, at which no wire arrives.
    """

    name: str
    sort: str
    ports: tuple[Port, ...]
    rows: tuple[int, ...]
    before: int
    after: int
    length: int
    title: tuple[str, ...] = ()
    stretch: bool = False
    order: Literal["fixed", "free", "turn"] = "fixed"
    contacts: tuple[int, ...] = ()
    insets: tuple[int, int] = (0, 0)
    housing: tuple[int, int] = (0, 0)
    wired: tuple[Wire, ...] = ()
    inside: tuple[Inside, ...] = ()

    def shell(self, side: Side) -> int:
        """Return the length that plugged connectors take on one side."""
        return SHELL if any(p.cavity and p.side == side for p in self.ports) else 0

    def side_ports(self, side: Side) -> tuple[Port, ...]:
        """Return the ports on one side in the order of their rows."""
        return tuple(sorted((p for p in self.ports if p.side == side), key=lambda p: p.row))

    def port(self, node: str) -> Port:
        """Return the port of a node."""
        return next(p for p in self.ports if p.node == node)


_EMS = {
    **dict.fromkeys("iljI.,:;'|! \N{NO-BREAK SPACE}", 0.33),
    **dict.fromkeys("frt-()/", 0.42),
    **dict.fromkeys("mM%@", 0.97),
    **dict.fromkeys("OGQ", 0.8),
    "w": 0.82,
    "W": 0.99,
}


def text_width(text: str, size: float) -> float:
    """Return a width in viewBox units that a sans-serif text does not exceed.

    The widths are those of DejaVu Sans, the widest of the common ones (from memory).
    """
    return size * sum(_EMS.get(c) or (0.74 if c.isupper() else 0.625) for c in text)


def wrapped(text: str, width: float, size: float) -> tuple[str, ...]:
    """Return the text in lines of at most this width where its words allow it."""
    lines: list[str] = []
    for word in text.split(" "):
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return tuple(lines)


def widest(lines: tuple[str, ...], size: float) -> float:
    """Return the width of the widest line."""
    return max((text_width(line, size) for line in lines), default=0.0)


def short_name(part: Part) -> str:
    """Return a part's label, or its name where a symbol says the rest: ``F1``, ``Key switch``."""
    told = part.spec.sort in ("fuse", "splice", "ground point")
    return part.name if told and part.label.endswith(part.name) else part.label


def title_of(part: Part) -> str:
    """Return the words beside a part."""
    words = short_name(part)
    rating = getattr(part.spec, "rating_a", None)
    return f"{words} {rating:g}\N{NO-BREAK SPACE}A" if rating else words


def turned(block: Block) -> Block:
    """Return the block with its rows in the opposite sequence."""
    last, end = len(block.rows) - 1, block.rows[-1]
    return replace(
        block,
        rows=tuple(end - row for row in reversed(block.rows)),
        ports=tuple(replace(p, row=last - p.row) for p in block.ports),
        contacts=tuple(last - row for row in block.contacts),
    )


def swapped(block: Block, row: int) -> Block:
    """Return the block with a row and the next one changed over."""
    other = {row: row + 1, row + 1: row}
    ports = tuple(replace(p, row=other.get(p.row, p.row)) for p in block.ports)
    return replace(block, ports=ports)

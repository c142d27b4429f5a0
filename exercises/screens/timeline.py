"""Two paths on one time line: the faults still possible over the minutes, each falling in steps."""

import hashlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from exercises.debrief import Debrief, PathRow
from exercises.screens.components.surface import Picture

LIGHT = "--ink:#18282c;--grid:#c9d0c6;--own:#0e6b68;--good:#9a5a06"
DARK = "--ink:#e9ece4;--grid:#3c4b4d;--own:#5cc4bd;--good:#e8a948"

_LEFTS = (0, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_STEPS = (0.5, 1, 2, 5, 10, 20, 30, 60, 120, 240)
_MOST_TICKS = 9
_DASHED = 'stroke-width="2.5" stroke-dasharray="7 5"'
"""The good path is drawn over the learner's own, which is seen between its dashes."""


Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A sheet of so many units, with the minutes and the faults that it spans."""

    width: float
    height: float
    minutes: float
    start: int

    left: float = 46.0
    right: float = 18.0
    top: float = 44.0
    bottom: float = 44.0

    def x(self, minutes: float) -> float:
        """Return where a minute is."""
        return self.left + (self.width - self.left - self.right) * minutes / self.minutes

    def y(self, left: float) -> float:
        """Return where a number of faults is: each halving goes down by nearly as much."""
        share = math.log(1 + left) / math.log(1 + self.start)
        return self.height - self.bottom - (self.height - self.top - self.bottom) * share


def timeline(told: Debrief) -> Picture:
    """Return the drawing of the learner's path and a good one."""
    ends = [row.minutes for row in (*told.own_path, *told.good_path)]
    minutes = max([*ends, *told.named_at, 1.0])
    across = _drawn(told, _Sheet(900, 310, minutes, max(told.start, 1)), most=_MOST_TICKS)
    down = _drawn(told, _Sheet(360, 330, minutes, max(told.start, 1)), most=5)
    rev = hashlib.sha256(across.encode()).hexdigest()[:12]
    return Picture(across, down, rev, "Your path and a good one", LIGHT, DARK, plain=True)


def summary(told: Debrief) -> str:
    """Return in words what the drawing shows."""
    good = told.good_path
    words = (
        f"{told.start} faults were possible at first. A good path has {_left(good[-1].left)} "
        f"after {_steps(good)} and {good[-1].minutes:.1f} minutes"
    )
    if not told.own_path:
        return f"{words}; you took no reading."
    own = told.own_path
    return f"{words}; you had {own[-1].left} after {_steps(own)} and {own[-1].minutes:.1f} minutes."


def _left(count: int) -> str:
    return "one left" if count == 1 else f"{count} left"


def _steps(path: Sequence[PathRow]) -> str:
    return f"{len(path)} step{'s' * (len(path) != 1)}"


def _drawn(told: Debrief, sheet: _Sheet, *, most: int) -> str:
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}"'
        f' role="img" aria-label="{escape(summary(told), quote=True)}">',
        *_axes(sheet, most),
        *_line(sheet, _points(told.start, told.own_path), "own", 'stroke-width="4"'),
        *_line(sheet, _points(told.start, told.good_path), "good", _DASHED),
        *_named(told, sheet),
        *_legend(sheet),
        "</svg>",
    ]
    return "".join(parts)


def _points(start: int, path: Sequence[PathRow]) -> list[Point]:
    return [(0.0, start), *((row.minutes, row.left) for row in path)]


def _axes(sheet: _Sheet, most: int) -> Iterator[str]:
    base, end = sheet.height - sheet.bottom, sheet.width - sheet.right
    for left in _lefts(sheet.start):
        y = sheet.y(left)
        yield f'<path d="M{sheet.left:.1f} {y:.1f}H{end:.1f}" stroke="var(--grid)"/>'
        yield _text(sheet.left - 8, y + 4, f"{left}", "end")
    step = next((s for s in _STEPS if sheet.minutes / s < most), _STEPS[-1])
    for number in range(int(sheet.minutes / step) + 1):
        x = sheet.x(number * step)
        yield f'<path d="M{x:.1f} {base:.1f}v5" stroke="var(--ink)"/>'
        yield _text(x, base + 19, f"{number * step:g}", "middle")
    yield f'<path d="M{sheet.left:.1f} {base:.1f}H{end:.1f}" stroke="var(--ink)"/>'
    yield _text(end, base + 37, "minutes", "end")


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    at = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"'
    return f'<text {at} font-size="13" fill="var(--ink)">{escape(words)}</text>'


def _lefts(start: int) -> list[int]:
    """Return the numbers of faults at which there is a line, that at the start among them."""
    return [left for left in _LEFTS if left < 0.8 * start] + [start]


def _line(sheet: _Sheet, points: Sequence[Point], name: str, stroke: str) -> Iterator[str]:
    if len(points) < 2:
        return
    (x, y), *others = [(sheet.x(minutes), sheet.y(left)) for minutes, left in points]
    way = f"M{x:.1f} {y:.1f}" + "".join(f"H{x:.1f}V{y:.1f}" for x, y in others)
    yield f'<path d="{way}" fill="none" stroke="var(--{name})" {stroke}/>'
    yield from (_mark(x, y, name) for x, y in others)


def _mark(x: float, y: float, name: str) -> str:
    if name == "own":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" fill="var(--own)"/>'
    return f'<rect x="{x - 3.5:.1f}" y="{y - 3.5:.1f}" width="7" height="7" fill="var(--good)"/>'


def _named(told: Debrief, sheet: _Sheet) -> Iterator[str]:
    for minutes in told.named_at[-1:]:
        x, base = sheet.x(minutes), sheet.height - sheet.bottom
        way = f"M{x:.1f} {sheet.top:.1f}V{base:.1f}"
        yield f'<path d="{way}" stroke="var(--ink)" stroke-dasharray="2 4"/>'
        late = x > sheet.width - 130
        at, anchor = (x - 6, "end") if late else (x + 6, "start")
        # the lines may run behind it
        yield '<g style="paint-order:stroke" stroke="var(--sheet, none)" stroke-width="6">'
        yield _text(at, sheet.top + 26, "named here", anchor)
        yield "</g>"


def _legend(sheet: _Sheet) -> Iterator[str]:
    yield _text(8, 16, "Faults still possible")
    for x, name, words, stroke in (
        (sheet.width - 190, "own", "yours", 'stroke-width="4"'),
        (sheet.width - 105, "good", "a good one", _DASHED),
    ):
        yield (
            f'<path d="M{x - 26:.1f} 12h22" stroke="var(--{name})" {stroke}/>'
            f"{_mark(x - 15, 12, name)}"
            f"{_text(x + 2, 16, words)}"
        )

"""The heated window: parallel heater lines on glass, along which a probe can walk."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, ClassVar

from annotated_types import Ge, Gt, Le

from circuits.laws import Ohmic
from circuits.spec import Circumstance, Element, Live, Site, Spec, contact, join

FEED, GROUND, FEED_BUS, GROUND_BUS = "feed", "ground", "feed_bus", "ground_bus"

USUAL_VOLT = 12.0
CLEARS = 0.5
"""A line with less than this share of its usual heat stays misted."""


@dataclass(frozen=True, slots=True)
class HeaterGrid(Spec):
    """Heater lines from one bus bar to the other, each bar with a soldered tab.

    A probe touches both tabs and bars and, along the ``probed`` lines, the points between
    their segments: ``line3_1`` is the first point of line 3 from the feed side.

    Attributes
    ----------
    lines : how many there are, numbered from the top.
    line_ohm : of one line.
    segments : equal parts of a probed line, between whose ends it is probed.
    tab_ohm : of each soldered tab.
    """

    kind: ClassVar[str] = "heater_grid"
    sort: ClassVar[str] = "heater grid"

    lines: Annotated[int, Ge(1), Le(40)]
    line_ohm: Annotated[float, Gt(0)]
    probed: tuple[int, ...] = ()
    segments: Annotated[int, Ge(2), Le(12)] = 6
    tab_ohm: Annotated[float, Gt(0)] = 0.002

    def __post_init__(self) -> None:
        wrong = [line for line in self.probed if not 1 <= line <= self.lines]
        if wrong:
            raise ValueError(f"probed names line {wrong[0]}; accepted: 1 to {self.lines}")

    def terminals(self) -> tuple[str, ...]:
        return (FEED, GROUND, *self.probes())

    def probes(self) -> tuple[str, ...]:
        points = (f"line{line}_{n}" for line in self.probed for n in range(1, self.segments))
        return (FEED_BUS, GROUND_BUS, *points)

    def terminal_title(self, terminal: str) -> str:
        words = {
            FEED: "feed tab",
            GROUND: "ground tab",
            FEED_BUS: "feed bar",
            GROUND_BUS: "ground bar",
        }
        line, _, point = terminal.removeprefix("line").partition("_")
        return words.get(terminal) or f"line {line}, point {point}"

    def sites(self) -> tuple[Site, ...]:
        tabs = (FEED, "feed tab"), (GROUND, "ground tab")
        return (
            *(Site(name, title, ("open", "corroded")) for name, title in tabs),
            *(Site(*place, ("line_broken",)) for place in self._places()),
        )

    def _places(self) -> Iterator[tuple[str, str]]:
        """Yield ``(name, words)`` of each place where a line can break."""
        for line in range(1, self.lines + 1):
            if line not in self.probed:
                yield f"line{line}", f"line {line}"
                continue
            ends = ["feed bar", *(f"point {n}" for n in range(1, self.segments)), "ground bar"]
            for n in range(self.segments):
                yield f"line{line}_{n + 1}", f"line {line}, {ends[n]} to {ends[n + 1]}"

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        found = []
        for tab, bar in ((FEED, FEED_BUS), (GROUND, GROUND_BUS)):
            if not at.has("open", tab):
                ohm = self.tab_ohm + at.added_ohm("corroded", site=tab)
                found.append(contact(join(name, tab), join(name, tab), join(name, bar), ohm))
        for line in range(1, self.lines + 1):
            found += self._line(name, line, at)
        return tuple(found)

    def _line(self, name: str, line: int, at: Circumstance) -> Iterator[Element]:
        for site, start, end in self._pieces(line):
            if not at.has("line_broken", site):
                count = self.segments if line in self.probed else 1
                law = Ohmic(self.line_ohm / count)
                # The element is not called after the point: the two would share a name.
                yield Element(join(name, f"{site}.wire"), join(name, start), join(name, end), law)

    def _pieces(self, line: int) -> Iterator[tuple[str, str, str]]:
        """Yield ``(site, start, end)`` of each piece of a line, from the feed bar."""
        if line not in self.probed:
            yield f"line{line}", FEED_BUS, GROUND_BUS
            return
        inner = [f"line{line}_{n}" for n in range(1, self.segments)]
        points = [FEED_BUS, *inner, GROUND_BUS]
        for n in range(self.segments):
            yield f"line{line}_{n + 1}", points[n], points[n + 1]

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        usual = USUAL_VOLT / self.line_ohm
        misted = []
        for line in range(1, self.lines + 1):
            site = next(self._pieces(line))[0]
            if (live.ampere(join(name, f"{site}.wire")) / usual) ** 2 < CLEARS:
                misted.append(str(line))
        if not misted:
            return ("clears", "clears")
        if len(misted) == self.lines:
            return ("misted", "stays misted")
        lines = "line" if len(misted) == 1 else "lines"
        return ("misted_" + "_".join(misted), f"clears but for {lines} {', '.join(misted)}")

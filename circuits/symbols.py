"""The symbols of parts, as a textbook prints them (after IEC 60617, from memory).

A symbol is drawn in (along, across), so that one description serves both directions;
text is never part of it. What a setting changes is changed here.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

import schemdraw.elements as elm
from schemdraw.segments import Segment, SegmentCircle, SegmentPoly

from circuits.drafting.drawn import BATTERY_AXIS, Layout, Placed, Point
from circuits.drafting.shapes import BUS, POST, SHELL, SIDES, Port, Side
from circuits.model import Circuit, Setting
from circuits.parts.switching import Switch

UNIT = 36.0
"""ViewBox units in one unit of schemdraw at half an inch a unit."""
# schemdraw refuses CSS variables, so it draws in stand-ins that are replaced in the text.
INK, PAPER, PART, FAINT = "#fe00ee", "#fe01ee", "#fe02ee", "#fe03ee"
LINE = 1.6
ARM = 30
BOX_ROOM = {"across": 15, "down": 30}
LIFT = 11.0


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

    def line(self, *points: Point, dashed: bool = False, faint: bool = False) -> None:
        """Draw a line through points."""
        path = [self.spot(*p) for p in points]
        colour = FAINT if faint else INK
        style: Literal["--", "-"] = "--" if dashed else "-"
        self.shape.segments.append(Segment(path, color=colour, lw=LINE, ls=style, zorder=3))

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


def sketch(layout: Layout, placed: Placed, circuit: Circuit, setting: Setting) -> Sketch:
    """Return the symbol of a part, an in-line connector or a ground in a setting."""
    drawn = Sketch(layout)
    _DRAWERS.get(placed.block.sort, _device)(drawn, Subject(placed, circuit, setting))
    _shells(drawn, placed, setting)
    for port in placed.block.ports:
        if placed.block.shell(port.side) and not port.cavity:
            drawn.line(placed.at(port), placed.inner(port))
    if drawn.shape.segments:
        drawn.elements.insert(0, drawn.shape)
    return drawn


_Drawer = Callable[[Sketch, Subject], None]
_FUSE: Callable[[], elm.Element2Term] = elm.FuseIEEE
_BATTERY: Callable[[], elm.Element2Term] = elm.Battery


def _ends(placed: Placed) -> tuple[Point, Point]:
    """Return where the first two ports meet the body."""
    one, two = placed.block.ports[:2]
    return placed.inner(one), placed.inner(two)


def _two(element: Callable[[], elm.Element2Term], scale: float, letter: str = "") -> _Drawer:
    def draw(drawn: Sketch, it: Subject) -> None:
        a, b = _straightened(drawn, it.placed)
        drawn.two(element(), a, b, scale)
        if letter:
            drawn.letter(letter, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2)

    return draw


def _straightened(drawn: Sketch, placed: Placed) -> tuple[Point, Point]:
    """Return the two ends of a load's symbol; leads are bent to it if they leave one side."""
    a, b = _ends(placed)
    if placed.block.ports[0].side != placed.block.ports[1].side:
        return a, b
    inward = -placed.block.ports[0].side
    axis = a[0] + inward * 23
    drawn.line(a, (axis, a[1]))
    drawn.line(b, (axis, b[1]))
    return (axis, a[1]), (axis, b[1])


def _fuse(drawn: Sketch, it: Subject) -> None:
    a, b = _ends(it.placed)
    if it.placed.block.name not in it.setting.pulled:
        drawn.two(_FUSE(), a, b, 0.8)
        return
    left, right = sorted((a, b))
    middle, row = (left[0] + right[0]) / 2, left[1]
    for end, way in ((left, -1), (right, 1)):
        clip = middle + way * 17
        drawn.line(end, (clip, row))
        drawn.line((clip, row - 4), (clip, row + 4))
    low, high = (middle - 14.4, row - 14), (middle + 14.4, row - 4)
    drawn.box(low, high, dashed=True)


def _switch(drawn: Sketch, it: Subject) -> None:
    spec = it.circuit.part_by_name[it.placed.block.name].spec
    if not isinstance(spec, Switch) or it.placed.block.sort == "box":
        _box(drawn, it)
        return
    position = it.setting.position(it.placed.block.name, spec.rests)
    closed = [position in c.closed for c in spec.contacts]
    if len(spec.contacts) == 1:
        a, b = _ends(it.placed)
        _arm(drawn, a, b, closed=closed[0])
        return
    _housing(drawn, it.placed)
    lines = _switch_lines(it.placed, spec)
    middle = _arms_middle(it.placed, lines)
    rows = [float(it.placed.rows[row]) for row in it.placed.block.contacts]
    for port in it.placed.block.ports:
        if port.pin in lines:
            used = [r for r, c in zip(rows, spec.contacts, strict=True) if port.pin in (c.a, c.b)]
            _bus(drawn, it.placed.inner(port), lines[port.pin], used)
    for row, item, made in zip(rows, spec.contacts, closed, strict=True):
        ends = (lines[item.a], row), (lines[item.b], row)
        _arm(drawn, *ends, closed=made, middle=middle)


def _arms_middle(placed: Placed, lines: dict[str, float]) -> float:
    """Return the middle of the room that no terminal's line crosses, along."""
    sides = {port.pin: port.side for port in placed.block.ports}
    near = max(x for pin, x in lines.items() if sides[pin] < 0)
    far = min(x for pin, x in lines.items() if sides[pin] > 0)
    return (near + far) / 2


def _switch_lines(placed: Placed, spec: Switch) -> dict[str, float]:
    """Return where inside a housing each terminal's line lies, along."""
    low, high = placed.body
    near, far = placed.block.insets
    found: dict[str, float] = {}
    places: tuple[tuple[Side, float, int], ...] = ((-1, low, near), (1, high, far))
    for side, edge, inset in places:
        pins = [t for c in spec.contacts for t in (c.a, c.b)]
        on = {p.pin for p in placed.block.side_ports(side) if p.pin}
        for number, pin in enumerate(t for t in dict.fromkeys(pins) if t in on):
            found[pin] = edge - side * (inset + BUS * number)
    return found


def _bus(drawn: Sketch, end: Point, x: float, rows: Sequence[float]) -> None:
    """Lead a switch's terminal to the rows of its contacts, with a dot where it branches."""
    drawn.line(end, (x, end[1]))
    spread = sorted({*rows, end[1]})
    if len(spread) > 1:
        drawn.line((x, spread[0]), (x, spread[-1]))
    for row in spread[1:-1]:
        drawn.circle((x, row), 1.8, fill=INK)


def _arm(
    drawn: Sketch,
    a: Point,
    b: Point,
    *,
    closed: bool,
    lift: float = -LIFT,
    middle: float | None = None,
) -> None:
    """Draw a contact: leads, two terminals and the arm, lifted while it is open."""
    way = 1 if b[0] > a[0] else -1
    middle, row = (a[0] + b[0]) / 2 if middle is None else middle, a[1]
    pivot, tip = middle - way * ARM / 2, middle + way * ARM / 2
    drawn.line(a, (pivot, row))
    drawn.line((tip, row), b)
    drawn.line((pivot, row), (tip, row) if closed else (tip - way * 2, row + lift))
    drawn.circle((pivot, row), 2.4)
    drawn.circle((tip, row), 2.4)


def _housing(drawn: Sketch, placed: Placed) -> None:
    low, high = placed.body
    before, after = placed.block.housing
    drawn.box((low, min(placed.rows) - before), (high, max(placed.rows) + after), dashed=True)


def _relay(drawn: Sketch, it: Subject) -> None:
    _housing(drawn, it.placed)
    at = {port.pin: it.placed.inner(port) for port in it.placed.block.ports}
    common, make = at["30"], at["87"]
    middle = (common[0] + make[0]) / 2
    lift = -LIFT
    if "87a" in at:
        lift = _break_contact(drawn, common, make, at["87a"])
        _arm(drawn, common, make, closed=False, lift=lift)
    else:
        _arm(drawn, common, make, closed=False)
    left, right = sorted((at["86"], at["85"]))
    row = left[1]
    drawn.line(left, (middle - 13, row))
    drawn.line((middle + 13, row), right)
    drawn.box((middle - 13, row - 9), (middle + 13, row + 9))
    edge = row - 9 if row > common[1] else row + 9
    drawn.line((middle, edge), (middle, common[1] + lift / 2), dashed=True, faint=True)


def _break_contact(drawn: Sketch, common: Point, make: Point, end: Point) -> float:
    """Draw the contact on which a relay's arm rests; return how far the arm leans to it."""
    way = 1 if make[0] > common[0] else -1
    lean = 13.0 if end[1] > common[1] else -13.0
    x = (common[0] + make[0]) / 2 + way * (ARM / 2 + 1)
    drawn.line(end, (x, end[1]), (x, common[1] + lean))
    drawn.circle((x, common[1] + lean), 2.4)
    return lean


def _battery(drawn: Sketch, it: Subject) -> None:
    axis = it.placed.start + BATTERY_AXIS[drawn.layout.direction]
    first = float(it.placed.rows[0])
    drawn.line((it.placed.end, first), (axis, first))
    drawn.two(_BATTERY(), (axis, first), (axis, first + POST), 0.8)
    drawn.letter("+", axis - 14, first + 15)
    if it.placed.block.wired:
        wire = it.placed.block.wired[0]
        post = f"{it.placed.block.name}.neg"
        far = wire.end if wire.start == post else wire.start
        spot = drawn.layout.handles[far]
        along, across = spot if drawn.layout.direction == "across" else spot[::-1]
        if drawn.layout.direction == "across":
            _bars(drawn, (along, across), (along, across + 12))
        else:
            _bars(drawn, (along, across), (along, across + 14), (along + 10, across + 14))
        return
    drawn.line((axis, first + POST), (it.placed.end, first + POST))


def _ground(drawn: Sketch, it: Subject) -> None:
    port = it.placed.block.ports[0]
    along, across = it.placed.at(port)
    inward = -port.side
    if drawn.layout.direction == "across":
        x = along + inward * 14
        _bars(drawn, (along, across), (x, across), (x, across + 10))
    elif inward > 0:
        _bars(drawn, (along, across), (along + 12, across))
    else:
        _bars(
            drawn,
            (along, across),
            (along - 22, across),
            (along - 22, across + 20),
            (along - 12, across + 20),
        )


def _bars(drawn: Sketch, *lead: Point) -> None:
    """Draw a ground's lead and its three bars, which always lie flat on the page."""
    drawn.line(*lead)
    along, across = lead[-1]
    for number, half in enumerate((9.0, 6.0, 2.5)):
        deep = number * 4.5
        if drawn.layout.direction == "across":
            drawn.line((along - half, across + deep), (along + half, across + deep))
        else:
            drawn.line((along + deep, across - half), (along + deep, across + half))


def _splice(drawn: Sketch, it: Subject) -> None:
    a, b = _ends(it.placed)
    drawn.line(a, b)
    drawn.circle(((a[0] + b[0]) / 2, a[1]), 3.6, fill=INK)


def _limit_switch(drawn: Sketch, it: Subject) -> None:
    """Draw a contact that is closed until the motor opens it."""
    a, b = _ends(it.placed)
    _arm(drawn, a, b, closed=True)


def _device(drawn: Sketch, it: Subject) -> None:
    """Draw a part that has no symbol of its own as a plain box in its wires."""
    a, b = _straightened(drawn, it.placed)
    middle, row = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    drawn.line(a, b)
    drawn.box((middle - 15, row - 12), (middle + 15, row + 12))


def _bell(drawn: Sketch, it: Subject) -> None:
    a, b = _straightened(drawn, it.placed)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    straight = a[1] == b[1]
    dome = [
        (middle[0] + x, middle[1] + y) if straight else (middle[0] - y, middle[1] + x)
        for x, y in _half_round(13.0)
    ]
    drawn.line(a, b)
    drawn.line(*dome)


def _half_round(radius: float) -> list[Point]:
    steps = [math.pi * n / 18 for n in range(19)]
    return [(-radius * math.cos(t), -radius * math.sin(t)) for t in steps]


def _inline(drawn: Sketch, it: Subject) -> None:
    low, high = min(it.placed.rows) - 11, max(it.placed.rows) + 11
    middle = (it.placed.start + it.placed.end) / 2
    gap = 8 if it.placed.block.name in it.setting.unmated else 0
    drawn.box((it.placed.start + 3, low), (middle - gap, high))
    drawn.box((middle + gap, low), (it.placed.end - 3, high))


def _box(drawn: Sketch, it: Subject) -> None:
    low, high = it.placed.body
    room = BOX_ROOM[drawn.layout.direction]
    drawn.box((low, min(it.placed.rows) - room), (high, max(it.placed.rows) + room))


def _shells(drawn: Sketch, placed: Placed, setting: Setting) -> None:
    """Draw the connectors at a part's edge: one shell while mated, two faces apart if not."""
    for side in SIDES:
        edge = placed.start if side < 0 else placed.end
        inward = -side
        for name in dict.fromkeys(p.connector for p in placed.block.side_ports(side)):
            if name:
                ports = [p for p in placed.block.side_ports(side) if p.connector == name]
                rows = [placed.rows[p.row] for p in ports]
                unmated = name in setting.unmated
                _shell(drawn, (edge, inward), rows, unmated=unmated)
                for port in ports if not unmated else ():
                    _through(drawn, placed, port)


def _shell(drawn: Sketch, edge: tuple[float, int], rows: Sequence[int], *, unmated: bool) -> None:
    start, inward = edge
    low, high = min(rows) - 10, max(rows) + 10
    spans = [(-1, 11), (SHELL - 11, SHELL)] if unmated else [(8, 18), (18, 28)]
    for begin, end in spans:
        a, b = sorted((start + inward * begin, start + inward * end))
        drawn.box((a, low), (b, high))


def _through(drawn: Sketch, placed: Placed, port: Port) -> None:
    """Draw the lead from a mated cavity to the part."""
    row, inward = float(placed.rows[port.row]), -port.side
    start = placed.start if port.side < 0 else placed.end
    if port.pin:
        drawn.line((start + inward * 28, row), (start + inward * SHELL, row))


_RESISTOR = _two(elm.ResistorIEC, 0.9)
_DRAWERS: dict[str, _Drawer] = {
    "battery": _battery,
    "bell": _bell,
    "box": _box,
    "diode": _two(elm.Diode, 0.9),
    "fuse": _fuse,
    "ground": _ground,
    "inline": _inline,
    "limit switch": _limit_switch,
    "lamp": _two(elm.Lamp2, 0.72),
    "motor": _two(elm.Source, 0.8, "M"),
    "relay": _relay,
    "resistor": _RESISTOR,
    "heater": _RESISTOR,
    "sender": _two(elm.ResistorVarIEC, 0.9),
    "splice": _splice,
    "switch": _switch,
}

"""The symbols of parts, as a textbook prints them (after IEC 60617, from memory).

Text is never part of a symbol, but for a letter in it. What a setting changes is changed
here.
"""

import math
from collections.abc import Callable, Sequence

import schemdraw.elements as elm

from circuits.drafting.drawn import BATTERY_AXIS, Layout, Placed, Point
from circuits.drafting.shapes import POST, SHELL, SIDES, Port
from circuits.model import Circuit, Setting
from circuits.symbol_contacts import draw_limit_switch, draw_relay, draw_switch
from circuits.symbol_devices import draw_coded_button, draw_gauge, draw_lamps_inside
from circuits.symbol_grid import draw_heater_grid
from circuits.symbol_pen import INK, Sketch, Subject, ends, straightened

BOX_ROOM = {"across": 15, "down": 30}


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


def _two(element: Callable[[], elm.Element2Term], scale: float, letter: str = "") -> _Drawer:
    def draw(drawn: Sketch, it: Subject) -> None:
        a, b = straightened(drawn, it.placed)
        drawn.two(element(), a, b, scale)
        if letter:
            drawn.letter(letter, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2)

    return draw


def _fuse(drawn: Sketch, it: Subject) -> None:
    a, b = ends(it.placed)
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
    a, b = ends(it.placed)
    drawn.line(a, b)
    drawn.circle(((a[0] + b[0]) / 2, a[1]), 3.6, fill=INK)


def _device(drawn: Sketch, it: Subject) -> None:
    """Draw a part that has no symbol of its own as a plain box in its wires."""
    a, b = straightened(drawn, it.placed)
    middle, row = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    drawn.line(a, b)
    drawn.box((middle - 15, row - 12), (middle + 15, row + 12))


def _bell(drawn: Sketch, it: Subject) -> None:
    a, b = straightened(drawn, it.placed)
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
    draw_lamps_inside(drawn, it)


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
    "coded button": draw_coded_button,
    "diode": _two(elm.Diode, 0.9),
    "fuse": _fuse,
    "gauge": draw_gauge,
    "ground": _ground,
    "heater grid": draw_heater_grid,
    "inline": _inline,
    "limit switch": draw_limit_switch,
    "lamp": _two(elm.Lamp2, 0.72),
    "motor": _two(elm.Source, 0.8, "M"),
    "relay": draw_relay,
    "resistor": _RESISTOR,
    "heater": _RESISTOR,
    "sender": _two(elm.ResistorVarIEC, 0.9),
    "splice": _splice,
    "switch": draw_switch,
}

"""Symbols of what opens and closes: switches, relays, limit switches."""

from collections.abc import Sequence

from circuits.drafting.drawn import Placed, Point
from circuits.drafting.shapes import BUS, Side
from circuits.parts.switching import Switch
from circuits.symbol_pen import INK, Sketch, Subject, ends

ARM = 30
LIFT = 11.0
"""How far an open arm is off its contact, across."""


def draw_switch(drawn: Sketch, it: Subject) -> None:
    """Draw a switch in its position: one contact on a row, or several in a housing."""
    spec = it.circuit.part_by_name[it.placed.block.name].spec
    if not isinstance(spec, Switch):
        return
    position = it.setting.position(it.placed.block.name, spec.rests)
    closed = [position in c.closed for c in spec.contacts]
    if len(spec.contacts) == 1:
        a, b = ends(it.placed)
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
        a, b = (lines[item.a], row), (lines[item.b], row)
        _arm(drawn, a, b, closed=made, middle=middle)


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


def draw_relay(drawn: Sketch, it: Subject) -> None:
    """Draw a relay at rest: its coil, its arm, and the link between them."""
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


def draw_limit_switch(drawn: Sketch, it: Subject) -> None:
    """Draw a contact that is closed until the motor opens it."""
    a, b = ends(it.placed)
    _arm(drawn, a, b, closed=True)

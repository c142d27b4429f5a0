"""Symbols of devices with more than one thing inside: lamp clusters, coded buttons, gauges."""

import math

from circuits.drafting.drawn import Point
from circuits.parts.coded import CodedButton
from circuits.parts.lamps import LampCluster
from circuits.symbol_pen import INK, Sketch, Subject, straightened

LAMP = 9.0
NEEDLE = math.radians(50)


def draw_lamps_inside(drawn: Sketch, it: Subject) -> None:
    """Draw the lamps of a cluster at the far end of its box, joined to its ground."""
    spec = it.circuit.part_by_name[it.placed.block.name].spec
    sides = {port.side for port in it.placed.block.ports}
    if not isinstance(spec, LampCluster) or len(sides) > 1 or drawn.layout.direction == "down":
        return
    side = sides.pop()
    low, high = it.placed.body
    far = low if side > 0 else high
    bus, lamp, near = (far + side * step for step in (10, 26, 40))
    rows = {p.pin: float(it.placed.rows[p.row]) for p in it.placed.block.ports if p.pin}
    for name, row in rows.items():
        drawn.line((near, row), (bus, row))
        if name != "ground":
            _lamp(drawn, (lamp, row))
    ordered = sorted(rows.values())
    drawn.line((bus, ordered[0]), (bus, ordered[-1]))
    for row in ordered[1:-1]:
        drawn.circle((bus, row), 1.8, fill=INK)


def _lamp(drawn: Sketch, centre: Point) -> None:
    """Draw a lamp: a circle with a cross."""
    drawn.circle(centre, LAMP)
    x, y, reach = *centre, LAMP * math.sqrt(0.5)
    for way in (-1, 1):
        drawn.line((x - reach, y - way * reach), (x + reach, y + way * reach), over=True)


def _is_pressed(it: Subject) -> bool:
    name = it.placed.block.name
    spec = it.circuit.part_by_name[name].spec
    return isinstance(spec, CodedButton) and it.setting.position(name, spec.rests) in spec.closed


def draw_coded_button(drawn: Sketch, it: Subject) -> None:
    """Draw a push in its position and the resistor behind it."""
    left, right = sorted(straightened(drawn, it.placed))
    row, middle = left[1], (left[0] + right[0]) / 2
    if row != right[1]:
        drawn.line(left, right)
        drawn.box(
            (middle - 4.5, (row + right[1]) / 2 - 9), (middle + 4.5, (row + right[1]) / 2 + 9)
        )
        return
    closed = _is_pressed(it)
    pivot, tip = middle - 20, middle - 3
    drawn.line(left, (pivot, row))
    drawn.line((pivot, row), (tip, row) if closed else (tip - 2, row - 8))
    drawn.line((tip, row), (middle + 3, row))
    drawn.box((middle + 3, row - 4.5), (middle + 21, row + 4.5))
    drawn.line((middle + 21, row), right)
    for x in (pivot, tip):
        drawn.circle((x, row), 2.2)


def draw_gauge(drawn: Sketch, it: Subject) -> None:
    """Draw a gauge: a circle with a needle."""
    a, b = straightened(drawn, it.placed)
    middle, row = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    drawn.line(a, b)
    drawn.circle((middle, row), 15)
    tail = (middle - 8 * math.cos(NEEDLE), row + 8 * math.sin(NEEDLE))
    tip = (middle + 9 * math.cos(NEEDLE), row - 9 * math.sin(NEEDLE))
    drawn.line(tail, tip, over=True)
    for turn in (NEEDLE - 0.5, NEEDLE + 0.5):
        barb = (tip[0] - 6 * math.cos(turn), tip[1] + 6 * math.sin(turn))
        drawn.line(barb, tip, over=True)

"""The symbol of a heated window: glass, bars, lines, and the numbers of the probed ones."""

from circuits.drafting.grids import BAR, glass_half, line_level
from circuits.parts.window import HeaterGrid
from circuits.symbol_pen import Sketch, Subject, ends

BAR_HALF = 2.0


def draw_heater_grid(drawn: Sketch, it: Subject) -> None:
    """Draw a heated window as one sees it on the glass."""
    spec = it.circuit.part_by_name[it.placed.block.name].spec
    if not isinstance(spec, HeaterGrid):
        return
    low, high = it.placed.body
    row, half = float(it.placed.rows[0]), glass_half(spec)
    drawn.box((low, row - half), (high, row + half))
    bars = low + BAR, high - BAR
    for end in ends(it.placed):
        drawn.line(end, (min(bars, key=lambda x: abs(x - end[0])), row))
    levels = {line: row + line_level(spec, line) for line in range(1, spec.lines + 1)}
    for level in levels.values():
        drawn.line((bars[0], level), (bars[1], level))
    for bar in bars:
        for shift in (-BAR_HALF, 0.0, BAR_HALF):
            drawn.line((bar + shift, levels[1]), (bar + shift, levels[spec.lines]))
    for line in spec.probed:
        drawn.letter(str(line), low + BAR / 2, levels[line])

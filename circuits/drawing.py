"""A circuit's drawing as SVG, with handles for leads, clamp and eyes.

``draw`` returns text in viewBox units, without width and height. On a screen its colours
are CSS variables with light fallbacks: ``--ink``, ``--paper``, ``--part`` (fill of
housings), ``--faint`` (dashed outlines), ``--wire-BK`` ... ``--wire-TQ``, ``--edge-BK`` and
``--edge-WH`` (see ``circuits.palette.css_variables``), and ``--font``.

====================================  ================================================
``g.tp[data-tp][role=button]``        a test point, holding ``circle.hit``, ``circle.dot``
``g.wire[data-wire]``                 a wire, holding ``path.wire-hit[role=button]``
``g.part[data-part]``                 a part, an in-line connector or a ground
``g.jumper[data-jumper]``             a jumper lead with its fuse, over wires and parts
``.closed``                           what lies in a place that may not be reached, dimmed
``text.title``, ``.note``, ``.wire``  letters
====================================  ================================================
"""

import math
import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Literal
from xml.etree import ElementTree as ET
from xml.sax.saxutils import escape, quoteattr

import schemdraw
import schemdraw.backends.svg as backend
from schemdraw.types import BBox

from circuits.drafting.drawn import Label, Layout, Placed, Point, Trace
from circuits.drafting.flow import cavity_of
from circuits.drafting.shapes import NOTE_LINE, TITLE_LINE, Direction, short_name
from circuits.jumper_lines import jumper_svg, placed_jumpers
from circuits.layout import LEAST_SCALE, LEAST_TARGET_PX, lay_out
from circuits.model import AS_FOUND, Circuit, Connector, Part, Setting, Wire
from circuits.palette import EDGES, FONT, Theme, codes, colour_words, paint
from circuits.points import cable_ends, exposed_points
from circuits.spec import BODY
from circuits.symbol_pen import FAINT, INK, PAPER, PART, Sketch
from circuits.symbols import sketch

schemdraw.use("svg")
backend.config.text = "text"

HIT = LEAST_TARGET_PX / LEAST_SCALE / 2
DOT = 4.3
DIM = 0.4
LIFTED, LIFTED_SHARE = 36.0, 0.8
"""How much of a cable's first piece bends away from its post, at most."""
WIRE_WIDTH, TRACER_WIDTH = 2.8, 1.2
STAND_INS = {INK: "ink", PAPER: "paper", PART: "part", FAINT: "faint"}


@lru_cache(maxsize=256)
def draw(
    circuit: Circuit,
    setting: Setting = AS_FOUND,
    *,
    theme: Theme = "screen",
    direction: Direction = "across",
    closed: tuple[str, ...] = (),
) -> str:
    """Return the drawing of a circuit in a setting as SVG text.

    Parameters
    ----------
    theme : ``screen`` with CSS variables and handles' full markup, ``print`` with colours.
    direction : ``across`` with the feed on the left, ``down`` with the feed at the top.
    closed : names of places that may not be reached; what lies there is dimmed.

    Raises
    ------
    CircuitError
        If a circuit's file cannot be drawn.
    """
    layout = lay_out(circuit, direction)
    pen = _Pen(circuit, setting, theme, layout, closed)
    return "".join(pen.svg())


class _Pen:
    def __init__(
        self,
        circuit: Circuit,
        setting: Setting,
        theme: Theme,
        layout: Layout,
        closed: tuple[str, ...],
    ) -> None:
        self.circuit, self.setting, self.theme, self.layout = circuit, setting, theme, layout
        self.closed = closed
        things: tuple[Part | Connector, ...] = (*circuit.parts, *circuit.connectors)
        self.dim = {thing.name for thing in things if thing.place in closed}

    def paint(self, name: str) -> str:
        return paint(name, self.theme)

    def svg(self) -> Iterator[str]:
        view = " ".join(f"{number:g}" for number in self.layout.view)
        yield f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" role="group"'
        yield f' class="circuit {self.layout.direction}" font-family="{self._font()}"'
        yield f" aria-label={quoteattr(self.circuit.title)}>"
        # Where wires share a piece, plain colours lie on striped ones and the first on top.
        wires = self.circuit.wire_by_name
        order = {t.wire: (-len(wires[t.wire].colour), -n) for n, t in enumerate(self.layout.traces)}
        for trace in sorted(self.layout.traces, key=lambda t: order[t.wire]):
            yield from self._wire(trace)
        for x, y in self.layout.dots:
            yield f'<circle class="join" cx="{x:g}" cy="{y:g}" r="3.4" fill="{self.paint("ink")}"/>'
        for placed in self.layout.placed:
            yield self._part(placed)
        leads = placed_jumpers(self.setting.jumpers, self.layout)
        yield from jumper_svg(leads, self.paint("ink"), self.paint("paper"))
        for label in self.layout.labels:
            yield self._text(label)
        yield from self._handles()
        yield "</svg>"

    def _font(self) -> str:
        return f"var(--font, {FONT})" if self.theme == "screen" else FONT

    # --- wires

    def _wire(self, trace: Trace) -> Iterator[str]:
        wire = self.circuit.wire_by_name[trace.wire]
        path = _path(self._lifted(wire, trace))
        main, *tracer = codes(wire.colour)
        line = 'fill="none" stroke-linejoin="round"'
        yield f'<g class="wire" data-wire="{escape(wire.name)}">'
        if main in EDGES:
            edge = self.paint(f"edge-{main}")
            yield f'<path d="{path}" {line} stroke="{edge}" stroke-width="{WIRE_WIDTH + 1.6:g}"/>'
        colour = self.paint(f"wire-{main}")
        yield f'<path class="core" d="{path}" {line} stroke="{colour}"'
        yield f' stroke-width="{WIRE_WIDTH}"/>'
        for code in tracer:
            colour = self.paint(f"wire-{code}")
            yield f'<path d="{path}" {line} stroke="{colour}" stroke-width="{TRACER_WIDTH}"'
            yield ' stroke-dasharray="7 4"/>'
        own, words = _path(trace.own), quoteattr(wire_words(self.circuit, wire))
        yield f'<path class="wire-hit" d="{own}" {line} stroke="transparent" stroke-width="14"'
        yield f' pointer-events="stroke" role="button" tabindex="-1" aria-label={words}/></g>'

    def _lifted(self, wire: Wire, trace: Trace) -> tuple[Point, ...]:
        """Return a wire's path; a negative lead that is off is bent away from its post."""
        ends = cable_ends(self.circuit)
        post = next((end for end in (wire.start, wire.end) if end in ends), "")
        path, handles = trace.path, self.layout.handles
        if not (self.setting.isolated and post):
            return path
        if path[0] != handles[post]:
            path = path[::-1]
        (x, y), (next_x, next_y) = path[:2]
        share = min(LIFTED, LIFTED_SHARE * math.dist(*path[:2])) / math.dist(*path[:2])
        bend = (x + share * (next_x - x), y + share * (next_y - y))
        return (handles[ends[post]], bend, *path[1:])

    # --- parts

    def _part(self, placed: Placed) -> str:
        drawn = sketch(self.layout, placed, self.circuit, self.setting)
        nodes = "".join(_nodes(drawn))
        for stand_in, name in STAND_INS.items():
            nodes = nodes.replace(stand_in, self.paint(name))
        for text, (x, y) in drawn.letters:
            nodes += (
                f'<text x="{x:g}" y="{y:g}" font-size="13" text-anchor="middle"'
                f' dominant-baseline="central" fill="{self.paint("ink")}">{text}</text>'
            )
        name = placed.block.name
        kind, dimmed = _dimmed("part", closed=name in self.dim)
        return f'<g class="{kind}" data-part="{escape(name)}"{dimmed}>{nodes}</g>'

    # --- letters and handles

    def _text(self, label: Label) -> str:
        x = label.x + {"start": 0.0, "middle": label.width / 2, "end": label.width}[label.anchor]
        line = TITLE_LINE if label.kind == "title" else NOTE_LINE
        weight = ' font-weight="600"' if label.kind == "title" else ""
        spans = "".join(
            f'<tspan x="{x:g}" y="{label.y + line * (n + 0.78):g}">{escape(text)}</tspan>'
            for n, text in enumerate(label.lines)
        )
        kind, dimmed = _dimmed(label.kind, closed=label.owner in self.dim)
        return (
            f'<text class="{kind}" font-size="{label.size:g}" text-anchor="{label.anchor}"'
            f'{weight}{dimmed} fill="{self.paint("ink")}">{spans}</text>'
        )

    def _handles(self) -> Iterator[str]:
        fill, stroke = self.paint("paper"), self.paint("ink")
        for point in exposed_points(self.circuit, self.setting):
            x, y = self.layout.handles[point.name]
            shut = point.place in self.closed
            kind, dimmed = _dimmed("tp", closed=shut)
            title = f"{point.title}, closed in this job" if shut else point.title
            yield f'<g class="{kind}" data-tp="{escape(point.name)}" role="button" tabindex="-1"'
            yield f' aria-label={quoteattr(title)} transform="translate({x:g} {y:g})"{dimmed}>'
            yield f'<circle class="hit" r="{HIT:.4g}" fill="transparent"/>'
            yield f'<circle class="dot" r="{DOT}" fill="{fill}" stroke="{stroke}"'
            yield ' stroke-width="1.5"/></g>'


def _dimmed(kind: str, *, closed: bool) -> tuple[str, str]:
    """Return the class of an element and the attribute that dims it if it is closed."""
    return (f"{kind} closed", f' opacity="{DIM:g}"') if closed else (kind, "")


def _nodes(drawn: Sketch) -> Iterator[str]:
    """Draw a sketch and return its SVG nodes."""
    figure = backend.Figure(bbox=BBox(0, 0, 1, 1), inches_per_unit=0.5)
    for element in drawn.elements:
        element._place((0, 0), 0, **_STYLE)
        element._draw(figure)
    for _, node in sorted(figure.svgelements, key=lambda pair: pair[0]):
        # schemdraw 0.23 writes a dash array of "-" for solid lines, which is not valid.
        style = re.sub(r"stroke-dasharray:-;", "", node.get("style", ""))
        node.set("style", style)
        yield ET.tostring(node, encoding="unicode")


_STYLE = {"unit": 3.0, "lw": 1.6, "color": INK, "ls": "-", "fontsize": 12.0}


def _path(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points)


def wire_words(circuit: Circuit, wire: Wire) -> str:
    """Return a wire in words: ``W4, blue, F1 to C1 cavity 2``."""
    ends = " to ".join(_end_words(circuit, end) for end in (wire.start, wire.end))
    return f"{wire.name}, {colour_words(wire.colour)}, {ends}"


def _end_words(circuit: Circuit, terminal: str) -> str:
    if terminal == BODY:
        return "body"
    connector, number = cavity_of(circuit, terminal)
    if connector:
        side = f", {terminal.partition('@')[2]} side" if connector.inline else ""
        return f"{connector.name} cavity {number}{side}"
    name, _, pin = terminal.partition(".")
    part = circuit.part_by_name[name]
    words = short_name(part)
    words = words if words == name else words.lower()
    if part.spec.sort == "battery":
        return f"{words} {part.spec.terminal_title(pin)}"
    return f"{words} {pin}" if part.spec.sort in ("relay", "switch") else words


__all__ = ["Direction", "Literal", "Theme", "draw", "wire_words"]

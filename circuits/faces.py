"""The faces of a connector as SVG: numbered cavities, each with a handle for a lead.

A mated connector that plugs into a part shows the side its wires enter, for probing from
the back. Unmated, both faces lie side by side, seen from where they part; the harness
face is then turned over, as it is in the hand. An in-line connector always shows both.
Handles, colours and fonts are those of ``circuits.drawing``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from xml.sax.saxutils import escape, quoteattr

from circuits.drafting.shapes import text_width
from circuits.model import AS_FOUND, Circuit, CircuitError, Connector, Setting
from circuits.palette import EDGES, FONT, Theme, codes, paint
from circuits.points import exposed_points, nearest

CELL_W, CELL_H, GAP, PAD = 62, 60, 8, 14
LATCH_H, TITLE_H, CAPTION_LINE, BETWEEN = 12, 26, 16, 26
HIT, DOT = 26.0, 6.0


@dataclass(frozen=True, slots=True)
class Face:
    """One face to draw: which, from where, and whether its cavities run right to left."""

    name: str
    caption: tuple[str, str]
    mirrored: bool
    back: bool
    """Whether its points are those of a mated connector, ``C1.4``."""


@lru_cache(maxsize=256)
def draw_face(
    circuit: Circuit, connector: str, setting: Setting = AS_FOUND, *, theme: Theme = "screen"
) -> str:
    """Return the faces of a connector that can be seen in a setting, as SVG text.

    Raises
    ------
    CircuitError
        If the circuit has no connector of this name.
    """
    known = circuit.connector_by_name
    if connector not in known:
        raise CircuitError(
            f"connector {connector!r}: {circuit.name} has none such{nearest(connector, known)}"
        )
    return "".join(_Sheet(circuit, known[connector], setting, theme).svg())


def faces_of(connector: Connector, *, mated: bool) -> tuple[Face, ...]:
    """Return the faces that can be seen, with what one is looking at."""
    near, far = connector.faces
    if mated and not connector.inline:
        return (Face(near, ("Mated", "seen from the wire side"), mirrored=False, back=True),)
    first, second = f"{near.capitalize()} side", f"{far.capitalize()} side"
    if mated:
        words = "mated, seen from its wires"
        return (
            Face(near, (first, words), mirrored=False, back=False),
            Face(far, (second, words), mirrored=True, back=False),
        )
    words = "unmated, looking into its face"
    return (
        Face(near, (first, words), mirrored=True, back=False),
        Face(far, (second, words), mirrored=False, back=False),
    )


class _Sheet:
    def __init__(
        self, circuit: Circuit, connector: Connector, setting: Setting, theme: Theme
    ) -> None:
        self.circuit, self.connector, self.theme = circuit, connector, theme
        self.faces = faces_of(connector, mated=connector.name not in setting.unmated)
        self.points = {p.name: p for p in exposed_points(circuit, setting)}
        self.columns = max(1, min(connector.columns, len(connector.labels)))
        self.rows = -(-len(connector.labels) // self.columns)
        self.width = self.columns * (CELL_W + GAP) - GAP + 2 * PAD
        self.height = self.rows * (CELL_H + GAP) - GAP + 2 * PAD
        captions = [line for face in self.faces for line in face.caption]
        self.pitch = max(self.width, round(max(text_width(c, 12) for c in captions)) + 8)
        self.pitch += BETWEEN

    def paint(self, name: str) -> str:
        return paint(name, self.theme)

    def svg(self) -> Iterator[str]:
        title = f"{self.connector.name}  {self.connector.title}"
        wide = max(self.pitch * len(self.faces) - BETWEEN, round(text_width(title, 14) * 1.1))
        high = TITLE_H + LATCH_H + self.height + 2 * CAPTION_LINE + 8
        font = f"var(--font, {FONT})" if self.theme == "screen" else FONT
        yield '<svg xmlns="http://www.w3.org/2000/svg" role="group" class="face"'
        yield f' viewBox="-6 -6 {wide + 12} {high + 12}" font-family="{font}"'
        yield f" aria-label={quoteattr(title)}>"
        yield self._text(title, 0, 14, 14, weight=600, anchor="start")
        for number, face in enumerate(self.faces):
            left = self.pitch * number + (self.pitch - BETWEEN - self.width) / 2
            yield from self._housing(face, left)
        yield "</svg>"

    def _housing(self, face: Face, left: float) -> Iterator[str]:
        top, middle = TITLE_H + LATCH_H, left + self.width / 2
        ink, part = self.paint("ink"), self.paint("part")
        line = f'stroke="{ink}" stroke-width="2"'
        yield f'<rect class="latch" x="{middle - 26:g}" y="{TITLE_H}" width="52"'
        yield f' height="{LATCH_H + 6}" rx="3" fill="{ink}"/>'
        yield f'<rect class="housing" x="{left:g}" y="{top}" width="{self.width}"'
        yield f' height="{self.height}" rx="12" fill="{part}" {line}/>'
        for number in self.connector.cavities():
            yield from self._cavity(face, number, left + PAD, top + PAD)
        under = top + self.height + CAPTION_LINE
        for number, words in enumerate(face.caption):
            weight = 600 if number == 0 else 400
            yield self._text(words, middle, under + CAPTION_LINE * number, 12, weight=weight)

    def _cavity(self, face: Face, number: int, left: float, top: float) -> Iterator[str]:
        row, column = divmod(number - 1, self.columns)
        if face.mirrored:
            column = self.columns - 1 - column
        x, y = left + column * (CELL_W + GAP), top + row * (CELL_H + GAP)
        ink, paper = self.paint("ink"), self.paint("paper")
        yield f'<g class="cavity"><rect x="{x:g}" y="{y:g}" width="{CELL_W}" height="{CELL_H}"'
        yield f' rx="6" fill="{paper}" stroke="{ink}" stroke-width="1.2"/>'
        yield self._text(str(number), x + 6, y + 17, 14, weight=600, anchor="start")
        colours = self._colours(face, number)
        words = "+".join(colours) if colours else self._bare(face, number)
        size = 12 if text_width(words, 12) < CELL_W - 24 else 10
        yield self._text(words, x + CELL_W - 6, y + 16.5, size, anchor="end")
        if colours:
            yield from self._swatch(colours[0], x + 6, y + CELL_H - 11)
        yield "</g>"
        yield from self._handle(face, number, x + CELL_W / 2, y + 34)

    def _colours(self, face: Face, number: int) -> list[str]:
        """Return the colours of the wires in a cavity."""
        node = self.connector.face(number, face.name)
        return [
            wire.colour
            for wire in self.circuit.wires
            if node in (self.circuit.node(wire.start), self.circuit.node(wire.end))
        ]

    def _bare(self, face: Face, number: int) -> str:
        """Return what to say of a cavity without a wire: a part's pin, or empty."""
        pins = self.connector.pins
        is_pin = pins and face.name == self.connector.faces[1] and pins[number - 1]
        return "pin" if is_pin else "empty"

    def _swatch(self, colour: str, x: float, y: float) -> Iterator[str]:
        main, *tracers = codes(colour)
        wide = CELL_W - 12
        edge = self.paint(f"edge-{main}" if main in EDGES else f"wire-{main}")
        yield f'<rect x="{x:g}" y="{y:g}" width="{wide}" height="6" rx="3"'
        yield f' fill="{self.paint(f"wire-{main}")}" stroke="{edge}" stroke-width="1"/>'
        for code in tracers:
            yield f'<path d="M{x + 3:g} {y + 3:g}h{wide - 6}" stroke-width="2.4"'
            yield f' stroke="{self.paint(f"wire-{code}")}" stroke-dasharray="7 5"/>'

    def _handle(self, face: Face, number: int, x: float, y: float) -> Iterator[str]:
        back = f"{self.connector.name}.{number}"
        name = back if face.back else self.connector.face(number, face.name)
        point = self.points[name]
        yield f'<g class="tp" data-tp="{escape(name)}" role="button" tabindex="-1"'
        yield f' aria-label={quoteattr(point.title)} transform="translate({x:g} {y:g})">'
        yield f'<circle class="hit" r="{HIT:g}" fill="transparent"/>'
        yield f'<circle class="dot" r="{DOT:g}" fill="{self.paint("paper")}"'
        yield f' stroke="{self.paint("ink")}" stroke-width="2"/></g>'

    def _text(
        self,
        words: str,
        x: float,
        y: float,
        size: float,
        *,
        weight: int = 400,
        anchor: str = "middle",
    ) -> str:
        return (
            f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" font-weight="{weight}"'
            f' text-anchor="{anchor}" fill="{self.paint("ink")}">{escape(words)}</text>'
        )

"""Colours of drawings: ink, paper and the wires by their IEC 60757 letters.

A screen's drawing names CSS variables, so that one drawing serves a light and a dark
page; a printed one carries the light colours themselves.
"""

from typing import Literal

Theme = Literal["screen", "print"]
FONT = "'DejaVu Sans', Verdana, sans-serif"

COLOUR_WORDS = {
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "TQ": "turquoise",
}
"""IEC 60757 letter codes (from memory)."""

INK = {"ink": ("#1b2528", "#e9ece6"), "paper": ("#fcfbf7", "#161d1f")}
SURFACES = {
    "part": ("#edf1ec", "#243032"),
    "faint": ("#6b7678", "#9aa5a5"),
}
WIRES = {
    "BK": ("#1d1d1d", "#101010"),
    "BN": ("#7a4a1e", "#c08a58"),
    "RD": ("#c22a23", "#f0695f"),
    "OG": ("#bf6a00", "#f29a3c"),
    "YE": ("#94800a", "#efd94c"),
    "GN": ("#18794e", "#4fc088"),
    "BU": ("#1f5fae", "#6ea9ee"),
    "VT": ("#7a3ea3", "#c08ae4"),
    "GY": ("#6d767b", "#a5aeb2"),
    "WH": ("#ffffff", "#ffffff"),
    "PK": ("#c2558c", "#f3a0c8"),
    "TQ": ("#0e7f86", "#4cc9cf"),
}
EDGES = {"BK": ("transparent", "#e9ece6"), "WH": ("#1b2528", "transparent")}
"""Wires that one of the two grounds would swallow: they are drawn with an edge."""


def css_variables(dark: bool) -> dict[str, str]:
    """Return the CSS variables of a screen's drawings with their colours."""
    index = 1 if dark else 0
    found = {f"--{name}": pair[index] for name, pair in {**INK, **SURFACES}.items()}
    found.update({f"--edge-{code}": pair[index] for code, pair in EDGES.items()})
    found.update({f"--wire-{code}": pair[index] for code, pair in WIRES.items()})
    return found


def paint(name: str, theme: Theme) -> str:
    """Return a colour by its variable's name: ``ink``, ``wire-BU``.

    >>> paint("ink", "print"), paint("ink", "screen")
    ('#1b2528', 'var(--ink, #1b2528)')
    """
    colour = css_variables(dark=False)[f"--{name}"]
    return colour if theme == "print" else f"var(--{name}, {colour})"


def codes(colour: str) -> tuple[str, ...]:
    """Return a wire's colour codes, the main one first.

    >>> codes("OGBK")
    ('OG', 'BK')
    """
    return tuple(colour[n : n + 2] for n in range(0, len(colour), 2))


def colour_words(colour: str) -> str:
    """Return a wire's colour in words.

    >>> colour_words("OGBK")
    'orange and black'
    """
    return " and ".join(COLOUR_WORDS.get(code, code) for code in codes(colour))

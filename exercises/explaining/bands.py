"""The words of what a meter would have shown: ``about 0 V``, ``11.8 to 12.9 V``, ``OL``."""

import math
from collections.abc import Iterable, Sequence

from circuits.measurement import LAMP_WORDS
from circuits.meter import FUNCTIONS, show
from exercises.evidence import Evidence
from exercises.shown import reading_text

Stretch = tuple[float, float]

NIL = {"V": 0.1, "Ω": 0.5, "A": 0.1}
"""What a technician calls nothing, by unit (common practice, no source)."""

CLOSE = 0.1
"""A band so near to what was shown, as a share of either, is told to the last digit."""

NARROW = 0.1
"""A band no wider than this share of its middle is told by its middle."""

_COARSE = ((1000.0, 0), (100.0, 0), (1.0, 1), (0.0, 2))
"""Decimals of a figure from some size on, where the last digit does not matter."""

_PREFIXES = ((1e6, "M"), (1e3, "k"))


def merged(stretches: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """Return stretches in order, those that overlap made one.

    >>> merged([(3.0, 5.0), (0.0, 1.0), (0.5, 2.0)])
    ((0.0, 2.0), (3.0, 5.0))
    """
    found: list[Stretch] = []
    for low, high in sorted(stretches):
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return tuple(found)


def band_words(piece: Evidence, stretches: Sequence[Stretch]) -> str:
    """Return in words what would have been read in place of what was."""
    ohms = piece.what is not None and FUNCTIONS[piece.what.instrument].unit == "Ω"
    least = 0.0 if ohms else -math.inf
    told = ((max(low, least), max(high, least)) for low, high in stretches)
    return " or ".join(_stretch_words(piece, stretch) for stretch in told)


def _stretch_words(piece: Evidence, stretch: Stretch) -> str:
    instrument = piece.what.instrument if piece.what else "volts"
    unit, shown = FUNCTIONS[instrument].unit, piece.shown.value if piece.shown else None
    if unit == "%":
        return range_words([_lamp_word(end) for end in stretch])
    if stretch[1] == math.inf:
        return "OL" if stretch[0] == math.inf else f"{coarse(stretch[0], unit)} or more, up to OL"
    if shown is not None and (stretch[0] > shown or stretch[1] < shown):
        near = _near_end(stretch, shown, NIL[unit])
        if near is not None:
            exact = reading_text(show(instrument, near).display, unit)
            return range_words([exact if end == near else coarse(end, unit) for end in stretch])
    return _loose(stretch, unit)


def _near_end(stretch: Stretch, shown: float, least: float) -> float | None:
    """Return the end of a band that is so near to what was shown that only figures part them."""
    end = min(stretch, key=lambda end: abs(end - shown))
    return end if abs(end - shown) < CLOSE * max(abs(end), abs(shown), least) else None


def _loose(stretch: Stretch, unit: str) -> str:
    low, high = stretch
    if -NIL[unit] <= low and high <= NIL[unit]:
        return f"about 0 {unit}"
    if high - low <= NARROW * abs(low + high) / 2:
        return f"about {coarse((low + high) / 2, unit)}"
    return range_words([coarse(end, unit) for end in stretch])


def coarse(value: float, unit: str) -> str:
    """Return a value as one says it aloud.

    >>> coarse(12.5321, "V"), coarse(0.0123, "A"), coarse(44_210.0, "Ω")
    ('12.5 V', '12 mA', '44.2 kΩ')
    """
    size = abs(value)
    if unit == "A" and 0 < size < 1:
        return f"{1000 * value:.0f} mA"
    scale, prefix = next(((s, p) for s, p in _PREFIXES if size >= s), (1.0, ""))
    size /= scale
    places = next(places for least, places in _COARSE if size >= least)
    rounded = round(value / scale, places) + 0.0
    return f"{rounded:g} {prefix}{unit}"


def range_words(texts: Sequence[str]) -> str:
    """Return two ends as one, the unit only once where both have the same.

    >>> range_words(["11.8 V", "12.9 V"]), range_words(["dim", "dim"])
    ('11.8 to 12.9 V', 'dim')
    >>> range_words(["0.9 Ω", "1.2 kΩ"])
    '0.9 Ω to 1.2 kΩ'
    """
    first, last = texts
    if first == last:
        return first
    number, _, unit = first.partition(" ")
    return f"{number if unit and last.endswith(f' {unit}') else first} to {last}"


def _lamp_word(light: float) -> str:
    return next((word for least, word in LAMP_WORDS if light >= least), LAMP_WORDS[-1][1])

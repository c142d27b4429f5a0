"""A gauge, the sender that it reads and the stabiliser that feeds it."""

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Junction, Ohmic
from circuits.parts.switching import Positioned
from circuits.spec import CONTACT_OHM, Circumstance, Element, Live, Site, Spec, contact, join

LEAST_OHM = 0.1
"""What a sender at the end of its track is left with."""

ZENER_DROP = 0.9
"""Volts of the silicon junction within the reference, at its usual current."""
ZENER_OHM = 0.5

OFF_SCALE = 0.12
"""A needle this share of the scale beyond an end is seen to be off it."""


@dataclass(frozen=True, slots=True)
class Sender(Positioned):
    """A float with a resistance track: ``ohms`` at each position, which is the level.

    Positions go from empty to full, an equal way apart; in between, ohms are in proportion.
    """

    kind: ClassVar[str] = "sender"
    sort: ClassVar[str] = "sender"

    ohms: tuple[Annotated[float, Gt(0)], ...] = field(kw_only=True)

    def __post_init__(self) -> None:
        Positioned.__post_init__(self)
        if len(self.ohms) != len(self.positions) or len(self.ohms) < 2:
            raise ValueError(
                f"ohms has {len(self.ohms)} values; accepted: one for each of at least two "
                f"positions, here {len(self.positions)}"
            )

    def terminal_title(self, terminal: str) -> str:
        return {"a": "signal", "b": "ground"}[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("track", "track", ("open", "high_resistance", "shorted")),
            Site("float", "float", ("float_stuck", "float_bent")),
        )

    def level(self, at: Circumstance) -> float:
        """Return where the float is, as a share of its travel."""
        stuck = at.severity("float_stuck", "float")
        if stuck is not None:
            return stuck
        index = self.positions.index(at.position or self.rests)
        bent = at.severity("float_bent", "float") or 0.0
        return min(max(index / (len(self.positions) - 1) + bent, 0.0), 1.0)

    def track_ohm(self, share: float) -> float:
        """Return the ohms of the track at a share of the float's travel."""
        along = share * (len(self.ohms) - 1)
        low = min(int(along), len(self.ohms) - 2)
        return self.ohms[low] + (along - low) * (self.ohms[low + 1] - self.ohms[low])

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("open", "track"):
            return ()
        ohm = self.track_ohm(self.level(at)) + at.added_ohm("high_resistance", site="track")
        short = at.severity("shorted", "track")
        if short is not None:
            ohm = ohm * short / (ohm + short)
        law = Ohmic(max(ohm, LEAST_OHM))
        return (Element(name, join(name, "a"), join(name, "b"), law),)


@dataclass(frozen=True, slots=True)
class Gauge(Spec):
    """A gauge with a heated strip: its needle follows its current, whichever way that flows.

    Attributes
    ----------
    ohm : its own resistance in ohms.
    scale_a : amperes at equal steps along the scale, from its low end to its high end.
    words : what is read at each quarter of the scale.
    """

    kind: ClassVar[str] = "gauge"
    sort: ClassVar[str] = "gauge"

    ohm: Annotated[float, Gt(0)]
    scale_a: tuple[Annotated[float, Gt(0)], ...]
    words: tuple[str, str, str, str, str] = ("empty", "a quarter", "half", "three quarters", "full")

    def __post_init__(self) -> None:
        rising = all(low < high for low, high in pairwise(self.scale_a))
        if len(self.scale_a) < 2 or not rising:
            raise ValueError("scale_a does not rise; accepted: two amperes or more, rising")

    def sites(self) -> tuple[Site, ...]:
        return (Site("", "", ("open", "high_resistance", "shorted")),)

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("open"):
            return ()
        ohm = self.ohm + at.added_ohm("high_resistance")
        found = (Element(name, join(name, "a"), join(name, "b"), Ohmic(ohm)),)
        short = at.severity("shorted")
        if short is None:
            return found
        return (*found, Element(f"{name}.short", join(name, "a"), join(name, "b"), Ohmic(short)))

    def needle(self, ampere: float) -> float:
        """Return where the needle stands, as a share of the scale; beyond it, as it would."""
        steps = len(self.scale_a) - 1
        low = sum(ampere >= mark for mark in self.scale_a[1:-1])
        start, end = self.scale_a[low], self.scale_a[low + 1]
        return (low + (ampere - start) / (end - start)) / steps

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        share = self.needle(abs(live.ampere(name)))
        if share < -OFF_SCALE:
            return ("below", f"below {self.words[0]}")
        if share > 1 + OFF_SCALE:
            return ("above", f"above {self.words[-1]}")
        quarter = min(max(round(share * 4), 0), 4)
        return (f"quarter_{quarter}", f"reads {self.words[quarter]}")


@dataclass(frozen=True, slots=True)
class Stabiliser(Spec):
    """A voltage stabiliser: a resistance in series and a Zener diode from out to ground.

    Without its ground nothing holds the output down, and it follows the feed.

    Attributes
    ----------
    out_volt : volts between out and ground that it holds.
    series_ohm : between feed and out.
    """

    kind: ClassVar[str] = "stabiliser"
    sort: ClassVar[str] = "stabiliser"

    out_volt: Annotated[float, Gt(ZENER_DROP)]
    series_ohm: Annotated[float, Gt(0)]

    def terminals(self) -> tuple[str, ...]:
        return ("feed", "out", "ground")

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("out", "output", ("output_dead", "shorted")),
            Site("ground", "ground inside", ("inner_ground_lost", "inner_ground_poor")),
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        out, core, reference = (join(name, x) for x in ("out", "core", "reference"))
        zener = Ohmic(ZENER_OHM, self.out_volt - ZENER_DROP)
        found = [
            Element(f"{reference}.junction", out, reference, Junction()),
            Element(reference, reference, core, zener),
        ]
        if not at.has("output_dead", "out"):
            found.append(
                Element(join(name, "series"), join(name, "feed"), out, Ohmic(self.series_ohm))
            )
        short = at.severity("shorted", "out")
        if short is not None:
            found.append(Element(f"{out}.short", out, core, Ohmic(short)))
        if not at.has("inner_ground_lost", "ground"):
            ohm = CONTACT_OHM + at.added_ohm("inner_ground_poor", site="ground")
            found.append(contact(core, core, join(name, "ground"), ohm))
        return tuple(found)

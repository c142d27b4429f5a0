"""What every kind of part must tell: its terminals, its elements, how it changes state.

A part in a circuit file names a kind; the kind is a frozen dataclass below
``circuits/parts/`` whose fields are the part's electrical data and whose methods
override those of ``Spec``. Adding a kind means writing one such class and listing it in
``circuits.parts.KINDS``.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import ClassVar, Literal

from circuits.laws import Law, Ohmic

Moment = Literal["just_operated", "moving", "at_rest"]
MOMENTS: tuple[Moment, ...] = ("just_operated", "moving", "at_rest")

Memory = frozenset[str]
"""The flags by which a part remembers: ``{"blown"}``, ``{"pulled_in"}``, ``{"awake"}``."""

REST: Memory = frozenset()

BODY = "BODY"
"""The vehicle's body: the node against which every voltage is told."""

CONTACT_OHM = 0.002
"""A clean closed contact, in ohms."""

HEAVY_OHM = 0.001
"""A contact or joint of less is made for heavy currents: milliohms are a fault in it."""


@dataclass(frozen=True, slots=True)
class Element:
    """One branch of the network, from terminal ``a`` to terminal ``b``."""

    name: str
    a: str
    b: str
    law: Law


@dataclass(frozen=True, slots=True)
class Circumstance:
    """All that bears on one part when it is turned into elements.

    Attributes
    ----------
    position : the position of a switch, empty for other parts.
    pulled : whether a fuse is out of its holder.
    faults : ``(site, kind, severity)`` of the part's own faults.
    memory : the part's discrete state.
    linked : the discrete state of the part that this one follows (see ``Spec.follows``).
    moment : when the reading is taken.
    celsius : the part's temperature.
    moved : whether a second person wiggles or taps the part during the reading.
    """

    position: str = ""
    pulled: bool = False
    faults: tuple[tuple[str, str, float], ...] = ()
    memory: Memory = REST
    linked: Memory = REST
    moment: Moment = "at_rest"
    celsius: float = 20.0
    moved: bool = False

    def severity(self, kind: str, site: str = "") -> float | None:
        """Return the severity of a fault of the part, or None if it has none such."""
        for where, what, how_bad in self.faults:
            if where == site and what == kind:
                return how_bad
        return None

    def has(self, kind: str, site: str = "") -> bool:
        """Say whether the part has a fault of this kind at this site."""
        return self.severity(kind, site) is not None

    def added_ohm(self, *kinds: str, site: str = "") -> float:
        """Return the resistance in ohms that faults of these kinds add in series."""
        found = (self.severity(kind, site) for kind in kinds)
        return sum(ohm for ohm in found if ohm is not None)


@dataclass(frozen=True, slots=True)
class Change:
    """The state a part would go to, and how fast: the hastiest change comes first."""

    memory: Memory
    haste: float


LOGIC_HASTE = 3e6
RELAY_HASTE = 2e6


@dataclass(frozen=True, slots=True)
class Site:
    """A place within a part where faults can sit, and their kinds.

    ``name`` is empty for the part as a whole; else the fault's place is ``part.name``.
    """

    name: str
    title: str
    kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Seen:
    """What a person sees or hears of a part: ``code`` for comparing, ``words`` to read."""

    part: str
    code: str
    words: str


class Live:
    """The solved volts and amperes of a network, by terminal and by element name.

    ``share`` tells them as so much of what they are.
    """

    __slots__ = ("_ampere", "_node", "_share", "_volt")

    def __init__(
        self,
        volt: Mapping[str, float],
        ampere: Mapping[str, float],
        node: Callable[[str], str],
        share: float = 1.0,
    ) -> None:
        self._volt, self._ampere, self._node, self._share = volt, ampere, node, share

    def volt(self, a: str, b: str = BODY) -> float:
        """Return the volts of terminal a against terminal b."""
        return self._share * (self._volt[self._node(a)] - self._volt[self._node(b)])

    def ampere(self, element: str) -> float:
        """Return the amperes through an element, from its a to its b; 0 if it is absent."""
        return self._share * self._ampere.get(element, 0.0)


@dataclass(frozen=True, slots=True)
class Spec:
    """The electrical data and behaviour of one kind of part."""

    kind: ClassVar[str] = ""
    sort: ClassVar[str] = ""
    """What the trade calls it: ``fuse``, ``relay``, ..."""
    memory_flags: ClassVar[tuple[str, ...]] = ()
    generates: ClassVar[bool] = False
    """Whether the part is a source that isolating the battery leaves in place."""
    heats: ClassVar[bool] = False
    """Whether it goes by heat, so that the mean square of a current that chatters counts."""
    passing: ClassVar[tuple[Moment, ...]] = ()
    """The moments of an operation that are not alike to it, sound or with a fault."""

    def terminals(self) -> tuple[str, ...]:
        """Return the terminals' names; ``("",)`` for a part that is a single node."""
        return ("a", "b")

    def terminal_title(self, terminal: str) -> str:
        """Return the words for a terminal."""
        return terminal

    def probes(self) -> tuple[str, ...]:
        """Return the terminals that a probe can touch and that need no wire."""
        return ()

    def follows(self) -> str:
        """Return the name of the part whose discrete state bears on this one, if any."""
        return ""

    def sites(self) -> tuple[Site, ...]:
        """Return the places within the part where a fault can sit."""
        return ()

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        """Return the elements that stand for the part called ``name``."""
        raise NotImplementedError

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        """Return the state the part goes to under these volts and amperes, None to stay."""
        return None

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        """Return ``(code, words)`` of what a person sees or hears of it, if anything."""
        return None


def join(name: str, terminal: str) -> str:
    """Return the full name of a part's terminal.

    >>> join("F1", "in"), join("G1", "")
    ('F1.in', 'G1')
    """
    return f"{name}.{terminal}" if terminal else name


def contact(name: str, a: str, b: str, ohm: float = CONTACT_OHM) -> Element:
    """Return a closed contact as an element."""
    return Element(name, a, b, Ohmic(ohm))


__all__ = [
    "BODY",
    "CONTACT_OHM",
    "HEAVY_OHM",
    "LOGIC_HASTE",
    "MOMENTS",
    "RELAY_HASTE",
    "REST",
    "Change",
    "Circumstance",
    "Element",
    "Live",
    "Memory",
    "Moment",
    "Seen",
    "Site",
    "Spec",
    "contact",
    "join",
]

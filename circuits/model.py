"""A circuit as data, a vehicle as it stands, and the error that all of them raise."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from circuits.spec import BODY, Memory, Moment, Spec, join


class CircuitError(Exception):
    """Something about a circuit, setting, fault or measurement cannot be.

    ``problems`` holds one sentence each: where, what was found, what is accepted.
    """

    def __init__(self, *problems: str) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is on the vehicle, and the minutes it takes to get at it once."""

    name: str
    title: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the circuit: what it is called, where it is, what kind it is."""

    name: str
    title: str
    place: str
    spec: Spec
    short: str = ""
    """A shorter title for the drawing."""

    @property
    def label(self) -> str:
        """The words that the drawing puts beside the symbol."""
        return self.short or self.title


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire between two terminals.

    ``start`` and ``end`` are terminals as the circuit file names them: ``F1.out``,
    ``C1.2``, ``IL.1@motor``, ``G1``, ``BODY``. ``colour`` is one or two IEC 60757 codes.
    """

    name: str
    start: str
    end: str
    area_mm2: float
    length_m: float
    colour: str

    @property
    def label(self) -> str:
        """The wire's name with its colour: ``W4 (BU)``."""
        return f"{self.name} ({self.colour})"


@dataclass(frozen=True, slots=True)
class Connector:
    """A mated pair with numbered cavities.

    A connector that plugs into a part (``part`` is its name) has a wired face,
    ``harness``, and the part's own face, ``unit``; ``pins`` names the part's terminal in
    each cavity, empty for a spare. An in-line connector has no part and two wired faces.
    """

    name: str
    title: str
    place: str
    labels: tuple[str, ...]
    faces: tuple[str, str] = ("harness", "unit")
    part: str = ""
    pins: tuple[str, ...] = ()
    columns: int = 2

    @property
    def inline(self) -> bool:
        """Whether wires leave both faces."""
        return not self.part

    def cavities(self) -> Iterator[int]:
        """Yield the cavities' numbers, from 1."""
        yield from range(1, len(self.labels) + 1)

    def face(self, cavity: int, face: str) -> str:
        """Return the node at one face of a cavity: ``C1.4@harness``."""
        return f"{self.name}.{cavity}@{face}"


@dataclass(frozen=True, slots=True)
class Views:
    """The four views of a circuit, each a few paragraphs of text."""

    where: str = ""
    flow: str = ""
    behaviour: str = ""
    testing: str = ""


@dataclass(frozen=True, slots=True)
class Hint:
    """What a circuit file pins of a part's drawing; what is None is computed."""

    part: str
    rank: int | None = None
    row: float | None = None
    left: tuple[str, ...] = ()
    right: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unsure:
    """How far a part's or a wire's values may be from those stated, of 1, either way.

    For what was guessed, as a wire's length on somebody's own vehicle; it takes the place of
    what is usual for its kind (see ``circuits.tolerance``).
    """

    name: str
    share: float


@dataclass(frozen=True, eq=False)
class Circuit:
    """A network of parts joined at terminals, as read from a circuit file.

    Two circuits are equal when their digests are: the digest is taken of everything in
    the file.

    Attributes
    ----------
    bundles : groups of wires that run side by side and can rub through to each other.
    mirror : pairs of names that stand for each other on the other side of the vehicle.
    unsure : what is less sure than is usual for its kind.
    live_wire : the terminal of a constant feed that the others can be shorted to.
    lesson : its place in a course, from 1, the first lesson, on; 0 for none.
    """

    name: str
    title: str
    summary: str
    places: tuple[Place, ...]
    parts: tuple[Part, ...]
    connectors: tuple[Connector, ...]
    wires: tuple[Wire, ...]
    live_wire: str
    lesson: int = 0
    bundles: tuple[tuple[str, ...], ...] = ()
    mirror: tuple[tuple[str, str], ...] = ()
    unsure: tuple[Unsure, ...] = ()
    views: Views = Views()
    hints: tuple[Hint, ...] = ()
    digest: str = ""

    def __hash__(self) -> int:
        return hash(self.digest)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Circuit) and self.digest == other.digest

    @cached_property
    def unsure_share(self) -> Mapping[str, float]:
        """How far the values of what is unsure may be off, of 1, by its name."""
        return {one.name: one.share for one in self.unsure}

    @cached_property
    def part_by_name(self) -> Mapping[str, Part]:
        """The parts by name."""
        return {part.name: part for part in self.parts}

    @cached_property
    def wire_by_name(self) -> Mapping[str, Wire]:
        """The wires by name."""
        return {wire.name: wire for wire in self.wires}

    @cached_property
    def connector_by_name(self) -> Mapping[str, Connector]:
        """The connectors by name."""
        return {connector.name: connector for connector in self.connectors}

    @cached_property
    def place_by_name(self) -> Mapping[str, Place]:
        """The places by name."""
        return {place.name: place for place in self.places}

    @cached_property
    def _plugged(self) -> Mapping[str, str]:
        return {
            join(connector.part, pin): connector.face(number, connector.faces[1])
            for connector in self.connectors
            for number, pin in enumerate(connector.pins, start=1)
            if pin
        }

    def node(self, terminal: str) -> str:
        """Return the node of a terminal: a plugged-in part's pins are the unit face's.

        ``C1.4`` stands for the wired face, ``C1.4@harness``.
        """
        if terminal in self._plugged:
            return self._plugged[terminal]
        head, dot, cavity = terminal.partition(".")
        connector = self.connector_by_name.get(head)
        if connector and dot and "@" not in cavity:
            return f"{terminal}@{connector.faces[0]}"
        return terminal

    def plugged_in(self, part: str) -> tuple[Connector, ...]:
        """Return the connectors that plug into a part."""
        return tuple(c for c in self.connectors if c.part == part)


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """A fault: where, of which kind, how bad.

    ``place`` is a part (``F1``), a site within one (``left_motor.winding``), a wire
    (``W4``), a cavity (``C1.4``), or a pair of wires or cavities (``W4+W5``). The
    severity is in the unit of the kind; 0.0 for a kind that has none. ``when`` is the
    condition under which it shows: ``moved``, ``warm``, ``loaded``, or empty for always.
    """

    place: str
    kind: str
    severity: float = 0.0
    when: str = ""


@dataclass(frozen=True, slots=True, order=True)
class Jumper:
    """A jumper lead with its own fuse, from one test point to another."""

    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Setting:
    """Everything that a tester can set, and the moment at which the reading is taken.

    Attributes
    ----------
    positions : ``(switch, position)`` of the switches that are not as found, sorted.
    unmated : connectors that are unplugged.
    pulled : fuses that are out of their holders.
    isolated : whether the negative cable is off the battery's post, and hangs by its side.
    jumpers : jumper leads in place.
    moment : just operated (still standing), moving, or at rest.
    moved : connector, part or wire that a second person wiggles, empty for none.
    warm : whether everything has come to its working temperature.
    """

    positions: tuple[tuple[str, str], ...] = ()
    unmated: frozenset[str] = frozenset()
    pulled: frozenset[str] = frozenset()
    isolated: bool = False
    jumpers: tuple[Jumper, ...] = ()
    moment: Moment = "at_rest"
    moved: str = ""
    warm: bool = False

    def position(self, switch: str, rests: str) -> str:
        """Return the position of a switch that is found in ``rests``."""
        return dict(self.positions).get(switch, rests)


AS_FOUND = Setting()

WARM_CELSIUS = 60.0
"""What parts and wires come to when a vehicle is warmed up (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A circuit as it stands: its faults, its setting, what has blown and what is warm.

    Attributes
    ----------
    blown : fuses, and parts with a thermal fuse, that have blown earlier and were not replaced.
    celsius : ``(part, temperature)`` of the parts that are not at ``ambient``.
    fresh : fuses fitted since a switch was last worked: whatever the vehicle did before, it did
        without them.
    scatter : ``(unknown, share)``: how far each unknown of ``circuits.tolerance`` lies from
        nominal, from -1 to 1 of its spread; empty for a vehicle of nominal parts.
    """

    circuit: Circuit
    faults: tuple[Fault, ...] = ()
    setting: Setting = AS_FOUND
    blown: frozenset[str] = frozenset()
    celsius: tuple[tuple[str, float], ...] = ()
    ambient: float = 20.0
    scatter: tuple[tuple[str, float], ...] = ()
    fresh: frozenset[str] = frozenset()

    def temperature(self, name: str) -> float:
        """Return the degrees C of a part or wire."""
        usual = WARM_CELSIUS if self.setting.warm else self.ambient
        return dict(self.celsius).get(name, usual)

    def with_setting(self, setting: Setting) -> "Vehicle":
        """Return the vehicle in another setting."""
        return replace(self, setting=setting)

    def with_blown(self, fuses: Iterable[str]) -> "Vehicle":
        """Return the vehicle with these fuses blown too."""
        return replace(self, blown=self.blown | frozenset(fuses))


@dataclass(frozen=True, slots=True)
class State:
    """A solved vehicle.

    Attributes
    ----------
    volt : volts by node against the body.
    ampere : amperes by element, from its first terminal to its second.
    island : a number by node; nodes with different numbers have no path between them.
    memory : the discrete state each part settled in.
    chatter : the parts that do not settle, empty when all did.
    other : the second solution between which a chattering vehicle swings.
    burst : for what was connected and blew its own fuse, the state in which that went.
    """

    volt: Mapping[str, float]
    ampere: Mapping[str, float]
    island: Mapping[str, int]
    memory: Mapping[str, Memory]
    chatter: tuple[str, ...] = ()
    other: "State | None" = field(default=None, repr=False)
    burst: "tuple[tuple[str, State], ...]" = field(default=(), repr=False)

    def between(self, a: str, b: str) -> float:
        """Return the volts of node a against node b; 0 where no path joins them."""
        return self.volt[a] - self.volt[b] if self.island[a] == self.island[b] else 0.0


__all__ = [
    "AS_FOUND",
    "BODY",
    "Circuit",
    "CircuitError",
    "Connector",
    "Fault",
    "Hint",
    "Jumper",
    "Part",
    "Place",
    "Setting",
    "State",
    "Vehicle",
    "Views",
    "Wire",
]

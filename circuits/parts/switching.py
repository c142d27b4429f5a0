"""Switches that a person sets and relays that a coil sets."""

from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from annotated_types import Gt

from circuits.laws import Ohmic
from circuits.spec import (
    CONTACT_OHM,
    HEAVY_OHM,
    RELAY_HASTE,
    Change,
    Circumstance,
    Element,
    Live,
    Site,
    Spec,
    contact,
    join,
)

PULLED_IN = "pulled_in"
CONTACT_KINDS = ("contact_open", "contact_burnt", "stuck_closed")


@dataclass(frozen=True, slots=True)
class SwitchContact:
    """One contact of a switch: between two terminals, closed in some positions.

    ``ohm`` is its resistance when clean and closed.
    """

    name: str
    a: str
    b: str
    closed: tuple[str, ...]
    ohm: Annotated[float, Gt(0)] = CONTACT_OHM

    def fault_kinds(self) -> tuple[str, ...]:
        """Return the kinds of fault that the contact can have."""
        return ("contact_open", "contact_burnt", "stuck_closed", "leaking", *_pitted(self.ohm))


def _pitted(ohm: float) -> tuple[str, ...]:
    return ("contact_pitted",) if ohm < HEAVY_OHM else ()


@dataclass(frozen=True, slots=True)
class Positioned(Spec):
    """A part that a person or the vehicle puts into one of several positions.

    Attributes
    ----------
    positions : their names, in the order in which they are shown.
    rests : the position in which the part is found.
    comes_from : for a position, the one the part was in just before; so a release is
        read after the press that it ends.
    labels : words for the positions, where the name alone does not do.
    """

    positions: tuple[str, ...]
    rests: str
    comes_from: tuple[tuple[str, str], ...] = ()
    labels: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        known = set(self.positions)
        for what, named in self.named_positions():
            if named not in known:
                accepted = ", ".join(self.positions)
                raise ValueError(f"{what} names position {named!r}; accepted: {accepted}")

    def named_positions(self) -> list[tuple[str, str]]:
        """Return each position that the part's own data name, and where they name it."""
        named = [("rests", self.rests)]
        for pair in self.comes_from:
            named += [("comes_from", position) for position in pair]
        return named + [("labels", position) for position, _ in self.labels]

    def label(self, position: str) -> str:
        """Return the words for a position."""
        return dict(self.labels).get(position, position.replace("_", " ").capitalize())


@dataclass(frozen=True, slots=True)
class Switch(Positioned):
    """A switch that a person sets: ``contacts`` says which terminals it joins, and when."""

    kind: ClassVar[str] = "switch"
    sort: ClassVar[str] = "switch"

    contacts: tuple[SwitchContact, ...] = field(kw_only=True)

    def named_positions(self) -> list[tuple[str, str]]:
        named = Positioned.named_positions(self)
        for item in self.contacts:
            named += [(f"contact {item.name!r}", position) for position in item.closed]
        return named

    def terminals(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(t for c in self.contacts for t in (c.a, c.b)))

    def sites(self) -> tuple[Site, ...]:
        alone = len(self.contacts) == 1
        return tuple(
            Site(c.name, "contact" if alone else f"{c.name} contact", c.fault_kinds())
            for c in self.contacts
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        return tuple(
            element for item in self.contacts for element in _switch_contact(name, item, at)
        )


def _switch_contact(name: str, item: SwitchContact, at: Circumstance) -> tuple[Element, ...]:
    full, a, b = join(name, item.name), join(name, item.a), join(name, item.b)
    leak = at.severity("leaking", item.name)
    leaks = () if leak is None else (Element(f"{full}.leak", a, b, Ohmic(leak)),)
    closed = at.position in item.closed or at.has("stuck_closed", item.name)
    if not closed or at.has("contact_open", item.name):
        return leaks
    ohm = item.ohm + at.added_ohm("contact_burnt", "contact_pitted", site=item.name)
    return (contact(full, a, b, ohm), *leaks)


@dataclass(frozen=True, slots=True)
class Relay(Spec):
    """A relay: coil 85-86, common 30, make contact 87 and, if it has one, break contact 87a.

    ``pull_in_volt`` and ``drop_out_volt`` are volts across the coil, whichever way round;
    ``contact_ohm`` is a closed contact's resistance when clean.
    """

    kind: ClassVar[str] = "relay"
    sort: ClassVar[str] = "relay"
    memory_flags: ClassVar[tuple[str, ...]] = (PULLED_IN,)

    coil_ohm: Annotated[float, Gt(0)]
    pull_in_volt: Annotated[float, Gt(0)] = 8.0
    drop_out_volt: Annotated[float, Gt(0)] = 1.5
    break_contact: bool = False
    contact_ohm: Annotated[float, Gt(0)] = CONTACT_OHM

    def terminals(self) -> tuple[str, ...]:
        return ("85", "86", "30", "87", *(("87a",) if self.break_contact else ()))

    def terminal_title(self, terminal: str) -> str:
        return {
            "85": "coil, ground end",
            "86": "coil, feed end",
            "30": "common contact",
            "87": "make contact",
            "87a": "break contact",
        }[terminal]

    def sites(self) -> tuple[Site, ...]:
        return (
            Site("coil", "coil", ("coil_open", "coil_shorted_turns")),
            Site("contact", "contact", (*CONTACT_KINDS, *_pitted(self.contact_ohm))),
        )

    def elements(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        return (*self._coil(name, at), *self._contacts(name, at))

    def _coil(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        if at.has("coil_open", "coil"):
            return ()
        left = 1 - (at.severity("coil_shorted_turns", "coil") or 0.0)
        ohm = self.coil_ohm * left
        return (Element(join(name, "coil"), join(name, "86"), join(name, "85"), Ohmic(ohm)),)

    def _contacts(self, name: str, at: Circumstance) -> tuple[Element, ...]:
        stuck = at.has("stuck_closed", "contact")
        common = join(name, "30")
        if stuck or PULLED_IN in at.memory:
            if at.has("contact_open", "contact"):
                return ()
            worse = at.added_ohm("contact_burnt", "contact_pitted", site="contact")
            ohm = self.contact_ohm + worse
            return (contact(join(name, "contact"), common, join(name, "87"), ohm),)
        if self.break_contact:
            return (contact(join(name, "break"), common, join(name, "87a"), self.contact_ohm),)
        return ()

    def settle(self, name: str, at: Circumstance, live: Live) -> Change | None:
        volt = abs(live.volt(join(name, "86"), join(name, "85")))
        if at.has("coil_open", "coil"):
            volt = 0.0
        # Shorted turns change the current but not the ampere-turns that a volt drives.
        pulled = PULLED_IN in at.memory
        needed = self.drop_out_volt if pulled else self.pull_in_volt
        stays = volt > needed if pulled else volt < needed
        if stays:
            return None
        memory = at.memory - {PULLED_IN} if pulled else at.memory | {PULLED_IN}
        return Change(memory, RELAY_HASTE)

    def seen(self, name: str, at: Circumstance, live: Live) -> tuple[str, str] | None:
        pulled = PULLED_IN in at.memory
        return ("in", "pulled in") if pulled else ("out", "at rest")

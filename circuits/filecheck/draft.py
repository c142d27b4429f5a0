"""A circuit file half read: the entries that could be read, and where each one stood.

The checks work on a ``Draft`` rather than on a ``Circuit``, so that one broken entry does
not hide what is wrong with the others. Nothing here opens files.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from circuits.model import Circuit
from circuits.points import nearest

TABLES = ("places", "parts", "connectors", "wires", "bundles", "mirror", "unsure", "hints")

NAMED_TABLES = ("parts", "connectors", "wires")
"""The tables that share one name space."""

SHOWN_LENGTH = 60

UNREAD = "unread"
"""Stands for a text at the top of the file that could not be read."""

CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")

_ADDRESS = r"://|www\.|@(?=[^\s@]*\.)"

# What a screen that renders markdown could turn into a link, a picture, HTML or a formula.
UNSAFE = re.compile(r"[<\[\]`$\\]|" + _ADDRESS, re.IGNORECASE)
UNSAFE_TOLD = re.compile(r"[<`$]|\](?=[(\[:])|" + _ADDRESS, re.IGNORECASE)
"""The same in a sentence about a file, which may have to name a bracket."""

PLAIN = (
    "plain text: no tags, square brackets, backticks, dollar signs or backslashes, "
    "no web or mail addresses"
)


@dataclass(frozen=True, slots=True)
class Named:
    """A name as it stands in the file: in which table, at which entry."""

    table: str
    where: str
    name: str


@dataclass(frozen=True, slots=True)
class Draft:
    """The readable entries of a circuit file.

    Attributes
    ----------
    circuit : a circuit of the readable entries alone.
    where : by table, the place in the file of each entry of the circuit's tuple.
    names : every name of an entry, readable or not.
    doubtful : names of entries that could not be read; what points at them is not judged.
    nameless : whether an entry without a readable name is among them.
    """

    circuit: Circuit
    where: Mapping[str, tuple[str, ...]]
    names: tuple[Named, ...]
    doubtful: frozenset[str] = field(default_factory=frozenset)
    nameless: bool = False

    def entries(self, table: str) -> Iterable[tuple[str, Any]]:
        """Return ``(where, entry)`` for the readable entries of a table."""
        return zip(self.where[table], getattr(self.circuit, table), strict=True)

    def in_doubt(self, name: str) -> bool:
        """Say whether an unknown name may be that of an entry that could not be read."""
        return self.nameless or name.partition(".")[0] in self.doubtful


def draft_of(circuit: Circuit) -> Draft:
    """Return the draft of a whole circuit."""
    where = {
        table: tuple(
            entry_place(table, number, getattr(entry, "name", ""))
            for number, entry in enumerate(getattr(circuit, table), start=1)
        )
        for table in TABLES
    }
    names = tuple(
        Named(table, place, entry.name)
        for table in ("places", *NAMED_TABLES)
        for place, entry in zip(where[table], getattr(circuit, table), strict=True)
    )
    return Draft(circuit, where, names)


def entry_place(table: str, number: int, name: object) -> str:
    """Return the place of an entry of a table.

    >>> entry_place("wires", 4, "W4")
    'wires > no. 4 (W4)'
    """
    label = f" ({cut(name)})" if isinstance(name, str) and name.strip() else ""
    return f"{table} > no. {number}{label}"


def problem(where: str, found: object, accepted: str) -> str:
    """Return the sentence of a problem.

    >>> problem("wires > no. 4 (W4) > area_mm2", -1.5, "above 0")
    'wires > no. 4 (W4) > area_mm2: found -1.5; accepted: above 0'
    """
    return f"{where}: found {shown(found)}; accepted: {accepted}"


def unknown(where: str, found: str, known: Iterable[str]) -> str:
    """Return the sentence of a name that is not known, with the nearest that is."""
    return f"{where}: found {shown(found)}{nearest(cut(found), known)}"


def shown(found: object) -> str:
    """Return a value as a circuit file would write it, cut short.

    >>> shown(True), shown("4 mm"), shown([1, 2]), shown({})
    ('true', "'4 mm'", 'a list of 2', 'a table')
    """
    if isinstance(found, bool):
        return str(found).lower()
    if isinstance(found, str):
        return f"'{made_plain(cut(found))}'"
    if isinstance(found, dict):
        return "a table"
    if isinstance(found, list | tuple):
        return f"a list of {len(found)}"
    if isinstance(found, int) and abs(found) >= 10**SHOWN_LENGTH:
        return "a very large number"
    return cut(found)


def cut(found: object) -> str:
    """Return a value as one short line of text."""
    text = " ".join(str(found).split())
    return text if len(text) <= SHOWN_LENGTH else text[:SHOWN_LENGTH] + "..."


def made_plain(sentence: str) -> str:
    """Return a sentence that no screen can mistake for a link, a picture or HTML.

    >>> made_plain("found '![x](http://a.b)'")
    "found '![x?(http?a.b)'"
    """
    return UNSAFE_TOLD.sub("?", CONTROL.sub("?", sentence))


def is_plain(text: str) -> bool:
    """Say whether a text of a circuit file can be shown anywhere as it is."""
    return not UNSAFE.search(text) and not CONTROL.search(text)

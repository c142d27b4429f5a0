"""Circuit files: TOML in, ``Circuit`` out. The only opener of files in this package.

A circuit file is TOML in UTF-8, up to 256 kB. Every key is checked; a file that is not good
is refused with all its problems at once (``circuits.filecheck``), a sentence each.

Keys at the top
---------------
==============  ================================================================
title           one line, up to 80 characters
summary         one line, up to 400 characters
live_wire       terminal of a constant feed, which a wire can be shorted to
lesson          optional: its place in a course, from 1 to 999
[views]         where, flow, behaviour, testing: texts, each optional
==============  ================================================================

Tables (each a list of entries: ``[[places]]``, ``[[parts]]``, ...)
-------------------------------------------------------------------
``places``: where things are on the vehicle; at least one.

==============  ==========  =====================================================
name            text        a place's own name
title           text        the words for it, as in *behind the dash panel*
minutes         minutes     to get at it once, 0 to 600
==============  ==========  =====================================================

``parts``: at least one, of which one a battery. Further keys depend on the kind and are the
fields of its class in ``circuits.parts``, units in their names (volts, ohms, amperes, watts).

==============  ==========  =====================================================
name            text        unique over parts, connectors and wires
title           text        the words for it
place           text        name of a place
kind            text        a kind of ``circuits.parts.kinds``
short           text        optional: a shorter title for the drawing
==============  ==========  =====================================================

``wires``: copper; the resistance follows from area and length.

==============  ==========  =====================================================
name            text        unique over parts, connectors and wires
start, end      terminals   ``F1.out``, ``C1.2``, ``IL.1@motor``, ``G1``, ``BODY``
area_mm2        mm2         cross-section, above 0, 0.05 to 300
length_m        m           above 0, 0.01 to 200
colour          text        one or two IEC 60757 codes, main colour first; never GNYE
==============  ==========  =====================================================

``connectors``: optional. With ``part`` it plugs into that part; without, it is in line and
needs wires on both faces.

==============  ==========  =====================================================
name            text        unique over parts, connectors and wires
title, place    text        as for parts
labels          texts       one for each cavity, from cavity 1; 1 to 60
part            text        name of the part it plugs into
pins            texts       the part's terminal in each cavity, "" for a spare
faces           two texts   default ``harness`` and ``unit``
columns         count       cavities in a row of its drawing, default 2
==============  ==========  =====================================================

A cavity whose label begins with *Spare* may have no wire.

``bundles``: optional. ``wires``: names of two or more that can rub through to each other.

``unsure``: optional. ``name``: a part or a wire whose values were guessed; ``share``: how far
they may be off either way, 0 to 0.6 of them. Expected bands widen with it.

``mirror``: optional. ``pair``: two names that stand for each other on the other side of the
vehicle: parts, wires, connectors, places, cavities (``C1.2``), or a word within such names
(``left``), which may be a switch's position too.

``hints``: optional; what a drawing would otherwise compute. ``part`` (or an in-line
connector), ``rank`` (0 from the feed), ``row``, ``left`` and ``right`` (terminals, or
connectors that plug into the part).

Names are a letter, then letters, digits and ``_``, up to 40; ``BODY`` is the vehicle's body.
Texts are plain: no ``< > [ ] ` $`` or backslash, no web or mail addresses, so that no screen
can take one for a link, a picture or HTML.
"""

import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any

from circuits.filecheck.checks import structure
from circuits.filecheck.draft import Draft, cut, draft_of, made_plain, problem
from circuits.filecheck.graph_checks import graph_problems
from circuits.filecheck.plain_data import content
from circuits.filecheck.schema import draft_from
from circuits.filecheck.toml_text import MAX_BYTES, data_of, refused, text_of, too_large
from circuits.filecheck.value_checks import values
from circuits.model import Circuit, CircuitError
from circuits.points import nearest

LIBRARY = Path(__file__).parent / "library"
MAX_PROBLEMS = 40
NAME = re.compile(r"\w[\w '’()-]{0,79}")


def circuit_names() -> tuple[str, ...]:
    """Return the names of the circuits in the library."""
    return tuple(sorted(path.stem for path in LIBRARY.glob("*.toml")))


@lru_cache(maxsize=64)
def library_circuit(name: str) -> Circuit:
    """Return a circuit of the library by name.

    Raises
    ------
    CircuitError
        If the library has no circuit of this name, or its file is not good.
    """
    if name not in circuit_names():
        raise CircuitError(
            f"circuit {cut(name)!r}: not in the library{nearest(cut(name), circuit_names())}"
        )
    return load_circuit(LIBRARY / f"{name}.toml")


def library_body(name: str) -> dict[str, Any]:
    """Return the content of the file of a circuit that the library has."""
    path = LIBRARY / f"{name}.toml"
    return data_of(text_of(_bytes_of(path), file=path.name), file=path.name)


def load_circuit(path: Path) -> Circuit:
    """Return the circuit in a file; its name is the file's, without ``.toml``.

    Raises
    ------
    CircuitError
        If the file cannot be read or is not a good circuit file: a sentence per problem.
    """
    text = text_of(_bytes_of(path), file=path.name)
    return circuit_from_text(text, name=path.stem)


def circuit_from_text(text: str, *, name: str) -> Circuit:
    """Return the circuit in a TOML text, as of an upload.

    Raises
    ------
    CircuitError
        If the text is too long, no TOML, or not a good circuit: a sentence per problem.
    """
    return circuit_from(data_of(text, file=f"{name}.toml"), name=name)


def circuit_from(data: Mapping[str, Any], *, name: str) -> Circuit:
    """Return the circuit in the data of a TOML file.

    Raises
    ------
    CircuitError
        If the data are no good circuit: a sentence per problem.
    """
    draft, problems = draft_from(data, name=name)
    told = list(islice(_problems(draft, problems), MAX_PROBLEMS + 1))
    if told:
        raise CircuitError(*_sentences(told, file=f"{cut(name)}.toml"))
    return replace(draft.circuit, digest=_digest(data, name))


def check_circuit(circuit: Circuit) -> tuple[str, ...]:
    """Return a sentence for each problem of a circuit made without a file."""
    told = list(islice(_problems(draft_of(circuit), []), MAX_PROBLEMS + 1))
    return _sentences(told, file=cut(circuit.name))


def check_circuit_file(path: Path) -> tuple[str, ...]:
    """Return a sentence for each problem of a circuit file, none for a good one."""
    try:
        load_circuit(path)
    except CircuitError as error:
        return error.problems
    return ()


def _problems(draft: Draft, problems: list[str]) -> Iterator[str]:
    name = draft.circuit.name
    if not NAME.fullmatch(name):
        yield problem("name of the circuit", name, "letters, digits, spaces, ' ( ) - _, up to 80")
    yield from problems
    reachable = not problems
    for sentence in structure(draft):
        reachable = False
        yield sentence
    yield from values(draft)
    if reachable:
        yield from graph_problems(draft)


def _sentences(told: list[str], *, file: str) -> tuple[str, ...]:
    if len(told) > MAX_PROBLEMS:
        told = [*told[:MAX_PROBLEMS], f"more than {MAX_PROBLEMS} problems; accepted: none"]
    return tuple(made_plain(f"{file}: {sentence}") for sentence in told)


def _digest(data: Mapping[str, Any], name: str) -> str:
    body = json.dumps([name, content(data)], sort_keys=True, allow_nan=False)
    return hashlib.sha256(body.encode()).hexdigest()


def _bytes_of(path: Path) -> bytes:
    """Return a file's bytes; one that is too large is refused by its size, unread."""
    if path.suffix != ".toml":
        raise refused(f"{path.name}: found {path.suffix or 'no ending'}; accepted: .toml")
    if not path.is_file():
        raise refused(f"{path.name}: found no such file; accepted: a circuit file")
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise too_large(path.name, size)
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or "unknown").lower()
        raise refused(f"{path.name}: cannot be read, {reason}; accepted: a file") from None

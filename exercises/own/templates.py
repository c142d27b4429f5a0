"""Templates: the six circuits that a vehicle is made of most often, each with its questions.

A template is a TOML file below ``exercises/own/library/``::

    title, summary      what it is, for whoever chooses
    bands_of            optional: the coded reader whose bands lie midway between its buttons
    [[questions]]       what the values of a real vehicle are
    [circuit]           a circuit file's content, with usual values

A question: ``name``; ``ask``, the question itself; ``unit``; ``usual``, the value taken when
nobody knows; ``least`` and ``most``, or ``choices``; ``sets``, the values of the circuit that
the answer is for (``W2.length_m``); ``unsure``, how far off the usual value may be.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

LIBRARY = Path(__file__).parent / "library"


@dataclass(frozen=True, slots=True)
class Question:
    """What a template asks; ``usual`` stands, that much unsure, when nobody knows."""

    name: str
    ask: str
    unit: str
    usual: float
    sets: tuple[str, ...]
    unsure: float
    least: float | None = None
    most: float | None = None
    choices: tuple[float, ...] = ()


@dataclass(frozen=True)
class Template:
    """A circuit with usual values, and what is asked about a real one.

    ``body`` is a circuit file's content: whoever changes it takes a copy.
    """

    name: str
    title: str
    summary: str
    questions: tuple[Question, ...]
    body: Mapping[str, Any]
    bands_of: str = ""


def template_names() -> tuple[str, ...]:
    """Return the names of the templates, the plainest first."""
    return tuple(sorted((path.stem for path in LIBRARY.glob("*.toml")), key=_size))


def _size(name: str) -> int:
    return len(template(name).body["parts"])


@lru_cache(maxsize=16)
def template(name: str) -> Template:
    """Return a template by its name.

    Raises
    ------
    KeyError
        If there is none of this name.
    """
    path = LIBRARY / f"{name}.toml"
    if path.parent != LIBRARY or not path.is_file():
        raise KeyError(name)
    told = tomllib.loads(path.read_text(encoding="utf-8"))
    return Template(
        name=name,
        title=told["title"],
        summary=told["summary"],
        questions=tuple(_question(row) for row in told["questions"]),
        body=MappingProxyType(told["circuit"]),
        bands_of=told.get("bands_of", ""),
    )


def _question(row: Mapping[str, Any]) -> Question:
    lists = {name: tuple(row.get(name, ())) for name in ("sets", "choices")}
    return Question(**{**row, **lists})

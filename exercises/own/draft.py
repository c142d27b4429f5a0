"""A circuit of one's own while it is made: from a template's answers, later from tables."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import tomli_w

from circuits.filecheck.toml_text import data_of
from circuits.files import NAME, circuit_from_text
from circuits.model import Circuit
from exercises.own.filling import Answers, Cavities, NotFilled, filled
from exercises.own.making import Made, made
from exercises.own.sheets import COLUMNS, Sheets, sheets_of
from exercises.own.templates import template

PAPER = "own_circuit"
"""The kind of paper that a draft is kept as."""


@dataclass(frozen=True)
class OwnCircuit:
    """A circuit of one's own as it stands.

    ``sheets`` is None while it still follows its template's questions; once there are tables
    they alone count. ``template`` is empty for a circuit that came as a file.
    """

    title: str
    template: str = ""
    answers: Answers = field(default_factory=Answers)
    sheets: Sheets | None = None


@dataclass(frozen=True)
class Standing:
    """What a draft makes now: a circuit, or the problems by question, connector or row."""

    made: Made
    answers: Mapping[str, str] = field(default_factory=dict)


def begun_from(template_name: str) -> OwnCircuit:
    """Return a draft that knows nothing yet."""
    return OwnCircuit(template(template_name).title, template_name)


def begun_from_text(text: str, *, title: str) -> OwnCircuit:
    """Return a draft of a circuit file's text.

    Raises
    ------
    CircuitError
        If it is no good circuit file: a sentence per problem.
    """
    circuit_from_text(text, name=title)
    body = data_of(text, file=f"{title}.toml")
    return OwnCircuit(body["title"], sheets=sheets_of(body))


def title_problem(title: str) -> str:
    """Return what is wrong with a title, or empty.

    >>> title_problem("My wagon's steps"), title_problem("<b>")
    ('', "found '<b>'; accepted: letters, digits, spaces, ' ( ) - _, up to 80.")
    """
    if NAME.fullmatch(title):
        return ""
    return f"found {title[:40]!r}; accepted: letters, digits, spaces, ' ( ) - _, up to 80."


def standing(own: OwnCircuit) -> Standing:
    """Return what a draft makes as it stands."""
    told = title_problem(own.title)
    if told:
        return Standing(Made(None, {}, {}), {"title": told})
    if own.sheets is not None:
        return Standing(made(own.sheets, name=own.title))
    try:
        body = filled(template(own.template), own.answers) | {"title": own.title}
    except NotFilled as error:
        return Standing(Made(None, {}, {}), error.problems)
    return Standing(made(sheets_of(body), name=own.title))


def nearest_circuit(own: OwnCircuit, now: Standing) -> Circuit | None:
    """Return the circuit to draw: wrong answers count as not given, wrong rows make none."""
    if now.made.circuit is not None or own.sheets is not None:
        return now.made.circuit
    title = own.title if not title_problem(own.title) else template(own.template).title
    return standing(to_tables(replace(own, title=title))).made.circuit


def to_tables(own: OwnCircuit) -> OwnCircuit:
    """Return the draft with tables in place of its questions; wrong answers are usual again."""
    if own.sheets is not None:
        return own
    wrong = standing(own).answers
    answers = Answers(
        {name: text for name, text in own.answers.typed.items() if name not in wrong},
        {name: one for name, one in own.answers.cavities.items() if name not in wrong},
    )
    body = filled(template(own.template), answers) | {"title": own.title}
    return replace(own, answers=answers, sheets=sheets_of(body))


def toml_of(made_now: Made) -> str:
    """Return what was made as the text of a circuit file."""
    return tomli_w.dumps(dict(made_now.body))


def own_to_json(own: OwnCircuit) -> dict[str, Any]:
    """Return a draft as data that JSON can hold."""
    cavities = own.answers.cavities.items()
    return {
        "title": own.title,
        "template": own.template,
        "typed": dict(own.answers.typed),
        "cavities": {name: [one.count, *one.numbers] for name, one in cavities},
        "tables": own.sheets and {name: list(rows) for name, rows in own.sheets.tables.items()},
        "rest": own.sheets and dict(own.sheets.rest),
    }


def own_from_json(data: Mapping[str, Any]) -> OwnCircuit:
    """Return the draft that ``own_to_json`` made."""
    cavities = {name: Cavities(one[0], tuple(one[1:])) for name, one in data["cavities"].items()}
    sheets = None
    if data["tables"] is not None:
        sheets = Sheets({name: tuple(data["tables"][name]) for name in COLUMNS}, data["rest"])
    return OwnCircuit(data["title"], data["template"], Answers(data["typed"], cavities), sheets)

"""A template filled in: the data of a circuit, and how unsure each of its values is."""

import math
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from circuits.filecheck.value_checks import MOST_UNSURE
from exercises.own.answers import Answered, answered
from exercises.own.cavities import cavity_problem, rearranged
from exercises.own.templates import Template

_AREA, _LENGTH = "area_mm2", "length_m"


@dataclass(frozen=True, slots=True)
class Cavities:
    """How many cavities a connector has, and the number of each of the template's."""

    count: int
    numbers: tuple[int, ...]


@dataclass(frozen=True)
class Answers:
    """What was typed by question, and the cavities by connector; what is missing is usual."""

    typed: Mapping[str, str] = field(default_factory=dict)
    cavities: Mapping[str, Cavities] = field(default_factory=dict)


class NotFilled(ValueError):  # noqa: N818 - reads as a sentence where it is caught
    """A template cannot be filled in: ``problems`` has a sentence by question or connector."""

    def __init__(self, problems: Mapping[str, str]) -> None:
        super().__init__(" ".join(f"{name}: {told}" for name, told in problems.items()))
        self.problems = dict(problems)


def filled(template: Template, answers: Answers) -> dict[str, Any]:
    """Return the data of a circuit: the template's with the answers in it.

    Raises
    ------
    NotFilled
        With a sentence for every answer that cannot be taken.
    """
    given, problems = _given(template, answers.typed)
    problems |= dict(_cavity_problems(template, answers.cavities))
    if problems:
        raise NotFilled(problems)
    body = deepcopy(dict(template.body))
    unsure: dict[str, float] = {}
    for question in template.questions:
        one = given[question.name]
        for target in question.sets:
            name, _, key = target.partition(".")
            _entry(body, name)[key] = one.value
            unsure[name] = unsure.get(name, 0.0) + one.unsure
    if template.bands_of:
        _set_bands(template, body)
    body["unsure"] = [
        {"name": name, "share": min(MOST_UNSURE, share)} for name, share in unsure.items() if share
    ]
    for name, cavities in answers.cavities.items():
        body = rearranged(body, name, cavities.count, cavities.numbers)
    return body


def _given(
    template: Template, typed: Mapping[str, str]
) -> tuple[dict[str, Answered], dict[str, str]]:
    given: dict[str, Answered] = {}
    problems: dict[str, str] = {}
    for question in template.questions:
        try:
            given[question.name] = answered(question, typed.get(question.name, ""))
        except ValueError as error:
            problems[question.name] = str(error)
    return given, problems


def _cavity_problems(
    template: Template, cavities: Mapping[str, Cavities]
) -> Iterator[tuple[str, str]]:
    labels = {row["name"]: tuple(row["labels"]) for row in template.body["connectors"]}
    for name, wanted in cavities.items():
        told = cavity_problem(labels[name], wanted.count, wanted.numbers)
        if told:
            yield name, told


def _entry(body: Mapping[str, Any], name: str) -> dict[str, Any]:
    rows: Sequence[dict[str, Any]] = [*body["parts"], *body["wires"]]
    return next(row for row in rows if row["name"] == name)


def _set_bands(template: Template, body: Mapping[str, Any]) -> None:
    """Put a reader's bands midway between the volts that its buttons give.

    A button of R ohms below a pull-up of P ohms on U volts gives U * R / (R + P); the bands
    have the buttons' names.
    """
    unit = _entry(body, template.bands_of)
    volt, pull_up = unit["reference_volt"], unit["pull_up_ohm"]
    buttons = [row for row in body["parts"] if row["kind"] == "coded_button"]
    _check_apart(template, buttons)
    given = {row["name"]: volt * row["ohm"] / (row["ohm"] + pull_up) for row in buttons}
    rows = sorted(unit["bands"], key=lambda row: given.get(row["name"], math.inf))
    levels = [given.get(row["name"], volt) for row in rows]
    edges = [0.0, *((low + high) / 2 for low, high in pairwise(levels)), 1.2 * volt]
    for row, (low, high) in zip(rows, pairwise(edges), strict=True):
        row |= {"low_volt": low, "high_volt": high}
    unit["bands"] = rows


def _check_apart(template: Template, buttons: Sequence[Mapping[str, Any]]) -> None:
    questions = {
        target: question.name for question in template.questions for target in question.sets
    }
    first: dict[float, str] = {}
    for row in buttons:
        same = first.setdefault(row["ohm"], row["title"])
        if same != row["title"]:
            told = f"found {row['ohm']:g} Ω, as for the {same.lower()}; accepted: another"
            raise NotFilled({questions[f"{row['name']}.ohm"]: f"{told} for each button."})

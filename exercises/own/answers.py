"""What somebody typed in answer to a question: a number, or nothing for *not known*."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from exercises.own.templates import Question

_NUMBER = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*(\S*)\s*")


@dataclass(frozen=True, slots=True)
class Answered:
    """What stands for an answer: the value, and how far it may be off, of 1."""

    value: float
    unsure: float


def answered(question: Question, typed: str) -> Answered:
    """Return what stands for what was typed; the usual value for nothing.

    >>> from exercises.own.templates import template
    >>> feed, = (q for q in template("plain_load").questions if q.name == "feed_length")
    >>> answered(feed, "3,2 m"), answered(feed, "")
    (Answered(value=3.2, unsure=0.0), Answered(value=2.0, unsure=0.4))

    Raises
    ------
    ValueError
        With one sentence: what was found, what is accepted.
    """
    if not typed.strip():
        return Answered(question.usual, question.unsure)
    found = _NUMBER.fullmatch(typed)
    if found is None or found[2] not in _units(question.unit):
        raise ValueError(f"found {typed.strip()[:40]!r}; accepted: {accepted(question)}.")
    value = float(found[1].replace(",", "."))
    if not _within(question, value):
        raise ValueError(f"found {value:g} {question.unit}; accepted: {accepted(question)}.")
    return Answered(value, 0.0)


def _units(unit: str) -> tuple[str, ...]:
    spelt = {"Ω": ("ohm", "ohms"), "mm²": ("mm2",)}
    return ("", unit, *spelt.get(unit, ()))


def _within(question: Question, value: float) -> bool:
    if question.choices:
        return value in question.choices
    least, most = question.least, question.most
    return (least is None or value >= least) and (most is None or value <= most)


def accepted(question: Question) -> str:
    """Return which answers a question takes, in words."""
    if question.choices:
        return f"{_listed(question.choices)} {question.unit}, or nothing if you do not know"
    return f"{question.least:g} to {question.most:g} {question.unit}, or nothing if you do not know"


def _listed(choices: Sequence[float]) -> str:
    *most, last = [f"{choice:g}" for choice in choices]
    return f"{', '.join(most)} or {last}"

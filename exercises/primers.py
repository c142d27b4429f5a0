"""A primer: one screen that teaches a skill on a live circuit, with one thing to measure.

Every answer in it is a reading: the model is asked, nobody types it in.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from circuits.instruments import Measurement, Reading, read
from circuits.meter import FUNCTIONS, show
from circuits.model import Circuit, CircuitError, Fault, Setting, Vehicle
from circuits.points import find_point
from circuits.settings import setting_words
from exercises.actions import Action, perform
from exercises.attempt import Attempt, step
from exercises.events import Event
from exercises.exercise import Exercise
from exercises.shown import Shown, reading_text, shown_of

READING = "{reading}"
"""Stands in a text for what the meter shows."""

CONTROLS = ("battery", "connectors", "fuses", "wiggle")
"""What can be set on a primer's vehicle besides its switches."""

_INSTRUMENT_WORDS: Mapping[str, str] = {
    "volts": "volts",
    "ohms": "ohms",
    "continuity": "continuity",
    "diode": "the diode test",
    "amps": "amperes, in line",
    "clamp": "the clamp",
    "lamp": "the test lamp",
}


@dataclass(frozen=True, slots=True)
class Band:
    """What a reading may be: from ``least`` to ``most`` in its unit, or ``OL``."""

    least: float = 0.0
    most: float = 0.0
    over: bool = False
    """Whether it is the display ``OL`` that is meant."""

    def holds(self, value: float | None) -> bool:
        """Say whether a displayed value, None for ``OL``, is meant."""
        return self.over if value is None else not self.over and self.least <= value <= self.most


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to find out with the meter.

    Attributes
    ----------
    ask : what to find out.
    told : said of the reading once it is taken.
    band : what the texts say of the reading.
    points : further pairs of test points that give the same reading.
    """

    ask: str
    told: str
    setting: Setting
    what: Measurement
    band: Band
    points: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """An answer in words, right if the reading is in its band."""

    says: str
    band: Band


@dataclass(frozen=True, slots=True)
class Question:
    """A question that a reading answers.

    It is answered by one of ``choices``; or by the value, to be told from the values
    ``others`` (None is ``OL``); or by a number that is ``within`` so much of the value.

    Attributes
    ----------
    faults : the faults of the vehicle in question, where they are not the primer's.
    """

    ask: str
    told: str
    setting: Setting
    what: Measurement
    faults: tuple[Fault, ...]
    choices: tuple[Choice, ...] = ()
    others: tuple[float | None, ...] = ()
    within: float = 0.0

    @property
    def unit(self) -> str:
        """The unit of the answer."""
        return FUNCTIONS[self.what.instrument].unit


@dataclass(frozen=True, slots=True)
class Primer:
    """A primer as read from its file.

    Attributes
    ----------
    order : place in the list of primers, from 1.
    paragraphs : three short texts.
    controls : which of ``CONTROLS`` the vehicle shows.
    practice : the circuit, what is wrong with it, and the instruments.
    """

    name: str
    title: str
    order: int
    paragraphs: tuple[str, ...]
    task: Task
    questions: tuple[Question, ...]
    practice: Exercise
    controls: tuple[str, ...] = ()

    @property
    def circuit(self) -> Circuit:
        """The circuit that it is taught on."""
        return self.practice.circuit


@dataclass(frozen=True, slots=True)
class Option:
    """An answer to press, and whether it is right."""

    words: str
    right: bool


def right_answer(primer: Primer, question: Question) -> Reading:
    """Return the reading that answers a question."""
    vehicle = Vehicle(primer.circuit, question.faults, question.setting)
    return read(vehicle, question.what)


def task_reading(primer: Primer) -> Reading:
    """Return what the meter shows when the task is done as asked."""
    vehicle = Vehicle(primer.circuit, primer.practice.faults, primer.task.setting)
    return read(vehicle, primer.task.what)


def options(primer: Primer, question: Question) -> tuple[Option, ...]:
    """Return the answers to choose from; none where a number is asked for."""
    right = right_answer(primer, question)
    if question.choices:
        return tuple(Option(c.says, c.band.holds(right.value)) for c in question.choices)
    if not question.others:
        return ()
    instrument = question.what.instrument
    values = sorted((right.value, *question.others), key=_ol_last)
    return tuple(Option(_displayed(instrument, value), value == right.value) for value in values)


def _ol_last(value: float | None) -> tuple[bool, float]:
    return (value is None, value or 0.0)


def _displayed(instrument: str, value: float | None) -> str:
    return reading_text(show(instrument, value).display, FUNCTIONS[instrument].unit)


def number_is_right(primer: Primer, question: Question, given: float) -> bool:
    """Say whether a number, in the question's unit, is near enough to the reading."""
    value = right_answer(primer, question).value
    return value is not None and abs(given - value) <= question.within * (1 + 1e-9)


def explanation(primer: Primer, question: Question) -> str:
    """Return why the answer is what it is, with the reading."""
    return with_reading(question.told, shown_of(right_answer(primer, question)))


def with_reading(text: str, shown: Shown) -> str:
    """Return a text with what the meter showed in its place."""
    return text.replace(READING, shown.text)


def where_read(primer: Primer, question: Question) -> str:
    """Return how the reading of a question is taken: instrument, leads, setting."""
    words = setting_words(primer.circuit, question.setting)
    how = _INSTRUMENT_WORDS[question.what.instrument]
    return f"{how}, {question.what.where()}, {words}"


def task_done(primer: Primer, measurement: Measurement, setting: Setting) -> bool:
    """Say whether a measurement, taken in this setting, is the one that the task is after."""
    return not task_lacks(primer, measurement, setting)


def task_lacks(primer: Primer, measurement: Measurement, setting: Setting) -> str:
    """Return what a measurement still lacks to be the task's, a sentence; empty if nothing.

    Leads the other way round count: the display only changes its sign.
    """
    task = primer.task
    if _comparable(setting, task) != _comparable(task.setting, task):
        return f"Set the vehicle so: {setting_words(primer.circuit, task.setting)}."
    if measurement.instrument != task.what.instrument:
        return f"For this, set the meter to {_INSTRUMENT_WORDS[task.what.instrument]}."
    if not _is_there(primer, measurement, setting):
        what = "clamp is round another wire" if task.what.wire else "leads are on other points"
        return f"That is a reading, but the {what} than this task is after."
    if task.what.zeroed and not measurement.zeroed:
        return "Zero the leads first, or their own resistance is in the reading."
    if task.what.hold and not measurement.hold:
        return "Switch Hold on, so that the meter keeps the lowest and the highest value."
    return ""


def _comparable(setting: Setting, task: Task) -> Setting:
    """Return a setting without its moment where that makes no difference."""
    timeless = task.what.hold or task.setting.isolated
    return replace(setting, moment="at_rest") if timeless else setting


def _is_there(primer: Primer, measurement: Measurement, setting: Setting) -> bool:
    task = primer.task
    if task.what.instrument == "clamp":
        return measurement.wire == task.what.wire
    wanted = [(task.what.red, task.what.black), *task.points]
    found = (measurement.red, measurement.black)
    return _nodes(primer.circuit, setting, found) in [
        _nodes(primer.circuit, setting, pair) for pair in wanted
    ]


def _nodes(circuit: Circuit, setting: Setting, pair: tuple[str, str]) -> frozenset[str]:
    """Return the nodes of two test points; none if the setting hides one."""
    try:
        return frozenset(find_point(circuit, setting, name).node for name in pair)
    except CircuitError:
        return frozenset()


def practise(attempt: Attempt, action: Action, *, key: str = "") -> Attempt:
    """Return the attempt after an act that nobody keeps.

    Raises
    ------
    AttemptError, CircuitError
        As ``exercises.actions.perform``.
    """
    draft = perform(attempt, action)
    return step(attempt, Event(attempt.last + 1, key, draft.kind, draft.body, 0, ""))

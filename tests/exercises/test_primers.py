"""Primers: each loads, its task can be done, its answers are readings, its texts are plain."""

import re
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from circuits.filecheck.toml_text import data_of
from circuits.files import library_circuit
from circuits.instruments import Measurement
from circuits.model import AS_FOUND, Setting
from circuits.settings import setting_from, switches
from exercises.actions import Action, ChangeSetting, PlaceLead, PutClamp, SetHold, TurnDial
from exercises.actions import ZeroLeads as Zero
from exercises.attempt import Attempt
from exercises.files import exercise_names, library_exercise
from exercises.primer_files import (
    PRIMERS,
    PrimerFileError,
    library_primer,
    primer_from,
    primer_names,
)
from exercises.primers import (
    READING,
    Primer,
    Question,
    explanation,
    number_is_right,
    options,
    practise,
    right_answer,
    task_done,
    task_lacks,
    task_reading,
)
from exercises.skills import SKILLS, primer_for

NAMES = primer_names()
QUESTIONS = [(name, number) for name in NAMES for number in range(2)]
NUMBERS = [(name, n) for name, n in QUESTIONS if library_primer(name).questions[n].within]
MARKUP = re.compile(r"[*_#~`<>\[\]\\|$]|://|:\w+:|^\s*(?:[-+]|\d+\.)\s", re.MULTILINE)


def _texts(primer: Primer) -> Iterator[str]:
    yield from (primer.title, *primer.paragraphs, primer.task.ask, primer.task.told)
    for question in primer.questions:
        yield from (question.ask, question.told, *(choice.says for choice in question.choices))


def _asked(name: str, number: int) -> tuple[Primer, Question]:
    primer = library_primer(name)
    return primer, primer.questions[number]


def _acts(primer: Primer) -> Iterator[Action]:
    """Yield what a learner does who does the task, one act after another."""
    what = primer.task.what
    yield ChangeSetting(primer.task.setting)
    yield TurnDial(what.instrument)
    if what.zeroed:
        yield Zero()
    if what.hold:
        yield SetHold(on=True)
    if what.wire:
        yield PutClamp(what.wire)
    else:
        yield PlaceLead("red", what.red)
        yield PlaceLead("black", what.black)


def _worked(primer: Primer) -> Attempt:
    attempt = Attempt(primer.practice)
    for action in _acts(primer):
        attempt = practise(attempt, action)
    return attempt


def test_there_are_twelve_primers_in_one_order() -> None:
    assert len(NAMES) == 12
    assert [library_primer(name).order for name in NAMES] == list(range(1, 13))


@pytest.mark.parametrize("name", NAMES)
def test_the_task_is_done_by_working_the_vehicle_and_placing_the_leads(name: str) -> None:
    primer = library_primer(name)
    entry = _worked(primer).entries[-1]
    assert task_done(primer, entry.what, entry.setting)
    assert primer.task.band.holds(entry.shown.value)


@pytest.mark.parametrize("name", NAMES)
def test_the_vehicle_of_a_primer_shows_every_control_that_its_task_and_questions_need(
    name: str,
) -> None:
    primer = library_primer(name)
    known = dict(switches(primer.circuit))
    for asked in (primer.task, *primer.questions):
        setting = asked.setting
        assert {switch for switch, _ in setting.positions} <= set(known)
        needed = {
            "battery": setting.isolated,
            "connectors": bool(setting.unmated),
            "fuses": bool(setting.pulled),
            "wiggle": bool(setting.moved),
        }
        assert {control for control, is_needed in needed.items() if is_needed} <= set(
            primer.controls
        )
        assert not setting.jumpers
        assert not setting.warm


@pytest.mark.parametrize("name", NAMES)
def test_further_points_of_a_task_read_what_its_text_says(name: str) -> None:
    primer = library_primer(name)
    for red, black in primer.task.points:
        what = replace(primer.task.what, red=red, black=black)
        moved = replace(primer, task=replace(primer.task, what=what))
        assert primer.task.band.holds(task_reading(moved).value)
        assert task_done(primer, what, primer.task.setting)


@pytest.mark.parametrize("name", NAMES)
def test_the_task_asks_for_the_vehicle_to_be_set(name: str) -> None:
    primer = library_primer(name)
    assert task_lacks(primer, primer.task.what, AS_FOUND).startswith("Set the vehicle so: ")


@pytest.mark.parametrize(("name", "number"), QUESTIONS)
def test_exactly_one_answer_is_right(name: str, number: int) -> None:
    primer, question = _asked(name, number)
    found = options(primer, question)
    if not found:
        value = right_answer(primer, question).value
        assert value is not None
        assert number_is_right(primer, question, value)
        return
    assert 3 <= len(found) <= 4
    assert len({option.words for option in found}) == len(found)
    assert [option.right for option in found].count(True) == 1


@pytest.mark.parametrize(("name", "number"), QUESTIONS)
def test_the_right_answer_is_told_from_the_others_by_more_than_the_meters_accuracy(
    name: str, number: int
) -> None:
    primer, question = _asked(name, number)
    reading = right_answer(primer, question)
    for other in question.others:
        if other is None or reading.value is None:
            assert other is not reading.value
        else:
            assert abs(other - reading.value) > reading.off
    for choice in question.choices:
        if reading.value is not None:
            ends = (reading.value - reading.off, reading.value + reading.off)
            assert choice.band.holds(ends[0]) == choice.band.holds(ends[1])
            assert choice.band.holds(reading.value) == choice.band.holds(ends[0])


@pytest.mark.parametrize(("name", "number"), QUESTIONS)
def test_bands_of_the_answers_do_not_overlap(name: str, number: int) -> None:
    _, question = _asked(name, number)
    bands = sorted((c.band.least, c.band.most) for c in question.choices if not c.band.over)
    assert all(least < most for least, most in bands)
    for (_, most), (least, _) in pairwise(bands):
        assert most <= least
    assert [choice.band.over for choice in question.choices].count(True) <= 1


@pytest.mark.parametrize(("name", "number"), NUMBERS)
def test_a_number_may_be_off_by_more_than_the_meters_accuracy(name: str, number: int) -> None:
    primer, question = _asked(name, number)
    reading = right_answer(primer, question)
    assert reading.value is not None
    assert question.within > reading.off
    assert not number_is_right(primer, question, reading.value + 2 * question.within)
    assert not number_is_right(primer, question, 0.0)


@pytest.mark.parametrize(("name", "number"), QUESTIONS)
def test_the_explanation_shows_the_reading(name: str, number: int) -> None:
    primer, question = _asked(name, number)
    told = explanation(primer, question)
    assert READING not in told
    assert right_answer(primer, question).display.rstrip("kMm") in told


@pytest.mark.parametrize("name", NAMES)
def test_texts_hold_no_markup_and_no_word_is_left_to_fill_in(name: str) -> None:
    for text in _texts(library_primer(name)):
        assert not MARKUP.search(text), text
        assert "{" not in text.replace(READING, "")


@pytest.mark.parametrize("name", NAMES)
def test_three_paragraphs_of_60_to_90_words(name: str) -> None:
    lengths = [len(text.split()) for text in library_primer(name).paragraphs]
    assert len(lengths) == 3
    assert all(60 <= length <= 90 for length in lengths), lengths


# ---- when a task counts as done, on the steps' ground


GROUND = library_primer("supply_ground")
DEPLOY = GROUND.task.setting


@pytest.mark.parametrize(
    ("what", "setting", "lacks"),
    [
        pytest.param(Measurement("volts", "BODY", "C1.5"), DEPLOY, "", id="leads swapped"),
        pytest.param(
            Measurement("volts", "C1.5", "BODY"), AS_FOUND, "Set the vehicle so", id="not set"
        ),
        pytest.param(
            Measurement("volts", "C1.5", "BODY"),
            replace(DEPLOY, moment="at_rest"),
            "while moving",
            id="steps at rest",
        ),
        pytest.param(
            Measurement("ohms", "C1.5", "BODY"), DEPLOY, "set the meter to volts", id="ohms"
        ),
        pytest.param(Measurement("volts", "C1.2", "BODY"), DEPLOY, "other points", id="feed"),
        pytest.param(Measurement("volts", "C9.9", "BODY"), DEPLOY, "other points", id="no point"),
    ],
)
def test_what_a_reading_lacks_to_be_the_tasks(
    what: Measurement, setting: Setting, lacks: str
) -> None:
    found = task_lacks(GROUND, what, setting)
    assert lacks in found
    assert bool(lacks) == bool(found)


def test_ohms_with_the_leads_not_zeroed_are_not_the_task() -> None:
    primer = library_primer("meter")
    what = replace(primer.task.what, zeroed=False)
    assert "Zero the leads" in task_lacks(primer, what, primer.task.setting)


def test_hold_counts_whatever_the_moment_and_is_asked_for() -> None:
    primer = library_primer("current")
    at_rest = replace(primer.task.setting, moment="at_rest")
    assert task_done(primer, primer.task.what, at_rest)
    assert "Hold" in task_lacks(primer, replace(primer.task.what, hold=False), at_rest)


def test_a_sound_ground_does_not_read_what_the_ground_primer_says() -> None:
    sound = replace(GROUND, practice=replace(GROUND.practice, faults=()))
    assert not GROUND.task.band.holds(task_reading(sound).value)


# ---- files


def _data(name: str = "supply_ground") -> dict[str, Any]:
    path = PRIMERS / f"{name}.toml"
    return deepcopy(data_of(path.read_text(encoding="utf-8"), file=path.name))


def _problems(data: dict[str, Any]) -> str:
    with pytest.raises(PrimerFileError) as caught:
        primer_from(data, name="mine")
    return "\n".join(caught.value.problems)


def _with(at: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    data = _data()
    inner: Any = data
    for key in at[:-1]:
        inner = inner[key]
    inner[at[-1]] = value
    return data


@pytest.mark.parametrize(
    ("at", "value", "told"),
    [
        pytest.param(("titel",), "x", "titel: found an unknown key; did you mean", id="key"),
        pytest.param(("order",), 0, "order: found 0; accepted: 1 or more", id="order"),
        pytest.param(("circuit",), "side_step", "did you mean 'side_steps'?", id="circuit"),
        pytest.param(("faults",), ["G1:rusty"], "faults > no. 1: ", id="fault"),
        pytest.param(("paragraphs", 1), "Too short.", "found 2 words", id="paragraph"),
        pytest.param(("controls",), ["brake"], "controls > no. 1: found 'brake'", id="control"),
        pytest.param(("task", "volts"), ["C1.9", "BODY"], "task: test point 'C1.9'", id="point"),
        pytest.param(("task", "vots"), ["C1.5", "BODY"], "task > vots: found", id="typo"),
        pytest.param(("task", "told"), "Good.", "task > told: found 'Good.'", id="no reading"),
        pytest.param(("task", "told"), "{reading} {x}", "plain text", id="braces"),
        pytest.param(
            ("task", "points"), [["C1.5", "C1.77"]], "task > points > no. 1: ", id="further point"
        ),
        pytest.param(
            ("questions", 0, "set"), {"rocker": "deply"}, "questions > no. 1: ", id="position"
        ),
        pytest.param(
            ("questions", 1, "others"), [0.0, 1.0], "found 2 of choices, others, within", id="two"
        ),
        pytest.param(("questions", 0, "others"), [0.0], "makes 2 answers", id="few answers"),
        pytest.param(("questions", 0, "others"), ["much"], "questions > no. 1 > others", id="word"),
        pytest.param(
            ("questions", 0, "faults"), ["G1:rusty"], "questions > no. 1 > faults: ", id="own fault"
        ),
        pytest.param(("questions",), [], "a list of 2 tables", id="no questions"),
        pytest.param(("questions", 0, "hold"), True, "hold: found true", id="hold"),
    ],
)
def test_a_wrong_entry_is_told_by_place(at: tuple[str | int, ...], value: Any, told: str) -> None:
    assert told in _problems(_with(at, value))


def test_all_problems_are_told_at_once() -> None:
    data = _with(("order",), "first")
    data["task"]["volts"] = ["C1.9", "BODY"]
    data["questions"][1]["set"] = {"rocker": "up"}
    found = _problems(data)
    for place in ("order: ", "task: ", "questions > no. 2: "):
        assert f"mine.toml: {place}" in found


def test_a_question_without_a_measurement_is_refused() -> None:
    data = _data()
    del data["questions"][0]["volts"]
    assert "questions > no. 1: measures nothing" in _problems(data)


def test_an_unknown_primer_is_told_with_the_nearest() -> None:
    with pytest.raises(PrimerFileError, match="did you mean 'drains'"):
        library_primer("drain")


# ---- skills


def test_every_skill_has_its_primer_and_its_title() -> None:
    assert {skill.primer for skill in SKILLS} == set(NAMES)
    for skill in SKILLS:
        assert skill.title == library_primer(skill.primer).title
        assert primer_for(skill.title) == skill.primer


@pytest.mark.parametrize("name", exercise_names())
def test_the_skill_of_every_exercise_is_one_of_the_table(name: str) -> None:
    assert primer_for(library_exercise(name).skill), library_exercise(name).skill


def test_no_words_stand_for_two_skills() -> None:
    words = [text.casefold() for skill in SKILLS for text in {skill.name, skill.title.casefold()}]
    assert len(set(words)) == len(words)


def test_a_setting_of_the_task_is_one_that_the_circuit_can_take() -> None:
    deploy = setting_from(library_circuit("side_steps"), positions={"rocker": "deploy"})
    assert deploy == DEPLOY

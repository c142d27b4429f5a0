"""Whatever an exercise file holds, it is read or refused in sentences; nothing else is raised."""

from copy import deepcopy
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from circuits.filecheck.toml_text import data_of
from circuits.model import CircuitError
from exercises.exercise import Exercise
from exercises.files import ExerciseFileError, exercise_from
from tests.conftest import FULL
from tests.exercises.learners import body, job

CIRCUIT = job().circuit
EXAMPLES = 2000 if FULL else 60

WORDS = st.sampled_from(
    [
        "",
        "C1.1",
        "C1.1@unit",
        "BODY",
        "push",
        "pressed",
        "W5:open",
        "G1:corroded:20",
        "W5:open@warm",
    ]
)
LEAVES = (
    st.none() | st.booleans() | st.integers(-3, 10**25) | st.floats() | st.text(max_size=12) | WORDS
)
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3),
    max_leaves=6,
)
WHOLE = body(
    "G1:corroded:20",
    severity=[10.0, 30.0],
    also=[["C1.2:corroded:20"]],
    instruments=["volts", "ohms"],
    closed_places=["loom"],
    path=[
        {"because": "Listen.", "set": {"push": "pressed"}, "volts": ["C1.2", "BODY"]},
        {
            "because": "Apart.",
            "unmate": ["C1"],
            "isolate": True,
            "ohms": ["C1.1@unit", "C1.2@unit"],
        },
    ],
)


def _entries(data: Any, place: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the place of every value within data."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data)
    found = []
    for key, value in pairs:
        found.append((*place, key))
        if isinstance(value, dict | list):
            found += _entries(value, (*place, key))
    return found


PLACES = _entries(WHOLE)


def _read(data: dict[str, Any]) -> Exercise | tuple[str, ...]:
    try:
        return exercise_from(data, CIRCUIT, name="job")
    except (ExerciseFileError, CircuitError) as error:
        return error.problems


def _text_read(text: str) -> Exercise | tuple[str, ...]:
    try:
        data = data_of(text, file="job.toml")
    except CircuitError as error:
        return error.problems
    return _read(data)


def _is_told(answer: Exercise | tuple[str, ...]) -> bool:
    if isinstance(answer, Exercise):
        return True
    return bool(answer) and all(one.startswith("job.toml") and "\n" not in one for one in answer)


def test_the_file_that_is_spoilt_below_is_good() -> None:
    assert isinstance(_read(deepcopy(WHOLE)), Exercise)


@settings(max_examples=EXAMPLES)
@given(st.sampled_from(PLACES), VALUES)
@example(("closed_places",), [""])
def test_one_value_of_another_kind_is_read_or_told(place, value) -> None:
    data = deepcopy(WHOLE)
    within: Any = data
    for key in place[:-1]:
        within = within[key]
    within[place[-1]] = value
    assert _is_told(_read(data))


@settings(max_examples=EXAMPLES)
@given(st.dictionaries(st.sampled_from([*WHOLE, "path", "colour"]), VALUES, max_size=6))
def test_any_keys_with_any_values_are_read_or_told(changed) -> None:
    assert _is_told(_read(deepcopy(WHOLE) | changed))


@settings(max_examples=EXAMPLES)
@given(st.text(alphabet="abc=[]{}\"'.#,1\n\u2028\x00 ", max_size=80))
def test_any_text_is_data_or_refused(text) -> None:
    assert _is_told(_text_read(text))

"""A circuit of one's own while it is made: nothing typed is lost, whatever is wrong with it."""

import json
from dataclasses import replace

import pytest

from circuits.files import circuit_from_text
from circuits.model import CircuitError
from exercises.own.draft import (
    OwnCircuit,
    begun_from,
    begun_from_text,
    own_from_json,
    own_to_json,
    standing,
    to_tables,
    toml_of,
)
from exercises.own.filling import Answers, Cavities
from exercises.own.templates import template_names

HALF_TYPED = replace(
    begun_from("plain_load"),
    title="My wagon's horn",
    answers=Answers({"fuse": "15 A", "area": "thick"}, {"CL": Cavities(4, (2, 3))}),
)


@pytest.mark.parametrize("own", [HALF_TYPED, to_tables(HALF_TYPED)], ids=["answers", "tables"])
def test_a_draft_is_kept_as_it_is_wrong_answers_and_all(own: OwnCircuit) -> None:
    assert own_from_json(json.loads(json.dumps(own_to_json(own)))) == own


def test_a_wrong_answer_is_told_and_makes_no_circuit() -> None:
    now = standing(HALF_TYPED)
    assert now.made.circuit is None
    assert list(now.answers) == ["area"]
    assert now.answers["area"].startswith("found 'thick'; accepted: 0.35")


@pytest.mark.parametrize("name", template_names())
def test_turning_to_tables_changes_nothing_of_the_circuit(name: str) -> None:
    own = begun_from(name)
    before, after = standing(own).made.circuit, standing(to_tables(own)).made.circuit
    assert before is not None
    assert before == after


def test_turning_to_tables_keeps_the_answers_that_are_right() -> None:
    circuit = standing(to_tables(HALF_TYPED)).made.circuit
    assert circuit is not None
    assert circuit.title == "My wagon's horn"
    assert circuit.part_by_name["F1"].spec.rating_a == 15  # type: ignore[attr-defined]
    assert circuit.connector_by_name["CL"].labels == (
        "Spare 1",
        "Load feed",
        "Load ground",
        "Spare 4",
    )


def test_a_circuit_goes_out_as_a_file_and_comes_back_the_same() -> None:
    made = standing(to_tables(HALF_TYPED)).made
    text = toml_of(made)
    assert circuit_from_text(text, name="My wagon's horn") == made.circuit
    assert standing(begun_from_text(text, title="My wagon's horn")).made.circuit == made.circuit


def test_a_file_that_is_no_circuit_is_refused_with_its_problems() -> None:
    with pytest.raises(CircuitError, match="parts: missing"):
        begun_from_text('title = "Half"\n', title="half")


@pytest.mark.parametrize("title", ["", "<script>", "x" * 81, "=1+1", "a\nb"])
def test_a_title_that_is_no_plain_line_is_told(title: str) -> None:
    now = standing(replace(HALF_TYPED, title=title))
    assert now.made.circuit is None
    assert "accepted: letters" in now.answers["title"]

"""What an instructor wishes for becomes an exercise that can be solved, or is told why not."""

import json
from pathlib import Path
from random import Random

import pytest

from circuits.behaviour import observe
from circuits.filecheck.toml_text import data_of
from circuits.files import LIBRARY, library_circuit
from circuits.model import Fault, Vehicle
from exercises.authoring.composing import Composed, composed, fault_text
from exercises.authoring.symptom_words import NOTHING, suggested_complaint
from exercises.authoring.wish import Wish, drawn_fault, kinds_in, places_for
from exercises.files import ExerciseFileError, exercise_of
from tests.exercises.planning.tables import table_of

BELL = library_circuit("call_bell")
BELL_BODY = data_of((LIBRARY / "call_bell.toml").read_text(encoding="utf-8"), file="call_bell")


def made(wish: Wish) -> Composed:
    return composed(wish, "call_bell", BELL_BODY, table_of("call_bell"))


@pytest.mark.parametrize(
    "fault",
    [
        Fault("W5", "open"),
        Fault("W7", "high_resistance", 20.0),
        Fault("relay.contact", "contact_open"),
    ],
    ids=fault_text,
)
def test_a_fault_makes_an_exercise_that_its_own_path_solves(fault: Fault) -> None:
    found = made(Wish((fault,)))
    assert not found.problems
    assert fault.place in {one.place for one in found.review.path.group}
    assert found.review.path.minutes > 0


def test_what_is_made_is_an_exercise_as_of_a_file() -> None:
    wish = Wish((Fault("W5", "open"),), complaint="Bell dead.", hints=1, asks_expected=True)
    found = made(wish)
    again = exercise_of(found.entry)
    assert json.loads(json.dumps(found.entry.body)) == found.entry.body
    assert again == found.exercise
    assert (again.complaint, again.hints, again.asks_expected) == ("Bell dead.", 1, True)


def test_a_vehicle_that_works_as_designed_is_worked_in_every_position() -> None:
    found = made(Wish(()))
    assert not found.problems
    assert found.exercise.complaint == NOTHING


def test_a_fault_that_no_allowed_place_shows_is_told_with_what_would_cure_it() -> None:
    wish = Wish((Fault("W5", "open"),), closed_places=("pillar", "loom", "dash"))
    found = made(wish)
    assert found.problems
    assert any("allow" in sentence for sentence in found.advice)


def test_a_fault_that_the_circuit_cannot_have_is_refused_in_a_sentence() -> None:
    with pytest.raises(ExerciseFileError, match="seized"):
        made(Wish((Fault("W5", "seized"),)))


def test_a_complaint_tells_what_is_seen_and_never_the_fault() -> None:
    complaint = suggested_complaint(BELL, (Fault("W5", "open"),))
    assert "silent" in complaint
    assert "W5" not in complaint
    assert "open" not in complaint.lower()


def test_a_fault_that_shows_nowhere_gets_a_complaint_that_says_so() -> None:
    slight = Fault("W5", "high_resistance", 0.1)
    sound, faulty = observe(Vehicle(BELL)), observe(Vehicle(BELL, (slight,)))
    assert sound == faulty
    assert suggested_complaint(BELL, (slight,)) == NOTHING


def test_faults_of_a_kind_are_drawn_over_all_its_places() -> None:
    random = Random(3)
    drawn = {drawn_fault(BELL, "open", random).place for _ in range(300)}
    assert drawn == {place.name for place in places_for(BELL, "open")}
    assert "seized" not in kinds_in(BELL)


def test_the_name_of_what_was_made_says_nothing_of_its_fault() -> None:
    found = made(Wish((Fault("W5", "open"),)))
    told = f"{found.entry.name} {found.exercise.title}"
    assert "W5" not in told
    assert "open" not in told
    assert Path(f"{found.entry.name}.toml").name

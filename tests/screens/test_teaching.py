"""The instructor's screens: an exercise made, given, worked on, watched; learners see none."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from circuits.files import library_body
from circuits.model import Fault
from exercises.authoring.composing import composed
from exercises.authoring.wish import Wish
from exercises.identity.rules import Rules
from exercises.screens import ahead
from exercises.screens.start import read_slips
from tests.exercises.planning.tables import table_of
from tests.screens.jobs import LEFT_FEED_OPEN, entry, screen, texts
from tests.screens.tuesday import Class


def button(app: AppTest, label: str) -> None:
    found = [one for one in app.button if one.label == label]
    assert found, f"no button {label!r} among {[one.label for one in app.button]}"
    found[0].click().run()
    assert not app.exception


def labels(app: AppTest) -> set[str]:
    return {one.label for one in app.button}


def given(tuesday: Class, rules: Rules | None = None) -> str:
    found = tuesday.office.set_exercise(
        tuesday.class_id, entry(LEFT_FEED_OPEN), rules or Rules(), at=1_800_000_000_000
    )
    return found.id


@pytest.fixture
def with_table(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ahead, "table", lambda circuit: table_of(circuit.name))


@pytest.mark.usefixtures("with_table")
def test_an_exercise_is_made_checked_and_given_to_a_class(tuesday: Class) -> None:
    tuesday.look_as("darrow")
    app = screen("set_exercise", guarded=True).run()
    app.selectbox(key="set_kind").set_value("open").run()
    app.selectbox(key="set_place").set_value("W5").run()
    button(app, "Check it")
    assert "It can be solved by its own rules." in texts(app)
    button(app, "Give it to the class")
    (made,) = tuesday.office.assignments(tuesday.class_id)
    assert made.exercise_body["faults"] == ["W5:open"]
    assert "silent" in made.exercise_body["complaint"]


@pytest.mark.usefixtures("with_table")
def test_one_that_nobody_could_solve_is_not_offered_to_a_class(tuesday: Class) -> None:
    wish = Wish((Fault("W5", "open"),), closed_places=("pillar", "loom", "dash"))
    assert composed(wish, "call_bell", library_body("call_bell"), table_of("call_bell")).problems
    tuesday.look_as("darrow")
    app = screen("set_exercise", guarded=True).run()
    app.selectbox(key="set_kind").set_value("open").run()
    app.selectbox(key="set_place").set_value("W5").run()
    app.multiselect(key="set_closed").set_value(["pillar", "loom", "dash"]).run()
    button(app, "Check it")
    assert "It cannot be set" in texts(app)
    assert "Give it to the class" not in labels(app)


@pytest.mark.parametrize("name", ["set_exercise", "class_page"])
def test_a_learner_sees_no_screen_of_an_instructor(tuesday: Class, name: str) -> None:
    wrapper = "for_teachers" if name == "set_exercise" else "for_instructors"
    app = AppTest.from_string(
        f"from exercises.screens import {name}\n"
        f"from exercises.screens.visitor import {wrapper}\n"
        f"{wrapper}({name}.show)()",
        default_timeout=60,
    )
    tuesday.look_as("Ada")
    app.run()
    assert texts(app) == "This page is for instructors. Please sign in as one."
    assert not app.button
    assert not app.selectbox


def test_what_is_set_is_begun_gone_on_with_and_counted(tuesday: Class) -> None:
    given(tuesday, Rules(tries=1))
    tuesday.look_as("Ada")
    app = screen("start", guarded=True).run()
    assert "Set for you" in [one.value for one in app.subheader]
    assert "0 of 1 tries begun" in texts(app)
    assert "Begin" in labels(app)


def test_an_examination_hides_its_debrief_until_it_is_released(tuesday: Class) -> None:
    assignment = given(tuesday, Rules(exam=True))
    tuesday.close(tuesday.attempt("Ada", assignment))
    tuesday.look_as("Ada")
    app = screen("start", guarded=True).run()
    assert "See the debrief" not in labels(app)
    assert "You have no further try at this exercise." in texts(app)
    tuesday.office.release(assignment, at=1)
    assert "See the debrief" in labels(app.run())


def test_the_class_is_watched_with_what_each_has_left(tuesday: Class) -> None:
    assignment = given(tuesday)
    tuesday.attempt("Bea", assignment)
    tuesday.look_as("darrow")
    app = screen("class_page", guarded=True).run()
    assert not app.exception
    (row,) = app.table[0].value.to_dict("records")
    assert (row["Learner"], row["Slip set"], row["Stage"]) == ("Bea", "901", "measuring")
    assert int(row["Left"]) > 100


def test_the_class_page_ends_an_exercise_and_opens_it_again(tuesday: Class) -> None:
    assignment = given(tuesday)
    tuesday.look_as("darrow")
    app = screen("class_page", guarded=True).run()
    app.segmented_control(key="class_view").set_value("What is set").run()
    button(app, "End it now")
    assert tuesday.office.assignment(assignment).due is not None
    button(app, "Open it again")
    assert tuesday.office.assignment(assignment).due is None


def test_a_learner_is_put_into_a_group_and_erased(tuesday: Class) -> None:
    tuesday.look_as("darrow")
    app = screen("class_page", guarded=True).run()
    app.segmented_control(key="class_view").set_value("Learners").run()
    ada = tuesday.people["Ada"].id
    app.text_input(key=f"group_{ada}").set_value("Red").run()
    assert tuesday.office.learner(ada).group_name == "Red"
    app.button(key=f"erase_{ada}").click().run()
    assert [one.nickname for one in tuesday.office.learners(tuesday.class_id)] == ["Bea"]


def test_alone_an_exercise_can_be_picked_and_is_told_of(folder: Path) -> None:
    assert folder
    app = screen("set_exercise").run()
    app.segmented_control(key="set_way").set_value("library").run()
    exercise = read_slips()[0][0]
    app.selectbox(key="set_picked").set_value(exercise.name).run()
    assert not app.exception
    assert exercise.complaint in texts(app)
    assert "What is wrong: " in texts(app)
    assert "Try it as a learner would" in labels(app)

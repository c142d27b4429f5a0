"""My circuits: made by answering, kept at every answer, told what is wrong beside it."""

import pytest
from streamlit.testing.v1 import AppTest

from tests.screens.jobs import screen, sent, texts

pytestmark = pytest.mark.usefixtures("folder")


def begun(template: str = "plain_load") -> AppTest:
    app = screen("own_circuit").run()
    return app.button(key=f"own_begin_{template}").click().run()


def answered(app: AppTest, name: str, text: str) -> AppTest:
    return app.text_input(key=f"own_answer_{name}").set_value(text).run()


def test_all_templates_are_offered() -> None:
    app = screen("own_circuit").run()
    assert not app.exception
    assert len([b for b in app.button if b.label == "Begin with this"]) == 6


def test_an_answer_is_in_the_drawing_at_once() -> None:
    app = begun()
    assert "10\xa0A" in sent(app)["own_diagram"]["across"]
    app = answered(app, "fuse", "15 A")
    assert not app.exception
    assert "15\xa0A" in sent(app)["own_diagram"]["across"]


def test_an_answer_outlives_the_browser() -> None:
    app = answered(begun(), "feed_length", "3,5")
    again = screen("own_circuit")
    again.query_params["circuit"] = app.session_state["own_id"]
    again.run()
    assert again.text_input(key="own_answer_feed_length").value == "3,5"


def test_a_wrong_answer_is_told_and_stays_as_typed() -> None:
    app = answered(begun(), "battery", "230 V")
    assert app.error[0].value.startswith("Found 230 V; accepted: 9 to 14 V")
    assert app.text_input(key="own_answer_battery").value == "230 V"
    assert "as if what is marked had been left empty" in texts(app)
    assert "own_diagram" in sent(app)


def test_a_cavity_given_twice_is_told() -> None:
    app = begun()
    app.number_input(key="own_cavities_CS_1").set_value(1).run()
    assert "Switched feed: found cavity 1" in app.error[0].value


def test_the_tables_take_over_from_the_questions_and_the_circuit_stays() -> None:
    app = answered(begun(), "fuse", "15 A")
    next(b for b in app.button if b.label == "Go over to tables").click().run()
    assert not app.exception
    assert not app.text_input(key="own_title").disabled
    assert len(app.text_input) == 1
    assert "15\xa0A" in sent(app)["own_diagram"]["across"]


def test_a_name_that_is_no_plain_line_is_told_and_kept() -> None:
    app = begun()
    app.text_input(key="own_title").set_value("<b>").run()
    assert "Found '<b>'; accepted: letters" in app.error[0].value


def test_an_address_of_nothing_is_told_in_a_sentence() -> None:
    app = screen("own_circuit")
    app.query_params["circuit"] = "Pnobody"
    app.run()
    assert not app.exception
    assert "there is none of that id here" in app.error[0].value

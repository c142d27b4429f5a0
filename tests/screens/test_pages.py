"""The slips, the circuits, the debrief."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from circuits.files import circuit_names
from exercises import files
from exercises.actions import Action, ChooseRepair, CloseJob, NameFault
from exercises.desk import Desk
from exercises.files import exercise_names
from exercises.screens import work
from exercises.screens.board import SHOWN_AT_ONCE
from exercises.screens.components.touch import touches
from exercises.screens.start import read_slips
from tests.screens.jobs import LEFT_FEED_OPEN, begun, screen, texts

pytestmark = pytest.mark.usefixtures("folder")

FAULT_WORDS = "W4 (BU), F1 to C1.2: open"


def _texts(app: AppTest) -> str:
    return "\n".join(text.value for text in app.text)


def _press(attempt: str, *actions: Action) -> None:
    desk = Desk(work.store(), attempt)
    for number, action in enumerate(actions):
        desk.press(action, key=f"press {number}", at=1_800_000_000)


def _debrief_of(attempt: str) -> AppTest:
    return screen("debrief", attempt=attempt).run()


def _takes(app: AppTest) -> list[str]:
    return [str(button.key) for button in app.button if button.label == "Take this slip"]


def test_every_slip_is_on_the_board_and_none_twice() -> None:
    app = screen("start").run()
    app.selectbox(key="board_level").set_value("").run()
    found = _takes(app)
    assert len(found) == SHOWN_AT_ONCE
    while [button for button in app.button if button.key == "board_more"]:
        app.button(key="board_more").click().run()
    assert not app.exception
    assert len(_takes(app)) == len(set(_takes(app))) == len(exercise_names())


def test_the_board_begins_with_first_lessons_in_the_order_of_a_course() -> None:
    app = screen("start").run()
    assert not app.exception
    first = [exercise for exercise in read_slips()[0] if exercise.level == 1]
    assert _takes(app) == [f"take_{exercise.slip}" for exercise in first][:SHOWN_AT_ONCE]
    lessons = [exercise.circuit.lesson for exercise in first]
    assert lessons == sorted(lessons)
    assert lessons[0] == 1


def test_the_board_shows_the_slips_of_the_circuit_chosen_and_says_when_none_fits() -> None:
    app = screen("start").run()
    app.selectbox(key="board_level").set_value("")
    app.selectbox(key="board_circuit").set_value("roof_vent").run()
    wanted = {e.slip for e in read_slips()[0] if e.circuit.name == "roof_vent"}
    assert set(_takes(app)) == {f"take_{slip}" for slip in wanted}
    app.selectbox(key="board_skill").set_value("Battery drains").run()
    assert not _takes(app)
    assert "No slip fits" in texts(app)


def test_a_slip_that_cannot_be_read_leaves_the_others_on_the_board(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = exercise_names()[0]
    good = (files.LIBRARY / f"{name}.toml").read_text(encoding="utf-8")
    (tmp_path / "good.toml").write_text(good, encoding="utf-8")
    (tmp_path / "bad.toml").write_text("level = 7", encoding="utf-8")
    monkeypatch.setattr(files, "LIBRARY", tmp_path)
    app = screen("start").run()
    assert not app.exception
    assert len([button for button in app.button if button.label == "Take this slip"]) == 1
    assert "bad.toml" in app.error[0].value


def test_no_slip_names_its_fault() -> None:
    app = screen("start").run()
    keys = " ".join(str(button.key) for button in app.button)
    for name in exercise_names():
        assert name not in keys
        assert name not in _texts(app)


def test_a_debrief_is_not_shown_while_the_job_is_open(folder: Path) -> None:
    app = _debrief_of(begun(folder, LEFT_FEED_OPEN))
    assert not app.exception
    assert FAULT_WORDS not in _texts(app)
    assert "still open" in app.subheader[0].value


def test_a_closed_job_is_debriefed_in_five_columns_with_evidence(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    _press(attempt, NameFault("W4", "open"), ChooseRepair("W4", "renew_wire"), CloseJob())
    app = _debrief_of(attempt)
    assert not app.exception
    told = _texts(app)
    assert FAULT_WORDS in told
    for column in ("Diagnosis", "Proof", "Economy", "Care", "Confirmation"):
        assert column in told
    assert told.count("of 100") == 5


def test_a_learners_words_are_shown_as_plain_text_only(folder: Path) -> None:
    attempt = begun(folder, LEFT_FEED_OPEN)
    payload = "![x](http://outside.invalid/x.png)"
    _press(attempt, NameFault("W4", "open", payload), ChooseRepair("W4", "renew_wire"), CloseJob())
    app = _debrief_of(attempt)
    assert not app.exception
    assert not [element for element in app.markdown if "outside.invalid" in element.value]


@pytest.mark.parametrize("name", circuit_names())
def test_each_circuit_is_shown_with_four_views_and_a_healthy_table(name: str) -> None:
    app = screen("circuit_page")
    app.session_state["circuit_shown"] = name
    app.run()
    assert not app.exception
    titles = [header.value for header in app.subheader]
    assert titles[:4] == [
        "Where it is",
        "How current flows",
        "What should happen",
        "How to test it",
    ]
    assert len(app.table) == 1


@pytest.mark.parametrize(
    "sent",
    [
        pytest.param(None, id="nothing"),
        pytest.param({"bench": "other", "waiting": [{"key": "k", "does": "zero"}]}, id="other job"),
        pytest.param({"bench": "job", "waiting": "zero"}, id="no list"),
        pytest.param({"bench": "job", "waiting": [{"key": 1, "does": "zero"}]}, id="key no text"),
        pytest.param(
            {
                "bench": "job",
                "waiting": [{"key": "k", "does": "place", "lead": "blue", "point": "G1"}],
            },
            id="no such lead",
        ),
        pytest.param(
            {"bench": "job", "waiting": [{"key": "k", "does": "clamp", "wire": "W" * 81}]},
            id="too long",
        ),
    ],
)
def test_what_a_browser_makes_up_is_dropped(sent: object) -> None:
    assert touches(sent, bench="job") == ()

"""The debrief: what was learned at each step, both paths on one line, one job to do next."""

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from circuits.settings import setting_from
from exercises.actions import (
    ChangeSetting,
    ChooseRepair,
    CloseJob,
    GiveUp,
    NameFault,
    PlaceLead,
)
from exercises.asking import Expect, ListSuspects
from exercises.desk import Desk
from exercises.files import library_exercise
from exercises.screens import work
from tests.screens.jobs import begun, screen, sent, texts

pytestmark = pytest.mark.usefixtures("folder")

WRONG_GROUND = "W8:high_resistance:7"


PUSHED = {"set": {"push": "pressed"}}
PATH = [
    {"because": "Press it and listen."} | PUSHED,
    {"because": "Its ground end is high.", "volts": ["C1.2", "BODY"]} | PUSHED,
    {"because": "The post is clean: the wire.", "volts": ["G1", "BODY"]} | PUSHED,
]


def _debriefed(folder: Path, *acts, **changed) -> AppTest:
    attempt = begun(folder, WRONG_GROUND, circuit="call_bell", path=PATH, **changed)
    desk = Desk(work.store(), attempt)
    pressed = ChangeSetting(setting_from(desk.attempt.circuit, positions={"push": "pressed"}))
    for number, act in enumerate((*acts[:1], pressed, *acts[1:], CloseJob())):
        if isinstance(act, CloseJob) and desk.attempt.stage == "closed":
            continue
        desk.press(act, key=f"press {number}", at=1_800_000_000)
    app = screen("debrief", attempt=attempt).run()
    assert not app.exception
    return app


@pytest.fixture
def thinker(folder: Path) -> AppTest:
    return _debriefed(
        folder,
        ListSuspects((("F1", "blown"), ("W8", "high_resistance"))),
        PlaceLead("black", "BODY"),
        PlaceLead("red", "C1.2"),
        Expect("4.6 V"),
        NameFault("bell", "high_resistance"),
        ChooseRepair("bell", "replace_part"),
        asks_suspects=True,
        asks_expected=True,
    )


def test_all_of_a_thoughtful_job_is_told(thinker: AppTest) -> None:
    told = texts(thinker)
    assert "It was: Wire W8 (BK), C1.2 to G1: high resistance (7 Ω)." in told
    assert "You named: Bell: high resistance." in told
    assert re.search(r"Reading 1 · \d+\.\d min · \d+ faults left", told)
    assert "volts C1.2 to BODY (push Pressed): 4.637 V" in told
    assert "That rules out " in told
    assert "The repair cured nothing: replace the part." in told
    assert "The fault itself was on it." in told
    assert "1 expectation was wrong: that is a gap in knowing this circuit" in told
    assert "read up the circuit" in told
    rows = thinker.table[0].value
    assert list(rows["You expected"]) == ["4.6 V: wrong"]


def test_both_paths_are_drawn_on_one_line_and_told_in_words(thinker: AppTest) -> None:
    drawn = sent(thinker)["timeline"]
    words = next(text for text in texts(thinker).splitlines() if "were possible at first" in text)
    for picture in (drawn["across"], drawn["down"]):
        assert words in picture
        assert picture.count("<circle") >= 3  # the own steps, and that of the legend
        assert "<rect" in picture
        assert "named here" in picture
        assert "75" in picture
    assert "--own" in drawn["light"]
    assert "--own" in drawn["dark"]


def test_one_job_is_offered_next_with_its_reason(thinker: AppTest) -> None:
    buttons = [button.label for button in thinker.button]
    assert buttons.count("Take this slip") == 1
    assert "It was something else: practise" in texts(thinker)


def test_who_gave_up_is_offered_the_same_on_another_vehicle(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    exercise = library_exercise("faint_bell")
    monkeypatch.setattr("exercises.screens.debrief.read_slips", lambda: ([exercise], []))
    app = _debriefed(folder, PlaceLead("black", "BODY"), GiveUp())
    told = texts(app)
    assert "You named nothing." in told
    assert "No reading was taken." not in told  # it was watched
    # The library of this test has only another job: that is offered, for want of the same.
    assert f"Slip {exercise.slip} · Call bell" in told


def test_a_debrief_that_was_worked_out_is_shown_again_as_it_was(thinker: AppTest) -> None:
    before = texts(thinker)
    thinker.run()
    assert not thinker.exception
    assert "Weighing" not in texts(thinker)
    assert texts(thinker) == before

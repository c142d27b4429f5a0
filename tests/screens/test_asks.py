"""What a bench asks and gives besides readings: suspects, expectations, hints."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from circuits.files import library_circuit
from exercises.actions import GiveUp, NameFault, PlaceLead, TurnDial
from exercises.asking import Expect, ListSuspects, TakeHint
from exercises.attempt import AttemptError
from exercises.desk import Desk
from exercises.diagnosis import fault_menu
from exercises.planning.allowed import allowed_settings
from exercises.planning.keep import file_of, keep
from exercises.planning.table import Table, build
from exercises.screens import ahead
from exercises.screens.components.touch import touches
from exercises.screens.panels import log
from exercises.screens.panels.hints import LABELS, NO_MORE, NOT_BUILT
from exercises.screens.panels.meter import face
from exercises.screens.panels.suspects import listed_words, spots
from exercises.store import open_store
from tests.exercises.learners import Learner, job
from tests.screens.jobs import LEFT_FEED_OPEN, LEFT_MOTOR_WIRE_OPEN, begun, screen, sent, texts, url

pytestmark = pytest.mark.usefixtures("folder")

BELL_CIRCUIT = library_circuit("call_bell")
BELL = {"circuit": "call_bell", "path": [{"because": "Look.", "set": {"push": "pressed"}}]}


def _open(attempt: str) -> AppTest:
    return screen("bench", attempt=attempt).run()


def _kept(folder: Path, attempt: str):
    store = open_store(url(folder))
    try:
        return Desk(store, attempt).attempt
    finally:
        store.close()


# Suspects.


def test_the_suspects_come_first_and_are_kept(folder: Path) -> None:
    job_id = begun(folder, LEFT_FEED_OPEN, asks_suspects=True)
    app = _open(job_id)
    assert sent(app)["meter_face"]["display"] == "First list your suspects"
    app.multiselect(key="suspected").set_value([("W4", "open"), ("F1", "blown")]).run()
    app.button(key="list_suspects").click().run()
    assert not app.exception
    assert {(s.place, s.kind) for s in _kept(folder, job_id).suspected} == {
        ("W4", "open"),
        ("F1", "blown"),
    }
    again = _open(job_id)
    assert not again.multiselect
    assert "Your suspects: 2" in [one.label for one in again.expander]
    assert sent(again)["meter_face"]["display"] == "Place both leads"


def test_an_empty_list_is_told_in_a_sentence(folder: Path) -> None:
    app = _open(begun(folder, LEFT_FEED_OPEN, asks_suspects=True))
    app.button(key="list_suspects").click().run()
    assert sent(app)["suspects_said"]["lines"] == ["Choose at least one suspect."]


def test_the_list_to_choose_from_is_the_same_whatever_the_fault(folder: Path) -> None:
    offered = [
        _open(begun(folder, fault, asks_suspects=True)).multiselect(key="suspected").options
        for fault in (LEFT_FEED_OPEN, LEFT_MOTOR_WIRE_OPEN)
    ]
    assert offered[0] == offered[1]
    menu = fault_menu(library_circuit("side_steps"))
    assert len(offered[0]) == sum(len(place.kinds) for place in menu)


@pytest.mark.parametrize("circuit", ["call_bell", "side_steps", "charging"])
def test_no_two_suspects_have_the_same_words(circuit) -> None:
    words = list(spots(library_circuit(circuit)).values())
    assert len(set(words)) == len(words)


def test_what_was_listed_is_told_in_its_order() -> None:
    learner = Learner(job(LEFT_FEED_OPEN, circuit="side_steps", asks_suspects=True))
    learner.do(ListSuspects((("F1", "blown"), ("", "no_fault"))))
    assert listed_words(learner.attempt) == ["Fuse F1: blown", "No fault: it works as designed"]


def test_a_job_that_does_not_ask_shows_no_list(folder: Path) -> None:
    assert not _open(begun(folder, LEFT_FEED_OPEN)).multiselect


# Expectation.


def _asked() -> Learner:
    learner = Learner(job(LEFT_FEED_OPEN, circuit="side_steps", asks_expected=True))
    learner.do(PlaceLead("black", "BODY"), PlaceLead("red", "C1.2"))
    return learner


def test_the_meter_asks_first_and_shows_found_beside_expected_then() -> None:
    learner = _asked()
    asks = face(learner.attempt)
    assert asks.display == "What should a sound vehicle show here?"
    assert asks.choices == ("Battery voltage", "In between", "About 0 V", "Not sure")
    assert (asks.where, asks.blank, asks.takes_figure) == ("C1.2 to BODY", True, True)
    reads = face(learner.do(Expect("12.4")))
    assert (reads.expected, reads.choices, reads.blank) == ("12.4 V", (), False)
    assert reads.unit in {"V", "mV"}


def test_a_test_lamp_takes_no_figure() -> None:
    learner = _asked()
    asks = face(learner.do(TurnDial("lamp")))
    assert asks.choices == ("Bright", "Dim", "Dark", "Not sure")
    assert not asks.takes_figure


def test_the_log_has_expected_beside_found() -> None:
    learner = _asked()
    learner.do(Expect("Battery voltage"))
    row = log.rows(learner.attempt)[0]
    assert list(row)[2:4] == ["Expected", "Reading"]
    assert row["Expected"] == "Battery voltage"
    free = Learner(job(LEFT_FEED_OPEN, circuit="side_steps"))
    free.probe("C1.2", "BODY")
    assert "Expected" not in log.rows(free.attempt)[0]


def test_the_browser_sends_an_expectation_as_words() -> None:
    press = {"key": "k", "does": "expect", "words": "12.4 V"}
    assert touches({"bench": "b", "waiting": [press]}, bench="b")[0].words == "12.4 V"
    for words in ("", 12.4, "1" * 400):
        assert touches({"bench": "b", "waiting": [press | {"words": words}]}, bench="b") == ()


# Hints.


def _table() -> Table:
    """Return a true table of the call bell, of few settings."""
    few = allowed_settings(BELL_CIRCUIT)[:2]
    with pytest.MonkeyPatch.context() as short:
        short.setattr("exercises.planning.table.allowed_settings", lambda _: few)
        return build(BELL_CIRCUIT)


@pytest.fixture
def table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A table that has been built before."""
    monkeypatch.setenv("LAB_TABLES", str(tmp_path / "tables"))
    keep(tmp_path / "tables", _table())


@pytest.mark.usefixtures("table")
def test_hints_are_had_one_by_one_and_kept_in_their_words(folder: Path) -> None:
    job_id = begun(folder, "W4:open", **BELL)
    app = _open(job_id)
    for depth in (1, 2, 3):
        assert app.button(key="take_hint").label == LABELS[depth]
        app.button(key="take_hint").click().run()
        assert not app.exception
    lines = sent(app)["hints_said"]["lines"]
    assert lines[0] == "75 faults still fit. Set the vehicle otherwise, and watch what it does."
    assert "push Pressed" in lines[1]
    assert "A sound vehicle: Bell relay: pulled in" in lines[2]
    assert lines[3] == NO_MORE
    assert app.button(key="take_hint").disabled
    assert "3 taken; the debrief counts them." in texts(app)
    assert [hint.words for hint in _kept(folder, job_id).hinted] == lines[:3]
    again = _open(job_id)
    assert sent(again)["hints_said"]["lines"] == lines


def test_without_a_table_hints_are_told_to_be_missing(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LAB_TABLES", str(tmp_path / "none"))
    app = _open(begun(folder, "W4:open", **BELL))
    assert NOT_BUILT in texts(app)
    assert "take_hint" not in [button.key for button in app.button]


def test_a_damaged_table_is_told_and_a_hint_from_it_costs_nothing(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LAB_TABLES", str(tmp_path))
    file_of(tmp_path, BELL_CIRCUIT).write_bytes(b"not a table")
    half = _Half(1.0)
    monkeypatch.setattr(ahead, "building", lambda: half)
    job_id = begun(folder, "W4:open", **BELL)
    app = _open(job_id)
    app.button(key="take_hint").click().run()
    assert not app.exception
    assert sent(app)["hints_said"]["lines"] == [NOT_BUILT]
    assert half.wanted == ["call_bell"]
    assert _kept(folder, job_id).hints == ()


class _Half:
    """A table in the making."""

    def __init__(self, share: float | None) -> None:
        self._share = share
        self.wanted: list[str] = []

    def share(self, _digest: str) -> float | None:
        return self._share

    def want(self, _digest: str, name: str, _circuit: object = None) -> None:
        self.wanted.append(name)


def test_while_a_table_is_built_the_bench_tells_how_far_and_asks_for_its_own(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    half = _Half(0.42)
    monkeypatch.setattr(ahead, "building", lambda: half)
    app = _open(begun(folder, "W4:open", **BELL))
    assert "being worked out: 42 % is done" in texts(app)
    assert half.wanted == ["call_bell"]
    assert "take_hint" not in [button.key for button in app.button]
    half._share = None
    assert NOT_BUILT in texts(app.run())


def test_an_exercise_without_hints_shows_none(folder: Path) -> None:
    app = _open(begun(folder, "W4:open", hints=0, **BELL))
    assert "take_hint" not in [button.key for button in app.button]


def test_no_hint_is_taken_once_the_job_is_closed() -> None:
    learner = Learner(job("W4:open"))
    learner.do(NameFault("W4", "open"), GiveUp())
    with pytest.raises(AttemptError, match="closed"):
        learner.do(TakeHint(1, "late"))

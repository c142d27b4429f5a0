"""The screen for a real vehicle: a case begun, its meter asked, readings kept at every press."""

import tomllib
from pathlib import Path

import pytest

from circuits.cautions import CAUTIONS
from circuits.files import LIBRARY
from exercises.cases.day import day_typed
from exercises.cases.notebook import Notebook, begin
from exercises.planning.keep import keep
from exercises.store import open_store
from tests.conftest import FULL
from tests.exercises.planning.tables import table_of
from tests.screens.jobs import screen, texts, url

BELL_BODY = tomllib.loads((LIBRARY / "call_bell.toml").read_text(encoding="utf-8"))


@pytest.fixture
def case_id(folder: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("LAB_AHEAD", "off")
    store = open_store(url(folder))
    try:
        return begin(store, "call_bell", BELL_BODY, ("bell:silent",), at=1000)
    finally:
        store.close()


def _case(folder: Path, case_id: str):
    store = open_store(url(folder))
    try:
        return Notebook(store, case_id).case
    finally:
        store.close()


@pytest.mark.usefixtures("folder")
def test_the_first_page_says_what_is_refused_and_what_it_does_not_know() -> None:
    app = screen("vehicle").run()
    assert not app.exception
    shown = texts(app)
    assert "Restraint (airbag) circuits" in shown
    assert "the diagram that you choose, and nothing else" in shown
    warned = [one.value for one in app.warning]
    assert warned == [CAUTIONS["service_information"], CAUTIONS["no_restraint"]]


def test_the_meter_is_asked_first_and_a_wrong_figure_is_told_beside_it(folder, case_id) -> None:
    app = screen("vehicle")
    app.query_params["case"] = case_id
    app.run()
    assert "Complaint: Bell: silent (Bell push Pressed)." in texts(app)
    leads, battery, _ = app.text_input
    leads.input("0.2")
    battery.input("230 V")
    app.button[-1].click().run()
    assert "Battery at rest: found '230 V'" in app.error[0].value
    assert _case(folder, case_id).day is None


@pytest.mark.usefixtures("folder")
def test_an_address_of_no_case_is_told_and_the_choice_is_shown() -> None:
    app = screen("vehicle")
    app.query_params["case"] = "Anobody"
    app.run()
    assert app.error
    assert app.selectbox(key="v_circuit").value


@pytest.mark.skipif(not FULL, reason="builds a table: LAB_FULL=1")
def test_readings_are_kept_at_every_press_and_lead_on(folder, case_id, monkeypatch) -> None:
    keep(folder / "tables", table_of("call_bell"))
    monkeypatch.setenv("LAB_TABLES", str(folder / "tables"))
    app = screen("vehicle")
    app.query_params["case"] = case_id
    app.run()
    assert not app.error, app.error[0].value
    leads, battery, _ = app.text_input
    leads.input("0.2")
    battery.input("12.5 V")
    app.button[-1].click().run()
    assert _case(folder, case_id).day == day_typed("0.2", "12.5 V", "")
    assert any("faults still fit" in one.value for one in app.subheader)
    again = screen("vehicle")
    again.query_params["case"] = case_id
    again.run()
    assert any("test 1" in one.value for one in again.subheader)
    again.toggle(key="v_make").set_value(True).run()
    assert not again.error
    assert "tests, about" in texts(again)

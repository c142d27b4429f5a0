"""The record saved and put back from the screen, by those who may."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from exercises.backup.whole import back_up
from exercises.screens import house, visitor
from exercises.store import open_store
from tests.exercises.stores import begun, kept
from tests.screens.jobs import screen, texts, url
from tests.screens.tuesday import Class

SOURCE = "as it was kept"


@pytest.fixture
def backup(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("source")
    store = open_store(url(folder))
    kept(store, begun(store), seen=0, shown=SOURCE)
    back_up(store.database, folder / "lab.zip", at=5)
    store.close()
    return folder / "lab.zip"


def _given(app: AppTest, file: Path) -> AppTest:
    uploader = app.get("file_uploader")[0]
    uploader.upload(file.name, file.read_bytes(), "application/zip").run()
    return app.button(key="restore_backup").click().run()


@pytest.mark.usefixtures("folder")
def test_backup_is_made_and_put_back_where_there_is_nothing(backup: Path) -> None:
    app = _given(screen("record").run(), backup)

    assert app.success[0].value == "Put back: 1 attempts with 1 events."
    (row,) = house.house().store.attempts()
    assert house.house().store.events(row.id)[0].body == {"shown": SOURCE}
    app = screen("record").run()
    assert "Only a database without rows takes a backup" in texts(app)
    app.button(key="make_backup").click().run()
    assert not app.exception
    assert not app.error
    assert app.get("download_button")


@pytest.mark.usefixtures("folder")
def test_file_that_is_no_backup_is_told_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "odd.zip").write_bytes(b"PK volts and ohms")

    app = _given(screen("record").run(), tmp_path / "odd.zip")

    assert not app.exception
    assert app.error[0].value == (
        "The file: the file is damaged or no backup; accepted: one as this lab wrote it."
    )
    assert house.house().store.attempts() == ()


def test_whole_record_is_for_the_first_instructor_alone(tuesday: Class) -> None:
    door = house.house().door
    assert door is not None
    tuesday.office.add_instructor("second", "slow brown fox", at=house.now_ms() + 1)
    tuesday.tokens["second"] = door.sign_in("second", "slow brown fox", at=house.now_ms())
    shown: list[str] = []
    page = visitor.for_keeper(lambda: shown.append("record"))
    for who, seen in (("Ada", 0), ("nobody", 0), ("second", 0), ("darrow", 1)):
        tuesday.look_as(who)
        page()
        assert len(shown) == seen

"""Backups: out of either database, into either, digest for digest, or nothing changed."""

import hashlib
import json
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from exercises.backup.archive import BackupError
from exercises.backup.whole import KEPT, back_up, restore, table_lines
from exercises.cli import main
from exercises.database import Database, open_database
from exercises.events import check_chain, events_from_jsonl
from exercises.files import LibraryExercise
from exercises.identity.door import Door
from exercises.identity.office import Office
from exercises.identity.rules import Rules
from exercises.identity.seals import Seals
from exercises.migrations.upgrade import versions_known
from exercises.owned import OwnStore, Reach
from exercises.papers import Papers
from exercises.register.people import people_in
from exercises.store import SqlStore, open_store
from tests.conftest import FULL
from tests.exercises.conftest import BOTH
from tests.exercises.stores import begun, kept
from tests.laid_out import laid_out

SEALS = Seals("the tests' own secret", kibibytes=8)
NEWEST = versions_known()[-1]
PLAIN = LibraryExercise("dead step", {"complaint": "stays in"}, "steps", {"wires": []})


def _filled(url: str) -> dict[str, str]:
    """Fill a database with some of everything, and return the ids of the learners."""
    with closing(open_store(url)) as store:
        people = people_in(store.database)
        door = Door(people, SEALS)
        token = door.first_instructor(SEALS.setup_code(), "darrow", "slow brown fox", at=1)
        darrow = door.who_is(token, at=1)
        assert darrow is not None
        office = Office(people, SEALS, darrow)
        room = office.make_class("Tuesday Ω", at=1)
        office.set_joining(office.make_class("Friday", at=2).id, is_open=False)
        office.set_exercise(room.id, PLAIN, Rules(exam=True, tries=3), due=99, at=2)
        ids = {}
        for name in ("Ada", "Zoë"):
            person = door.who_is(door.join(room.join_code, name, "270619", at=3), at=3)
            assert person is not None
            ids[name] = person.id
            _worked(OwnStore(store, lambda who=person: Reach(who.id)), name, store.database)  # type: ignore[misc]
        _worked(store, "🚐 \x00 \ud800", store.database)
    return ids


def _worked(store: Any, text: str, house: Database) -> None:
    attempt = begun(store)
    owner = store.attempt(attempt).learner_id
    Papers(house, owner).begin("circuit", f"of {text!a}", {"wires": []}, at=5)
    for seen in range(3):
        event = kept(store, attempt, seen=seen, shown=f"{text} {seen}")
    store.keep_mark(attempt, 3, event.digest, marker="1", weights={}, columns={"n": 1}, at=9)


@pytest.fixture
def backup(url: str, tmp_path: Path) -> tuple[Path, dict[str, Any]]:
    """A backup of a filled database, and the digests of its tables."""
    _filled(url)
    file = tmp_path / "lab.zip"
    with closing(open_database(url)) as database:
        back_up(database, file, at=5)
        return file, _digests(database)


@pytest.fixture(params=BOTH if FULL else BOTH[:1])
def target(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """An empty database to restore into, beside that of the backup."""
    address = laid_out(tmp_path / "target.db")
    if request.param == "postgresql":
        address = request.getfixturevalue("postgres").clean("target")
    with closing(open_database(address)) as database:
        yield database


def _digests(database: Database) -> dict[str, Any]:
    with database.reading() as connection:
        return {table.name: table_lines(connection, table) for table in KEPT}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A backup of a filled SQLite database."""
    folder = tmp_path_factory.mktemp("whole")
    _filled(f"sqlite:///{folder / 'lab.db'}")
    with closing(open_database(f"sqlite:///{folder / 'lab.db'}")) as database:
        back_up(database, folder / "lab.zip", at=5)
    return folder / "lab.zip"


def _changed(file: Path, copy: Path, **entries: Callable[[bytes], bytes | None]) -> Path:
    """Return a copy of a backup with entries changed, or left out for None."""
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(copy, "w") as new:
        for name in old.namelist():
            content = entries.get(name.partition(".")[0], bytes)(old.read(name))
            if content is not None:
                new.writestr(name, content)
    return copy


def test_backup_is_restored_into_either_database_with_equal_digests(
    backup: tuple[Path, dict[str, Any]], target: Database
) -> None:
    file, digests = backup
    rows = restore(target, file)

    assert _digests(target) == digests
    assert rows == {name: lines.rows for name, lines in digests.items()}
    assert (rows["class_room"], rows["learner"], rows["attempt"], rows["mark"]) == (2, 2, 3, 3)
    store = SqlStore(target)
    (local,) = store.attempts()
    check_chain(local.id, store.events(local.id))
    _worked(store, "goes on", target)  # numbers of marks go on after those restored
    door = Door(people_in(target), SEALS)
    assert door.who_is(door.sign_in("darrow", "slow brown fox", at=1), at=1)


def test_backup_holds_no_sign_in_and_is_for_its_owner_alone(
    backup: tuple[Path, dict[str, Any]],
) -> None:
    file, _ = backup
    with zipfile.ZipFile(file) as archive:
        names = archive.namelist()
        manifest = json.loads(archive.read("manifest.json"))
    assert not {"sign_in.jsonl", "throttle.jsonl"} & set(names)
    assert (manifest["made_at"], manifest["version"]) == (5, NEWEST)
    assert file.stat().st_mode & 0o077 == 0
    assert [each.name for each in file.parent.iterdir() if "zip" in each.name] == ["lab.zip"]


def test_backup_over_a_file_that_is_there_is_refused(tmp_path: Path) -> None:
    (tmp_path / "lab.zip").write_text("mine")
    with closing(open_database(f"sqlite:///{tmp_path / 'lab.db'}")) as database:
        with pytest.raises(BackupError, match=r"lab\.zip: there is a file of that name"):
            back_up(database, tmp_path / "lab.zip", at=5)
        with pytest.raises(BackupError, match=r"none/lab\.zip: No such file or directory\.$"):
            back_up(database, tmp_path / "none" / "lab.zip", at=5)
    assert (tmp_path / "lab.zip").read_text() == "mine"


def test_database_that_is_not_empty_is_left_as_it_is(whole: Path, target: Database) -> None:
    begun(SqlStore(target))
    before = _digests(target)

    with pytest.raises(BackupError, match=r"^The database is not empty: found 1 rows of circuit_v"):
        restore(target, whole)

    assert _digests(target) == before


def _first_line(change: Callable[[dict[str, Any]], object]) -> Callable[[bytes], bytes]:
    def changed(content: bytes) -> bytes:
        first, _, rest = content.partition(b"\n")
        row = json.loads(first)
        change(row)
        return json.dumps(row).encode() + b"\n" + rest

    return changed


@pytest.mark.parametrize(
    ("entries", "sentence"),
    [
        pytest.param({"manifest": lambda _: None}, "found no backup of this lab", id="no manifest"),
        pytest.param({"manifest": lambda _: b"[1]"}, "found no backup of this lab", id="odd"),
        pytest.param(
            {"manifest": lambda old: old.replace(f'"{NEWEST}"'.encode(), b'"9001"')},
            rf"its tables are of version '9001'; accepted: up to '{NEWEST}'",
            id="newer",
        ),
        pytest.param({"mark": lambda _: None}, "is damaged or no backup", id="a table is missing"),
        pytest.param(
            {"mark": lambda old: old.partition(b"\n")[2]},
            "found 2 lines, sha256 .*; accepted: the 3 with",
            id="a line is missing",
        ),
        pytest.param({"attempt": lambda old: old[:-9]}, "line 3: found no JSON", id="cut off"),
        pytest.param(
            {"attempt": lambda old: b"[" * 100_000 + b"\n" + old}, "found no JSON", id="deep"
        ),
        pytest.param({"attempt": lambda old: b"7\n" + old}, "found no object", id="no row"),
        pytest.param(
            {"attempt": _first_line(lambda row: row.update(seed="7"))},
            r"attempt\.jsonl, line 1: seed is '7'; accepted: int\.",
            id="wrong type",
        ),
        pytest.param(
            {"attempt": _first_line(lambda row: row.update(mark=5))},
            "found the column 'mark'; there is none such",
            id="strange column",
        ),
        pytest.param(
            {"attempt_event": _first_line(lambda row: row.update(body='{"shown":"0.00"}'))},
            r"attempt_event\.jsonl, line 1: event 1 of attempt .* does not follow",
            id="a reading was changed",
        ),
        pytest.param(
            {"learner": _first_line(lambda row: row.update(nickname="Eve"))},
            r"learner\.jsonl: found 2 lines, sha256",
            id="a name was changed",
        ),
    ],
)
def test_damaged_backup_changes_nothing_and_is_told_in_a_sentence(
    whole: Path,
    tmp_path: Path,
    target: Database,
    entries: dict[str, Callable[[bytes], bytes | None]],
    sentence: str,
) -> None:
    before = _digests(target)
    with pytest.raises(BackupError, match=sentence) as refused:
        restore(target, _changed(whole, tmp_path / "changed.zip", **entries))

    assert "\n" not in str(refused.value)
    assert _digests(target) == before
    assert all(lines.rows == 0 for lines in before.values())


def test_rows_that_contradict_each_other_change_nothing(
    whole: Path, tmp_path: Path, target: Database
) -> None:
    """The digests are right here: whoever made the file made its manifest too."""
    nowhere = _first_line(lambda row: row.update(exercise_digest="none"))
    with zipfile.ZipFile(whole) as archive:
        lines = nowhere(archive.read("attempt.jsonl"))

    def agreeing(manifest: bytes) -> bytes:
        told = json.loads(manifest)
        told["tables"]["attempt"]["sha256"] = hashlib.sha256(lines).hexdigest()
        return json.dumps(told).encode()

    file = _changed(whole, tmp_path / "changed.zip", attempt=lambda _: lines, manifest=agreeing)
    with pytest.raises(BackupError, match=r"attempt\.jsonl: its rows contradict each other"):
        restore(target, file)

    assert all(found.rows == 0 for found in _digests(target).values())


def test_file_cut_off_anywhere_changes_nothing(whole: Path, tmp_path: Path) -> None:
    content, cut = whole.read_bytes(), tmp_path / "cut.zip"
    with closing(open_database(f"sqlite:///{tmp_path / 'target.db'}")) as target:
        for length in range(0, len(content), len(content) // 23):
            cut.write_bytes(content[:length])
            with pytest.raises(BackupError, match=r"cut\.zip: .*accepted: ") as refused:
                restore(target, cut)
            assert "\n" not in str(refused.value)
        assert all(lines.rows == 0 for lines in _digests(target).values())


def test_backup_of_the_first_version_is_restored(tmp_path: Path, target: Database) -> None:
    """As version 0001 would have written it: fewer tables, fewer columns."""
    address = f"sqlite:///{tmp_path / 'lab.db'}"
    with closing(open_store(address)) as store:
        _worked(store, "old", store.database)
        back_up(store.database, tmp_path / "lab.zip", at=5)
        digests = _digests(store.database)

    def as_first(manifest: bytes) -> bytes:
        told = json.loads(manifest)
        first = {"circuit_version", "exercise_version", "attempt", "attempt_event", "mark"}
        told["tables"] = {k: v for k, v in told["tables"].items() if k in first}
        return json.dumps(told | {"version": "0001"}).encode()

    restore(target, _changed(tmp_path / "lab.zip", tmp_path / "first.zip", manifest=as_first))

    restored = _digests(target)
    assert {name for name in digests if restored[name] != digests[name]} == {"paper"}


def test_erasing_a_learner_leaves_the_others(
    url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ids = _filled(url)
    monkeypatch.setenv("LAB_DATABASE_URL", url)

    assert main(["erase", "ada"]) == 0
    assert capsys.readouterr().out.startswith("erased: Ada of Tuesday Ω, 1 attempts; older backups")
    with closing(open_store(url)) as store:
        assert store.attempts(learner_id=ids["Ada"]) == ()
        assert len(store.attempts(learner_id=ids["Zoë"])) == len(store.attempts()) == 1
    assert main(["erase", "Ada"]) == 2
    assert "learner 'Ada': there is none" in capsys.readouterr().err
    assert main(["erase", "local"]) == 0
    with closing(open_store(url)) as store:
        assert store.attempts() == ()
        assert len(store.attempts(learner_id=ids["Zoë"])) == 1
        with store.database.reading() as connection:
            owners = connection.exec_driver_sql("SELECT learner_id FROM paper").scalars().all()
    assert owners == [ids["Zoë"]]


def test_nothing_of_an_erased_learner_stays_in_the_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "lab.db"
    monkeypatch.setenv("LAB_DATABASE_URL", f"sqlite:///{file}")
    _filled(f"sqlite:///{file}")
    with closing(sqlite3.connect(file)) as raw:
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert "Zoë".encode() in file.read_bytes()

    assert main(["erase", "Zoë"]) == 0

    for each in tmp_path.glob("lab.db*"):
        assert "Zoë".encode() not in each.read_bytes()


def test_export_holds_all_of_one_learner_and_nobody_else(
    url: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    ids = _filled(url)
    monkeypatch.setenv("LAB_DATABASE_URL", url)
    file = tmp_path / "zoe.zip"

    assert main(["export", ids["Zoë"], "-o", str(file), "--json"]) == 0

    told = json.loads(capsys.readouterr().out)
    assert (told["learner"], told["attempts"], told["marks"]) == ("Zoë of Tuesday Ω", 1, 1)
    with zipfile.ZipFile(file) as archive:
        content = {name: archive.read(name).decode() for name in archive.namelist()}
    assert json.loads(content["learner.json"])["learner"]["nickname"] == "Zoë"
    (events,) = (text for name, text in content.items() if name.startswith("attempts/"))
    assert [e.body["shown"] for e in events_from_jsonl(events)] == ["Zoë 0", "Zoë 1", "Zoë 2"]
    assert json.loads(content["marks.jsonl"])["columns"] == {"n": 1}
    assert json.loads(content["paper.jsonl"])["learner_id"] == ids["Zoë"]
    assert "Ada" not in "".join(content.values())
    assert "argon2" not in "".join(content.values())


def test_nickname_of_two_classes_asks_for_an_id(
    url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ids = _filled(url)
    monkeypatch.setenv("LAB_DATABASE_URL", url)
    with closing(open_store(url)) as store:
        people = people_in(store.database)
        friday = next(r for r in people.classes(_only_instructor(store)) if r.title == "Friday")
        people.add_learner(friday.id, "ADA", "ada", "x", at=9)

    assert main(["erase", "Ada"]) == 2

    told = capsys.readouterr().err
    assert f"there are 2: {ids['Ada']} in Tuesday Ω; L" in told
    assert told.endswith(" in Friday; accepted: an id.\n")


def _only_instructor(store: SqlStore) -> str:
    with store.database.reading() as connection:
        return str(connection.exec_driver_sql("SELECT id FROM instructor").scalar_one())


def test_commands_back_up_and_restore(
    url: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    _filled(url)
    file = str(tmp_path / "lab.zip")
    monkeypatch.setenv("LAB_DATABASE_URL", url)
    assert main(["backup", file]) == 0
    assert "2 classes, 2 learners, 3 attempts, 9 events, 3 marks" in capsys.readouterr().out
    assert main(["restore", file]) == 2
    assert capsys.readouterr().err.startswith("The database is not empty")
    monkeypatch.setenv("LAB_DATABASE_URL", f"sqlite:///{tmp_path / 'new.db'}")
    assert main(["restore", file]) == 0
    assert main(["restore", str(tmp_path / "none.zip")]) == 2
    assert capsys.readouterr().err == f"{tmp_path / 'none.zip'}: No such file or directory.\n"

"""Opening the store: where it is, and migrations."""

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from threading import Barrier

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from exercises.database import open_database
from exercises.migrations.upgrade import _write_ahead
from exercises.store import (
    NotKept,
    NotOpened,
    SqlStore,
    StoreError,
    open_store,
)
from exercises.tables import metadata
from tests.conftest import FULL
from tests.exercises.conftest import BOTH
from tests.exercises.stores import PROJECT, begun, kept, opened


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "lab.db"


@pytest.fixture
def sqlite_store(file: Path) -> Iterator[SqlStore]:
    with closing(opened(file)) as store:
        yield store


OPENER = """
import sys
from exercises.store import open_store
print("ready", flush=True)
sys.stdin.readline()
store = open_store(sys.argv[1])
store.begin("e", {}, "c", {}, seed=1, engine="1", at=1)
store.close()
"""


def test_eight_processes_open_one_empty_database_at_once(empty: str) -> None:
    openers = [
        subprocess.Popen(
            [sys.executable, "-c", OPENER, empty],
            cwd=PROJECT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(8)
    ]
    for opener in openers:
        assert opener.stdout
        assert opener.stdout.readline() == "ready\n"
    for opener in openers:
        assert opener.stdin
        opener.stdin.write("go\n")
        opener.stdin.flush()
    told = [opener.communicate()[1] for opener in openers]

    assert [opener.returncode for opener in openers] == [0] * 8, told
    with closing(open_store(empty)) as store:
        assert len(store.attempts()) == 8


def test_new_file_gets_its_log_while_others_write_to_it(tmp_path: Path) -> None:
    """SQLite answers "locked" at once to about one in a hundred here, whatever the timeout."""
    start = Barrier(8)

    def open_and_write(file: Path) -> None:
        start.wait()
        _write_ahead(str(file), 15_000)
        with closing(sqlite3.connect(file, timeout=15)) as raw:
            raw.execute("CREATE TABLE IF NOT EXISTS t (x)")

    with ThreadPoolExecutor(8) as pool:
        for number in range(80):
            list(pool.map(open_and_write, [tmp_path / f"{number}.db"] * 8))


def test_eight_threads_open_eight_files_at_once(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        stores = list(pool.map(opened, [tmp_path / f"{n}.db" for n in range(8)]))

    for store in stores:
        assert store.attempts() == ()
        store.close()


def test_migrations_make_the_tables_that_the_code_knows(store: SqlStore) -> None:
    with store.database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})

        assert compare_metadata(context, metadata) == []


MIGRATIONS = PROJECT / "exercises" / "migrations"
NEWEST = max(path.name[1:5] for path in (MIGRATIONS / "versions").glob("v*.py"))

REBUILD = f"""
import sqlalchemy as sa
from alembic import op

revision, down_revision = "9000", "{NEWEST}"


def upgrade():
    with op.batch_alter_table("attempt", recreate="always") as table:
        table.add_column(sa.Column("bench", sa.Text()))
"""


def test_rebuilding_a_table_keeps_the_rows_that_hang_on_it(
    sqlite_store: SqlStore, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With foreign keys on, SQLite deletes every event when ``attempt`` is rebuilt."""
    attempt = begun(sqlite_store)
    event = kept(sqlite_store, attempt, seen=0)
    sqlite_store.close()
    versions = shutil.copytree(MIGRATIONS, tmp_path / "migrations")
    (versions / "versions" / "v9000_bench.py").write_text(REBUILD)
    monkeypatch.setattr("exercises.migrations.upgrade._HERE", versions)

    with closing(opened(file)) as again, again.database.reading() as connection:
        columns = connection.exec_driver_sql("SELECT name FROM pragma_table_info('attempt')")
        assert "bench" in columns.scalars().all()
        assert again.events(attempt) == (event,)
        with pytest.raises(NotKept), again.database.writing() as writing:
            writing.exec_driver_sql("DELETE FROM attempt_event")


_TRIGGERS = {
    True: "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    False: "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgname NOT LIKE '%%_emptied'",
}


_ONE_OF_EACH = (
    "INSERT INTO circuit_version VALUES ('c', 'steps', '{}', 1)",
    "INSERT INTO exercise_version VALUES ('e', 'dead step', 'c', '{}', 1)",
    "INSERT INTO attempt VALUES ('A1', 'e', 7, '1', 1000)",
    "INSERT INTO attempt_event VALUES ('A1', 1, 'press', 'reading', '{\"n\":1}', 5, 'd1')",
    "INSERT INTO mark VALUES (1, 'A1', 1, 'd1', '4', '{}', '{\"proof\":1}', 9)",
)


@pytest.mark.parametrize("server", BOTH if FULL else BOTH[:1])
def test_database_of_the_first_version_loses_nothing(
    server: str, file: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rebuild of ``attempt`` deletes all that hangs on it where foreign keys are on."""
    address = (
        f"sqlite:///{file}" if server == "sqlite" else request.getfixturevalue("postgres").empty()
    )
    with monkeypatch.context() as first:
        first.setattr("exercises.migrations.upgrade._NEWEST", "0001")
        old = open_database(address)
    with old.writing() as connection:
        for statement in _ONE_OF_EACH:
            connection.exec_driver_sql(statement)
    old.close()

    with closing(open_store(address)) as store:
        assert [(event.seq, event.body) for event in store.events("A1")] == [(1, {"n": 1})]
        assert [(row.columns, row.made_by) for row in store.marks("A1")] == [({"proof": 1}, None)]
        begun_with = store.attempt("A1")
        assert (begun_with.seed, begun_with.learner_id) == (7, None)
        assert [row.id for row in store.attempts()] == ["A1"]
        with pytest.raises(NotKept), store.database.writing() as connection:
            connection.exec_driver_sql("UPDATE attempt_event SET body = '{}'")


def test_triggers_are_there_after_all_migrations(store: SqlStore) -> None:
    """Rebuilding a SQLite table drops its triggers in silence."""
    with store.database.reading() as connection:
        names = connection.exec_driver_sql(_TRIGGERS[store.database.is_sqlite])

        assert set(names.scalars()) == {
            "attempt_event_goes_with_its_attempt",
            "attempt_event_is_never_changed",
            "circuit_version_is_never_changed",
            "exercise_version_is_never_changed",
            "mark_goes_with_its_attempt",
            "mark_is_never_changed",
        }


def test_connections_are_durable_and_check_foreign_keys(sqlite_store: SqlStore) -> None:
    """2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous."""
    with sqlite_store.database.reading() as connection:
        for pragma, value in (("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1)):
            assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value


def test_database_of_a_newer_program_is_refused_and_left_alone(
    sqlite_store: SqlStore, file: Path
) -> None:
    begun(sqlite_store)
    sqlite_store.close()
    with closing(sqlite3.connect(file)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9001'")
        raw.commit()

    with pytest.raises(NotOpened) as refused:
        opened(file)

    assert str(refused.value) == (
        f"{file}: its tables are of version '9001', from a newer program; accepted: up to "
        f"'{NEWEST}'. Start the newer program, or use another database."
    )
    with closing(sqlite3.connect(file)) as raw:
        assert raw.execute("SELECT count(*) FROM attempt").fetchone() == (1,)


def test_migration_that_fails_leaves_the_file_as_it_was(file: Path) -> None:
    with closing(sqlite3.connect(file)) as raw:
        raw.execute("CREATE TABLE mark (mine TEXT)")

    with pytest.raises(NotOpened, match=r"table mark already exists"):
        opened(file)

    with closing(sqlite3.connect(file)) as raw:
        assert raw.execute("SELECT name FROM sqlite_master").fetchall() == [("mark",)]


def test_file_that_is_no_database_is_refused(file: Path) -> None:
    file.write_text("volts and ohms\n" * 100)

    with pytest.raises(NotOpened, match=r"lab\.db: the file is not a database\.$"):
        opened(file)


def test_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    with pytest.raises(NotOpened, match=r"file/lab\.db: .*\.$"):
        opened(tmp_path / "file" / "lab.db")


def test_database_comes_from_the_variable_and_its_folder_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "new" / "100% kept" / "lab.db"
    monkeypatch.setenv("LAB_DATABASE_URL", f"sqlite:///{file}")

    open_store().close()

    assert file.is_file()


def test_database_is_by_default_in_the_projects_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("LAB_DATABASE_URL", raising=False)
    monkeypatch.setattr("exercises.database._DEFAULT_FILE", tmp_path / ".lab" / "lab.db")

    open_store().close()

    assert (tmp_path / ".lab" / "lab.db").is_file()


@pytest.mark.parametrize(
    ("url", "found"),
    [
        pytest.param("lab.db", "found no address of a database", id="bare path"),
        pytest.param("sqlite://", "found 'sqlite://'", id="memory"),
        pytest.param("sqlite:///:memory:", "found 'sqlite:///.*'", id="memory by name"),
        pytest.param("postgresql://h", "found 'postgresql://h'", id="server without database"),
        pytest.param("sqlite:///file:x?mode=ro&uri=true", "found 'sqlite:///.*'", id="options"),
        pytest.param(
            "mysql://u:secret@h/db", r"found 'mysql://u:\*\*\*@h/db'", id="other database"
        ),
    ],
)
def test_address_of_no_such_database_is_refused_without_its_password(url: str, found: str) -> None:
    with pytest.raises(StoreError, match=rf"{found}; accepted: sqlite:/// and the path of a file,"):
        open_store(url)

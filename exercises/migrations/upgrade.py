"""Bring a database to the version that this code knows."""

import sqlite3
import threading
import time
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, Engine, NullPool

from exercises.engines import engine_on, for_reading, for_writing, is_sqlite

_NEWEST = "head"
_HERE = Path(__file__).resolve().parent
_ONE_AT_A_TIME = threading.Lock()  # Alembic holds its context in module globals

_UPGRADE_LOCK = 7_213_004_501  # any number that other programs on the server do not lock


class NotUpgraded(Exception):  # noqa: N818 - says itself what is wrong
    """The database is of a version that this code cannot bring up; the message says why."""


def upgrade(url: URL, *, patience_ms: int) -> None:
    """Bring a database to the newest version, creating what it lacks.

    Any number of processes may do so at once: one works, the others wait and find it done.

    Raises
    ------
    NotUpgraded
        If a newer program wrote the database, it does not hold every letter, or its rows
        contradict each other afterwards.
    """
    # foreign keys off: rebuilding a table would delete what hangs on its rows, in silence
    engine = engine_on(url, patience_ms=patience_ms, foreign_keys=False, pool=NullPool)
    config = configuration()
    try:
        with _ONE_AT_A_TIME:
            with for_reading(engine).connect() as connection:
                if _is_newest(connection, config):
                    return
            prepare = _prepare_sqlite if is_sqlite(url) else _prepare_postgresql
            prepare(engine, patience_ms)
            with for_writing(engine).begin() as connection:
                _lock_others_out(connection)
                if not _is_newest(connection, config):
                    _run(connection, config)
    finally:
        engine.dispose()


def configuration() -> Config:
    """Return Alembic's configuration: these folders, no file."""
    config = Config()
    config.set_main_option("script_location", str(_HERE).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def versions_known() -> tuple[str, ...]:
    """Return the versions that this code knows, oldest first."""
    script = ScriptDirectory.from_config(configuration())
    return tuple(reversed([each.revision for each in script.walk_revisions()]))


def _is_newest(connection: Connection, config: Config) -> bool:
    script = ScriptDirectory.from_config(config)
    known = {each.revision for each in script.walk_revisions()}
    found = MigrationContext.configure(connection).get_current_heads()
    newest = script.as_revision_number(_NEWEST)
    if stranger := set(found) - known:
        raise NotUpgraded(
            f"its tables are of version {min(stranger)!r}, from a newer program; "
            f"accepted: up to {newest!r}. Start the newer program, or use another database."
        )
    return found == (newest,)


def _lock_others_out(connection: Connection) -> None:
    # SQLite has one writer in any case
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_UPGRADE_LOCK})")


def _run(connection: Connection, config: Config) -> None:
    config.attributes["connection"] = connection
    if connection.dialect.name == "postgresql":
        command.upgrade(config, _NEWEST)
        return
    # a table that is being rebuilt is missing for a moment, and triggers name it
    connection.exec_driver_sql("PRAGMA legacy_alter_table=ON")
    command.upgrade(config, _NEWEST)
    if broken := connection.exec_driver_sql("PRAGMA foreign_key_check").first():
        raise NotUpgraded(
            f"after the upgrade a row of {broken[0]!r} would point at no row of {broken[2]!r}; "
            "the database was left as it was."
        )


def _prepare_postgresql(engine: Engine, _patience_ms: int) -> None:
    with for_reading(engine).connect() as connection:
        found = connection.exec_driver_sql("SHOW server_encoding").scalar()
    if found != "UTF8":
        raise NotUpgraded(f"its letters are kept as {found}; accepted: a database in UTF8.")


def _prepare_sqlite(engine: Engine, patience_ms: int) -> None:
    _write_ahead(str(engine.url.database), patience_ms)


def _write_ahead(database: str, patience_ms: int) -> None:
    """Set the write-ahead log, once for the file's life.

    SQLite may answer "locked" at once here, whatever the timeout, when two processes
    open a new file together.
    """
    until = time.monotonic() + patience_ms / 1000
    connection = sqlite3.connect(database, timeout=patience_ms / 1000)
    try:
        while True:
            try:
                connection.execute("PRAGMA journal_mode=WAL")
                return
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                    raise
                time.sleep(0.02)
    finally:
        connection.close()

"""Bring a database to the version that this code knows."""

import sqlite3
import threading
import time
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, NullPool

from exercises.tables import WRITES, sqlite_engine

_HERE = Path(__file__).resolve().parent
_ONE_AT_A_TIME = threading.Lock()  # Alembic holds its context in module globals


class NotUpgraded(Exception):  # noqa: N818 - says itself what is wrong
    """The database is of a version that this code cannot bring up; the message says why."""


def upgrade(url: URL, *, patience_ms: int) -> None:
    """Bring a SQLite file to the newest version, creating it if need be.

    Any number of processes may do so at once: one works, the others wait and find it done.

    Raises
    ------
    NotUpgraded
        If a newer program wrote the file, or its rows contradict each other afterwards.
    """
    # foreign keys off: rebuilding a table would delete what hangs on its rows, in silence
    engine = sqlite_engine(url, patience_ms=patience_ms, foreign_keys=False, pool=NullPool)
    config = configuration()
    try:
        with _ONE_AT_A_TIME:
            with engine.connect() as connection:
                if _is_newest(connection, config):
                    return
            _write_ahead(str(url.database), patience_ms)
            with engine.execution_options(**{WRITES: True}).begin() as connection:
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


def _is_newest(connection: Connection, config: Config) -> bool:
    script = ScriptDirectory.from_config(config)
    known = {each.revision for each in script.walk_revisions()}
    found = MigrationContext.configure(connection).get_current_heads()
    newest = script.get_current_head()
    if stranger := set(found) - known:
        raise NotUpgraded(
            f"its tables are of version {min(stranger)!r}, from a newer program; "
            f"accepted: up to {newest!r}. Start the newer program, or use another database."
        )
    return found == (newest,)


def _run(connection: Connection, config: Config) -> None:
    # a table that is being rebuilt is missing for a moment, and triggers name it
    connection.exec_driver_sql("PRAGMA legacy_alter_table=ON")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
    if broken := connection.exec_driver_sql("PRAGMA foreign_key_check").first():
        raise NotUpgraded(
            f"after the upgrade a row of {broken[0]!r} would point at no row of {broken[2]!r}; "
            "the database was left as it was."
        )


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

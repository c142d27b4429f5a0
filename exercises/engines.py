"""Connections to SQLite and PostgreSQL, and in a person's words why one of them refused."""

import sqlite3
from collections.abc import Mapping
from typing import Any

from sqlalchemy import URL, Connection, Engine, Pool, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

WRITES = "lab_writes"
"""Execution option of an engine whose transactions write."""

_MOST_CONNECTIONS = 20


def is_sqlite(url: URL) -> bool:
    """Whether an address is that of a SQLite file."""
    return url.get_backend_name() == "sqlite"


def engine_on(
    url: URL, *, patience_ms: int, foreign_keys: bool = True, pool: type[Pool] | None = None
) -> Engine:
    """Return an engine on a database, durable and patient.

    Parameters
    ----------
    patience_ms : how long a transaction waits for another writer.
    foreign_keys : off only for migrating SQLite, where a rebuilt table would take its rows'
        rows along.
    """
    if is_sqlite(url):
        return _sqlite_engine(url, patience_ms=patience_ms, foreign_keys=foreign_keys, pool=pool)
    return _postgresql_engine(url, patience_ms=patience_ms, pool=pool)


def for_reading(engine: Engine) -> Engine:
    """Return the engine with transactions that read one snapshot."""
    if is_sqlite(engine.url):
        return engine
    return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def for_writing(engine: Engine) -> Engine:
    """Return the engine with transactions that write."""
    return engine.execution_options(**{WRITES: True})


def _sqlite_engine(
    url: URL, *, patience_ms: int, foreign_keys: bool, pool: type[Pool] | None
) -> Engine:
    engine = create_engine(
        url,
        poolclass=pool,
        hide_parameters=True,  # what learners did stays out of logs
        # SQLAlchemy begins transactions below, never the driver
        connect_args={"timeout": patience_ms / 1000, "isolation_level": None},
    )

    @event.listens_for(engine, "connect")
    def _set_up(connection: sqlite3.Connection, _record: object) -> None:
        # FULL: an acknowledged event survives a power cut, NORMAL may lose the last ones
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute(f"PRAGMA foreign_keys={'ON' if foreign_keys else 'OFF'}")
        # what is erased is overwritten, not only let go
        connection.execute("PRAGMA secure_delete=ON")
        # without it INSERT OR REPLACE passes by the triggers that refuse a delete
        connection.execute("PRAGMA recursive_triggers=ON")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get(WRITES, False)
        # a read that turns into a write cannot wait for another writer, so say it at once
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _postgresql_engine(url: URL, *, patience_ms: int, pool: type[Pool] | None) -> Engine:
    sizes: dict[str, Any] = {} if pool else {"pool_size": _MOST_CONNECTIONS, "max_overflow": 0}
    engine = create_engine(
        url,
        poolclass=pool,
        hide_parameters=True,
        pool_pre_ping=pool is None,  # the server may have been started again since
        connect_args={"connect_timeout": max(2, patience_ms // 1000)},
        **({**sizes, "pool_timeout": patience_ms / 1000} if sizes else {}),
    )

    @event.listens_for(engine, "connect")
    def _set_up(connection: Any, _record: object) -> None:
        connection.autocommit = True
        connection.execute(f"SET lock_timeout = {int(patience_ms)}")
        # whatever the server's default: an acknowledged event survives a power cut
        connection.execute("SET synchronous_commit = on")
        connection.autocommit = False

    return engine


_REASONS: Mapping[str, str] = {
    "SQLITE_FULL": "the disk is full",
    "SQLITE_BUSY": "another program holds the database",
    "SQLITE_LOCKED": "another program holds the database",
    "SQLITE_READONLY": "the database can only be read here",
    "SQLITE_IOERR": "the disk did not take or give the data",
    "SQLITE_CANTOPEN": "the database file cannot be opened",
    "SQLITE_CORRUPT": "the database file is damaged",
    "SQLITE_NOTADB": "the file is not a database",
    # https://www.postgresql.org/docs/current/errcodes-appendix.html
    "53100": "the disk is full",
    "53300": "too many others are connected to the database",
    "55P03": "another program holds the database",
    "40001": "another program holds the database",
    "40P01": "another program holds the database",
    "25006": "the database can only be read here",
    "58030": "the disk did not take or give the data",
    "XX001": "the database is damaged",
    "XX002": "the database is damaged",
    "57P01": "the database server is stopping",
    "57P03": "the database server is just starting or stopping",
    "42501": "the user may not do this in the database",
}


def reason(error: Exception) -> str:
    """Say in a person's words why the database refused."""
    if isinstance(error, PoolTimeoutError):
        return "too many others are using the database"
    original = error.orig if isinstance(error, DBAPIError) else error
    name = str(getattr(original, "sqlite_errorname", ""))
    # extended names carry the plain one in front: SQLITE_IOERR_WRITE
    code = "_".join(name.split("_")[:2]) or str(getattr(original, "sqlstate", None))
    if code in _REASONS:
        return _REASONS[code]
    told = str(original).strip()
    if isinstance(error, DBAPIError) and hasattr(original, "sqlstate") and code == "None":
        return _unconnected(told)
    return f"the database says {' '.join(told.split())!r}"


def _unconnected(told: str) -> str:
    """Say why there is no connection to the server: its word, where it gave one."""
    _, fatal, said = told.rpartition("FATAL:")
    if fatal:
        return f"the database server says {' '.join(said.split())!r}"
    return "the database server does not answer"

"""The tables, as the newest migration leaves them, and connections to SQLite.

Bodies are text with canonical JSON: digests need the same bytes back. Times are UTC
milliseconds. A test compares these tables with what the migrations make.
"""

import sqlite3
from collections.abc import Mapping

from sqlalchemy import (
    URL,
    BigInteger,
    Column,
    Connection,
    Engine,
    ForeignKey,
    Integer,
    MetaData,
    Pool,
    Table,
    Text,
    UniqueConstraint,
    create_engine,
    event,
)
from sqlalchemy.exc import DBAPIError

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    }
)

circuit_version = Table(
    "circuit_version",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("kept_at", BigInteger, nullable=False),
)

exercise_version = Table(
    "exercise_version",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("circuit_digest", Text, ForeignKey("circuit_version.digest"), nullable=False),
    Column("body", Text, nullable=False),
    Column("kept_at", BigInteger, nullable=False),
)

attempt = Table(
    "attempt",
    metadata,
    Column("id", Text, primary_key=True),
    Column("exercise_digest", Text, ForeignKey("exercise_version.digest"), nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("engine", Text, nullable=False),
    Column("started_at", BigInteger, nullable=False),
)

attempt_event = Table(
    "attempt_event",
    metadata,
    Column("attempt_id", Text, ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("key", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("digest", Text, nullable=False),
    UniqueConstraint("attempt_id", "key"),
)

mark = Table(
    "mark",
    metadata,
    Column("id", Integer, primary_key=True),
    Column(
        "attempt_id", Text, ForeignKey("attempt.id", ondelete="CASCADE"), nullable=False, index=True
    ),
    Column("up_to_seq", Integer, nullable=False),
    Column("events_digest", Text, nullable=False),
    Column("marker", Text, nullable=False),
    Column("weights", Text, nullable=False),
    Column("columns", Text, nullable=False),
    Column("made_at", BigInteger, nullable=False),
)

WRITES = "lab_writes"
"""Execution option of an engine whose transactions write."""


def sqlite_engine(
    url: URL, *, patience_ms: int, foreign_keys: bool = True, pool: type[Pool] | None = None
) -> Engine:
    """Return an engine on a SQLite file, durable and patient.

    Parameters
    ----------
    patience_ms : how long a transaction waits for another writer.
    foreign_keys : off only for migrating, where a rebuilt table would take its rows' rows along.
    """
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
        # without it INSERT OR REPLACE passes by the triggers that refuse a delete
        connection.execute("PRAGMA recursive_triggers=ON")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get(WRITES, False)
        # a read that turns into a write cannot wait for another writer, so say it at once
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

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
}


def reason(error: Exception) -> str:
    """Say in a person's words why the database refused."""
    original = error.orig if isinstance(error, DBAPIError) else error
    name = str(getattr(original, "sqlite_errorname", ""))
    # extended names carry the plain one in front: SQLITE_IOERR_WRITE
    plain = "_".join(name.split("_")[:2])
    return _REASONS.get(plain, f"the database says {str(original)!r}")

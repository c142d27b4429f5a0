"""The whole record out of one database, and into an empty one, or nothing changed."""

import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

from sqlalchemy import Boolean, Column, Connection, Integer, Table, Text, func, insert, select, text
from sqlalchemy.exc import IntegrityError

from exercises.backup.archive import BackupError, Lines, Reader, Writer, line_of, new_file, opened
from exercises.backup.chains import Chains
from exercises.database import Database
from exercises.migrations.upgrade import versions_known
from exercises.tables import mark, metadata, sign_in, throttle

KEPT = tuple(table for table in metadata.sorted_tables if table not in {sign_in, throttle})
"""What a backup holds, in an order in which rows can be put back."""

_OF_THE_FIRST_VERSION = {"circuit_version", "exercise_version", "attempt", "attempt_event", "mark"}
_AT_ONCE = 500


def back_up(database: Database, path: Path, *, at: int) -> dict[str, int]:
    """Write the whole record to a new file, as it is at one moment, and return rows by table.

    Raises
    ------
    BackupError
        If the file cannot be written.
    NotRead
        If the database cannot be read.
    """
    with new_file(path) as file, ZipFile(file, "w", ZIP_DEFLATED, compresslevel=6) as archive:
        writer = Writer(archive)
        with database.reading() as connection:
            for table in KEPT:
                writer.write(table.name, rows_of(connection, table))
        writer.close(versions_known()[-1], at)
    return {name: lines.rows for name, lines in writer.tables.items()}


def rows_of(connection: Connection, table: Table) -> Iterator[Mapping[str, Any]]:
    """Yield a table's rows in the order of their keys, the same on either database."""
    keys = [_plain_order(connection, column) for column in table.primary_key]
    wanted = select(table).order_by(*keys)
    options = {"yield_per": _AT_ONCE}
    for row in connection.execute(wanted, execution_options=options).mappings():
        yield {str(name): value for name, value in row.items()}


def _plain_order(connection: Connection, column: Column[Any]) -> Any:
    """Return a column that is sorted by its bytes, whatever the database's language."""
    is_text = isinstance(column.type, Text) and connection.dialect.name == "postgresql"
    return column.collate("C") if is_text else column


def restore(database: Database, path: Path) -> dict[str, int]:
    """Put a backup back into a database without rows, and return rows by table.

    Raises
    ------
    BackupError
        If the file is damaged or no backup, or the database is not empty; nothing is changed.
    NotKept
        If the database could not keep it; nothing is changed.
    """
    with opened(path) as reader:
        _check_version(reader)
        with database.writing() as connection:
            _check_empty(connection)
            _fill(connection, reader)
    return {name: lines.rows for name, lines in reader.tables.items()}


def _check_version(reader: Reader) -> None:
    known = versions_known()
    if reader.version not in known:
        raise BackupError(
            f"{reader.file}: its tables are of version {reader.version!r:.20}; accepted: up to "
            f"{known[-1]!r}, which this program knows."
        )
    names = {table.name for table in KEPT}
    if strange := set(reader.tables) - names:
        raise BackupError(
            f"{reader.file}: found the table {min(strange)!r:.60}; there is none such."
        )
    wanted = names if reader.version == known[-1] else _OF_THE_FIRST_VERSION
    if missing := wanted - set(reader.tables):
        raise BackupError(f"{reader.file}: the table {min(missing)!r} is missing.")


def is_empty(database: Database) -> bool:
    """Whether a database takes a backup.

    Raises
    ------
    NotRead
        If it cannot be read.
    """
    with database.reading() as connection:
        try:
            _check_empty(connection)
        except BackupError:
            return False
    return True


def _check_empty(connection: Connection) -> None:
    for table in KEPT:
        there = connection.execute(select(func.count()).select_from(table)).scalar_one()
        if there:
            raise BackupError(
                f"The database is not empty: found {there} rows of {table.name}; accepted: one "
                "without any. Nothing was changed."
            )


def _fill(connection: Connection, reader: Reader) -> None:
    chains = Chains()
    for table in KEPT:
        if table.name not in reader.tables:
            continue  # an older version had no such table
        try:
            _put(connection, table, reader, chains)
        except IntegrityError as error:
            raise BackupError(
                f"{reader.file}, {table.name}.jsonl: its rows contradict each other or those of "
                "another table; accepted: rows as this lab wrote them. Nothing was changed."
            ) from error
        _check_same(connection, table, reader)
    if connection.dialect.name == "postgresql":
        latest = select(func.coalesce(func.max(mark.c.id), 0) + 1).scalar_subquery()
        number = text("pg_get_serial_sequence('mark', 'id')")
        connection.execute(select(func.setval(number, latest, False)))


def _put(connection: Connection, table: Table, reader: Reader, chains: Chains) -> None:
    waiting: list[dict[str, Any]] = []
    for number, row in reader.rows(table.name):
        checked = _checked(table, row, f"{reader.file}, {table.name}.jsonl, line {number}")
        if table.name == "attempt_event":
            chains.check(checked, f"{reader.file}, {table.name}.jsonl, line {number}")
        waiting.append(checked)
        if len(waiting) == _AT_ONCE:
            connection.execute(insert(table), waiting)
            waiting = []
    if waiting:
        connection.execute(insert(table), waiting)


def _checked(table: Table, row: Mapping[str, Any], where: str) -> dict[str, Any]:
    """Return a row with all columns, each of its type."""
    if strange := set(row) - set(table.c.keys()):
        raise BackupError(f"{where}: found the column {min(strange)!r:.60}; there is none such.")
    for column in table.c:
        value = row.get(column.name)
        if value is None and column.nullable:
            continue
        wanted = _type_of(column)
        if type(value) is not wanted or "\x00" in str(value):
            raise BackupError(
                f"{where}: {column.name} is {value!r:.40}; accepted: {wanted.__name__}."
            )
    return {column.name: row.get(column.name) for column in table.c}


def _type_of(column: Column[Any]) -> type:
    if isinstance(column.type, Boolean):
        return bool
    return int if isinstance(column.type, Integer) else str


def _check_same(connection: Connection, table: Table, reader: Reader) -> None:
    """Check that the database gives back what the file holds, digest for digest."""
    found = table_lines(connection, table)
    if found != reader.tables[table.name]:
        raise BackupError(
            f"{reader.file}, {table.name}.jsonl: the database gives back {found.rows} other rows; "
            "accepted: those of the file. Nothing was changed."
        )


def table_lines(connection: Connection, table: Table) -> Lines:
    """Return how many rows a table has and the digest of their lines, as a backup tells them."""
    digest, count = hashlib.sha256(), 0
    for row in rows_of(connection, table):
        digest.update(line_of(row))
        count += 1
    return Lines(count, digest.hexdigest())

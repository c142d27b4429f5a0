"""Attempts as they are kept: begun, added to, read back, marked; never changed.

With ``queries``, ``tables`` and ``migrations`` the only importer of the database library.
Callers know ``Store``; ``open_store`` gives the one on a SQLite file.
"""

import os
import secrets
import sqlite3
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, Table, insert, make_url
from sqlalchemy.dialects.sqlite import insert as insert_new
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from exercises import queries
from exercises.events import Draft, Event, NotJson, canonical, chained, digest_of
from exercises.migrations.upgrade import NotUpgraded, upgrade
from exercises.records import (
    AttemptRow,
    Behind,
    Kept,
    MarkRow,
    NotKept,
    NotOpened,
    NotRead,
    Recent,
    Store,
    StoreError,
    UnknownAttempt,
)
from exercises.tables import (
    WRITES,
    attempt,
    attempt_event,
    circuit_version,
    exercise_version,
    mark,
    reason,
    sqlite_engine,
)

__all__ = [
    "DATABASE_VARIABLE",
    "AttemptRow",
    "Behind",
    "Kept",
    "MarkRow",
    "NotKept",
    "NotOpened",
    "NotRead",
    "Recent",
    "SqlStore",
    "Store",
    "StoreError",
    "UnknownAttempt",
    "open_store",
]

DATABASE_VARIABLE = "LAB_DATABASE_URL"
_DEFAULT_FILE = Path(__file__).resolve().parent.parent / ".lab" / "lab.db"
_LARGEST = 2**63 - 1


class SqlStore(Store):
    """Attempts in a database. One store serves all threads of a process."""

    def __init__(self, database: Engine, *, patience_ms: int) -> None:
        self._reader = database
        self._writer = database.execution_options(**{WRITES: True})
        # threads queue fairly here; SQLite alone lets one of them starve for seconds
        self._lock = threading.Lock()
        self._patience_s = patience_ms / 1000

    def begin(  # noqa: PLR0913 - what a row holds
        self,
        exercise_name: str,
        exercise_body: object,
        circuit_name: str,
        circuit_body: object,
        *,
        seed: int,
        engine: str,
        at: int,
    ) -> str:
        """Begin an attempt; see ``Store``."""
        _check_words(exercise_name=exercise_name, circuit_name=circuit_name, engine=engine)
        _check_numbers(seed=seed, at=at)
        with _sayable():
            circuit = {"name": circuit_name, "body": canonical(circuit_body)}
            exercise = {"name": exercise_name, "body": canonical(exercise_body)}
        circuit["digest"] = digest_of([circuit["name"], circuit["body"]])
        # one exercise on two states of its circuit is two versions
        exercise["digest"] = digest_of([exercise["name"], circuit["digest"], exercise["body"]])
        exercise["circuit_digest"] = circuit["digest"]
        # the letter keeps it from looking like an option on a command line
        attempt_id = f"A{secrets.token_urlsafe(16)}"
        with self._writing() as connection:
            _insert_new(connection, circuit_version, circuit, at)
            _insert_new(connection, exercise_version, exercise, at)
            connection.execute(
                insert(attempt).values(
                    id=attempt_id,
                    exercise_digest=exercise["digest"],
                    seed=seed,
                    engine=engine,
                    started_at=at,
                )
            )
        return attempt_id

    def attempt(self, attempt_id: str) -> AttemptRow:
        """Return what an attempt was begun with; see ``Store``."""
        with self._reading() as connection:
            queries.check_exists(connection, attempt_id)
            return queries.begun_with(connection, attempt_id)

    def events(self, attempt_id: str, after: int = 0) -> tuple[Event, ...]:
        """Return an attempt's events above ``after``; see ``Store``."""
        with self._reading() as connection:
            queries.check_exists(connection, attempt_id)
            return queries.events_after(connection, attempt_id, after)

    def append(
        self, attempt_id: str, *, seen: int, draft: Draft, key: str, at: int
    ) -> Kept | Behind:
        """Keep an event after the last one seen; see ``Store``."""
        _check_words(kind=draft.kind, key=key)
        _check_numbers(seen=seen, at=at)
        with _sayable():
            canonical(draft.body)  # before waiting for the database
        with self._writing() as connection:
            queries.check_exists(connection, attempt_id)
            if (kept := queries.event_of_press(connection, attempt_id, key)) is not None:
                return Kept(_same_press(kept, draft), again=True)
            if newer := queries.events_after(connection, attempt_id, seen):
                return Behind(newer)
            last = queries.event_at(connection, attempt_id, seen)
            with _sayable():
                event = chained(attempt_id, last, draft, key=key, at=at)
            connection.execute(
                insert(attempt_event).values(
                    attempt_id=attempt_id,
                    seq=event.seq,
                    key=event.key,
                    kind=event.kind,
                    body=canonical(event.body),
                    at=event.at,
                    digest=event.digest,
                )
            )
        return Kept(event, again=False)

    def attempts(self, limit: int = 50) -> tuple[Recent, ...]:
        """Return the attempts last added to; see ``Store``."""
        with self._reading() as connection:
            return queries.recent(connection, limit)

    def keep_mark(  # noqa: PLR0913 - what a row holds
        self,
        attempt_id: str,
        up_to_seq: int,
        events_digest: str,
        *,
        marker: str,
        weights: object,
        columns: object,
        at: int,
    ) -> MarkRow:
        """Keep a mark; see ``Store``."""
        _check_words(marker=marker)
        _check_numbers(up_to_seq=up_to_seq, at=at)
        with _sayable():
            fields = {
                "attempt_id": attempt_id,
                "up_to_seq": up_to_seq,
                "events_digest": events_digest,
                "marker": marker,
                "weights": canonical(weights),
                "columns": canonical(columns),
                "made_at": at,
            }
        with self._writing() as connection:
            queries.check_exists(connection, attempt_id)
            last = queries.event_at(connection, attempt_id, up_to_seq)
            if events_digest != (last.digest if last else ""):
                raise NotKept(
                    f"the mark was made of other events: its digest is {events_digest!r:.20}; "
                    f"accepted: that of event {up_to_seq} of this attempt."
                )
            kept = connection.execute(insert(mark).values(fields).returning(mark)).mappings().one()
        return queries.as_mark(kept)

    def marks(self, attempt_id: str) -> tuple[MarkRow, ...]:
        """Return an attempt's marks; see ``Store``."""
        with self._reading() as connection:
            queries.check_exists(connection, attempt_id)
            return queries.marks_of(connection, attempt_id)

    def close(self) -> None:
        """Give up the connections."""
        self._reader.dispose()

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        try:
            with self._reader.begin() as connection:
                yield connection
        except SQLAlchemyError as error:
            raise NotRead(f"The attempt could not be read: {reason(error)}.") from error

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        if not self._lock.acquire(timeout=self._patience_s):
            raise NotKept("Nothing was written: too many others are writing. Please try again.")
        try:
            with self._writer.begin() as connection:
                yield connection
        except SQLAlchemyError as error:
            raise NotKept(f"Nothing was written: {reason(error)}. Please try again.") from error
        finally:
            self._lock.release()


def open_store(url: str | None = None, *, patience_ms: int = 15_000) -> SqlStore:
    """Open the store, creating or upgrading its database.

    Parameters
    ----------
    url : ``sqlite:///`` and a file; without it ``LAB_DATABASE_URL``, or else ``.lab/lab.db`` in
        the project's folder.
    patience_ms : how long a press waits for other writers.

    Raises
    ------
    NotOpened
        If the file cannot be made, is no database, or a newer program wrote it.
    """
    place = _database(url)
    try:
        Path(str(place.database)).parent.mkdir(parents=True, exist_ok=True)
        upgrade(place, patience_ms=patience_ms)
    except NotUpgraded as error:
        raise NotOpened(f"{place.database}: {error}") from error
    except (SQLAlchemyError, sqlite3.Error) as error:
        raise NotOpened(f"{place.database}: {reason(error)}.") from error
    except OSError as error:
        raise NotOpened(f"{place.database}: {error.strerror}.") from error
    return SqlStore(sqlite_engine(place, patience_ms=patience_ms), patience_ms=patience_ms)


def _database(url: str | None) -> URL:
    """Return where the database is, if that is somewhere it can be."""
    where = "the address of the database" if url else DATABASE_VARIABLE
    text = url or os.environ.get(DATABASE_VARIABLE)
    if not text:
        return URL.create("sqlite", database=str(_DEFAULT_FILE))
    accepted = "accepted: sqlite:/// and the path of a file."
    try:
        place = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise NotOpened(f"{where}: found no address of a database; {accepted}") from error
    is_file = place.database not in {None, "", ":memory:"} and not place.query
    if place.get_backend_name() != "sqlite" or not is_file:
        raise NotOpened(f"{where}: found {place.render_as_string()!r}; {accepted}")
    return place


def _insert_new(connection: Connection, table: Table, row: Mapping[str, Any], at: int) -> None:
    """Keep a version unless it is kept already."""
    connection.execute(insert_new(table).values(**row, kept_at=at).on_conflict_do_nothing())


@contextmanager
def _sayable() -> Iterator[None]:
    try:
        yield
    except NotJson as error:
        raise NotKept(f"Nothing was written: {error}") from error


def _check_words(**words: str) -> None:
    for name, text in words.items():
        if not queries.is_word(text):
            raise NotKept(f"{name} is {text!r:.60}; accepted: 1 to 200 printable characters.")


def _check_numbers(**numbers: int) -> None:
    for name, number in numbers.items():
        if type(number) is not int or not 0 <= number <= _LARGEST:
            raise NotKept(f"{name} is {number!r:.60}; accepted: a whole number from 0 to 2⁶³ - 1.")


def _same_press(event: Event, draft: Draft) -> Event:
    if (event.kind, canonical(event.body)) != (draft.kind, canonical(draft.body)):
        raise NotKept(
            f"press {event.key!r:.50}: kept already as event {event.seq} with other content; "
            "accepted: a new key for a new press."
        )
    return event

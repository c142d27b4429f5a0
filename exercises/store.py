"""Attempts as they are kept: begun, added to, read back, marked; never changed.

Callers know ``Store``; ``open_store`` gives the one on a database.
"""

import secrets

from sqlalchemy import insert

from exercises import queries
from exercises.database import DATABASE_VARIABLE, Database, open_database
from exercises.events import Draft, Event, canonical, chained
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
from exercises.tables import attempt, attempt_event, mark
from exercises.versions import check_numbers, check_words, keep_version, sayable, version_of

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


class SqlStore(Store):
    """Attempts in a database. One store serves all threads of a process."""

    def __init__(self, database: Database) -> None:
        self.database = database

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
        learner_id: str | None = None,
        assignment_id: str | None = None,
    ) -> str:
        """Begin an attempt; see ``Store``."""
        check_words(engine=engine)
        check_numbers(seed=seed, at=at)
        version = version_of(exercise_name, exercise_body, circuit_name, circuit_body)
        # the letter keeps it from looking like an option on a command line
        attempt_id = f"A{secrets.token_urlsafe(16)}"
        with self.database.writing() as connection:
            keep_version(connection, version, at)
            queries.check_set(connection, version.digest, seed, learner_id, assignment_id)
            connection.execute(
                insert(attempt).values(
                    id=attempt_id,
                    exercise_digest=version.digest,
                    seed=seed,
                    engine=engine,
                    started_at=at,
                    learner_id=learner_id,
                    assignment_id=assignment_id,
                )
            )
        return attempt_id

    def attempt(self, attempt_id: str) -> AttemptRow:
        """Return what an attempt was begun with; see ``Store``."""
        with self.database.reading() as connection:
            queries.check_exists(connection, attempt_id)
            return queries.begun_with(connection, attempt_id)

    def events(self, attempt_id: str, after: int = 0) -> tuple[Event, ...]:
        """Return an attempt's events above ``after``; see ``Store``."""
        with self.database.reading() as connection:
            queries.check_exists(connection, attempt_id)
            return queries.events_after(connection, attempt_id, after)

    def append(
        self, attempt_id: str, *, seen: int, draft: Draft, key: str, at: int
    ) -> Kept | Behind:
        """Keep an event after the last one seen; see ``Store``."""
        check_words(kind=draft.kind, key=key)
        check_numbers(seen=seen, at=at)
        with sayable():
            canonical(draft.body)  # before waiting for the database
        with self.database.writing() as connection:
            queries.check_exists(connection, attempt_id, to_write=True)
            if (kept := queries.event_of_press(connection, attempt_id, key)) is not None:
                return Kept(_same_press(kept, draft), again=True)
            if newer := queries.events_after(connection, attempt_id, seen):
                return Behind(newer)
            last = queries.event_at(connection, attempt_id, seen)
            with sayable():
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

    def attempts(self, limit: int = 50, *, learner_id: str | None = None) -> tuple[Recent, ...]:
        """Return a learner's attempts; see ``Store``."""
        with self.database.reading() as connection:
            return queries.recent(connection, limit, queries.of_learner(learner_id))

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
        made_by: str | None = None,
        reason: str | None = None,
    ) -> MarkRow:
        """Keep a mark; see ``Store``."""
        check_words(marker=marker, **({} if reason is None else {"reason": reason}))
        check_numbers(up_to_seq=up_to_seq, at=at)
        with sayable():
            fields = {
                "attempt_id": attempt_id,
                "up_to_seq": up_to_seq,
                "events_digest": events_digest,
                "marker": marker,
                "weights": canonical(weights),
                "columns": canonical(columns),
                "made_at": at,
                "made_by": made_by,
                "reason": reason,
            }
        with self.database.writing() as connection:
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
        with self.database.reading() as connection:
            queries.check_exists(connection, attempt_id)
            return queries.marks_of(connection, attempt_id)

    def close(self) -> None:
        """Give up the connections."""
        self.database.close()


def open_store(url: str | None = None, *, patience_ms: int = 15_000) -> SqlStore:
    """Open the store on a database of its own; see ``open_database``.

    Raises
    ------
    NotOpened
        If the database cannot be used.
    """
    return SqlStore(open_database(url, patience_ms=patience_ms))


def _same_press(event: Event, draft: Draft) -> Event:
    if (event.kind, canonical(event.body)) != (draft.kind, canonical(draft.body)):
        raise NotKept(
            f"press {event.key!r:.50}: kept already as event {event.seq} with other content; "
            "accepted: a new key for a new press."
        )
    return event

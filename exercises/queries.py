"""What is asked of the tables, and rows as values."""

import json
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    Select,
    func,
    literal,
    select,
)

from exercises.events import Event
from exercises.records import AttemptRow, MarkRow, NotKept, Recent, UnknownAttempt
from exercises.tables import (
    assignment,
    attempt,
    attempt_event,
    circuit_version,
    exercise_version,
    learner,
    mark,
)

_LONGEST_WORD = 200


def is_word(text: object) -> bool:
    """Whether a text is short and printable: no NUL or lone surrogate, which databases refuse."""
    return isinstance(text, str) and 0 < len(text) <= _LONGEST_WORD and text.isprintable()


def check_exists(connection: Connection, attempt_id: str, *, to_write: bool = False) -> None:
    """Raise UnknownAttempt unless the attempt is there; ``to_write``: and have it alone."""
    wanted = select(attempt.c.id).where(attempt.c.id == attempt_id)
    if to_write:  # two writers would both take the next seq; SQLite has one in any case
        wanted = wanted.with_for_update()
    # the id may come from an address line
    if not is_word(attempt_id) or connection.execute(wanted).first() is None:
        raise UnknownAttempt.of(attempt_id)


def check_set(
    connection: Connection,
    digest: str,
    seed: int,
    learner_id: str | None,
    assignment_id: str | None,
) -> None:
    """Raise NotKept unless the learner is there, and may begin this try at an assignment.

    A try has its own seed, so one that two windows begin at once is begun once.
    """
    if learner_id is None and assignment_id is None:
        return
    who = select(learner.c.class_id).where(learner.c.id == learner_id).with_for_update()
    found = connection.execute(who).first()
    if found is None:
        raise NotKept("Nothing was written: you are no longer in the class. Please sign in again.")
    if assignment_id is None:
        return
    is_set = select(assignment.c.id).where(
        assignment.c.id == assignment_id,
        assignment.c.class_id == found.class_id,
        assignment.c.exercise_digest == digest,
    )
    if connection.execute(is_set).first() is None:
        raise NotKept("Nothing was written: this exercise is not one that is set for your class.")
    begun = select(attempt.c.id).where(
        attempt.c.learner_id == learner_id,
        attempt.c.assignment_id == assignment_id,
        attempt.c.seed == seed,
    )
    if connection.execute(begun).first() is not None:
        raise NotKept(
            "Nothing was written: this try was begun already, perhaps in another window. "
            "Please load the page again."
        )


def begun_with(connection: Connection, attempt_id: str) -> AttemptRow:
    """Return what an attempt that is there was begun with."""
    wanted = (
        select(
            attempt.c.id,
            exercise_version.c.name.label("exercise_name"),
            exercise_version.c.body.label("exercise_body"),
            circuit_version.c.name.label("circuit_name"),
            circuit_version.c.body.label("circuit_body"),
            attempt.c.seed,
            attempt.c.engine,
            attempt.c.started_at,
            attempt.c.learner_id,
            attempt.c.assignment_id,
        )
        .select_from(attempt.join(exercise_version).join(circuit_version))
        .where(attempt.c.id == attempt_id)
    )
    row = connection.execute(wanted).mappings().one()
    return AttemptRow(**_decoded(row, "exercise_body", "circuit_body"))


def events_after(connection: Connection, attempt_id: str, seq: int) -> tuple[Event, ...]:
    """Return an attempt's events above a seq, in order."""
    return _events(connection, attempt_id, attempt_event.c.seq > seq)


def event_of_press(connection: Connection, attempt_id: str, key: str) -> Event | None:
    """Return the event that a press made, if it is kept."""
    found = _events(connection, attempt_id, attempt_event.c.key == key)
    return found[0] if found else None


def event_at(connection: Connection, attempt_id: str, seq: int) -> Event | None:
    """Return the event of that seq, None for 0.

    Raises
    ------
    NotKept
        If it is not there: who says to have seen it has another database in mind.
    """
    if seq == 0:
        return None
    found = _events(connection, attempt_id, attempt_event.c.seq == seq)
    if not found:
        raise NotKept(f"event {seq} of this attempt is not kept here. Please load the page again.")
    return found[0]


def _events(
    connection: Connection, attempt_id: str, which: ColumnElement[bool]
) -> tuple[Event, ...]:
    wanted = (
        select(*(attempt_event.c[name] for name in ("seq", "key", "kind", "body", "at", "digest")))
        .where(attempt_event.c.attempt_id == attempt_id, which)
        .order_by(attempt_event.c.seq)
    )
    rows = connection.execute(wanted).mappings()
    return tuple(Event(**_decoded(row, "body")) for row in rows)


def marks_of(connection: Connection, attempt_id: str) -> tuple[MarkRow, ...]:
    """Return an attempt's marks, oldest first."""
    wanted = select(mark).where(mark.c.attempt_id == attempt_id).order_by(mark.c.id)
    return tuple(as_mark(row) for row in connection.execute(wanted).mappings())


def as_mark(row: RowMapping) -> MarkRow:
    """Return a row of the marks as a value."""
    return MarkRow(**_decoded(row, "weights", "columns"))


def of_learner(learner_id: str | None) -> ColumnElement[bool]:
    """Return what holds for a learner's attempts; None: for those of local use."""
    return attempt.c.learner_id.is_not_distinct_from(learner_id)


def recent(connection: Connection, limit: int, which: ColumnElement[bool]) -> tuple[Recent, ...]:
    """Return the attempts last added to of those for which something holds, latest first."""
    rows = connection.execute(_recent(which).limit(limit)).mappings()
    return tuple(Recent(**row) for row in rows)


def _recent(which: ColumnElement[bool]) -> Select[*tuple[Any, ...]]:
    last = (
        select(
            attempt_event.c.attempt_id,
            func.max(attempt_event.c.seq).label("seq"),
            func.max(attempt_event.c.at).label("at"),
        )
        .where(attempt_event.c.attempt_id.in_(select(attempt.c.id).where(which)))
        .group_by(attempt_event.c.attempt_id)
        .subquery()
    )
    last_at = func.coalesce(last.c.at, attempt.c.started_at).label("last_at")
    return (
        select(
            attempt.c.id,
            exercise_version.c.name.label("exercise_name"),
            circuit_version.c.name.label("circuit_name"),
            attempt.c.seed,
            attempt.c.started_at,
            func.coalesce(last.c.seq, literal(0)).label("last_seq"),
            last_at,
            attempt.c.assignment_id,
        )
        .select_from(
            attempt.join(exercise_version)
            .join(circuit_version)
            .outerjoin(last, last.c.attempt_id == attempt.c.id)
        )
        .where(which)
        .order_by(last_at.desc(), attempt.c.id)
    )


def _decoded(row: RowMapping, *bodies: str) -> dict[str, Any]:
    return {**row, **{name: json.loads(row[name]) for name in bodies}}

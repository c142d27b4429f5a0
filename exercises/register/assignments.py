"""Assignments in the database, and where the attempts at them stand."""

import json
import secrets
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    and_,
    func,
    insert,
    literal,
    select,
    update,
)

from exercises.database import Database
from exercises.events import canonical
from exercises.identity.people import Assignment, Progress
from exercises.queries import is_word
from exercises.records import NotKept
from exercises.tables import (
    assignment,
    attempt,
    attempt_event,
    circuit_version,
    exercise_version,
    learner,
)
from exercises.versions import keep_version, version_of


class Assignments:
    """Assignments and attempts at them."""

    database: Database

    def set_exercise(
        self,
        class_id: str,
        exercise: tuple[str, object, str, object],
        *,
        rules: object,
        opens: int | None,
        due: int | None,
        at: int,
    ) -> Assignment:
        """Set an exercise (its name and body, its circuit's name and body) for a class."""
        version = version_of(*exercise)
        row: Mapping[str, Any] = {
            "id": f"S{secrets.token_urlsafe(12)}",
            "class_id": class_id,
            "exercise_digest": version.digest,
            "opens": opens,
            "due": due,
            "rules": canonical(rules),
            "made_at": at,
        }
        with self.database.writing() as connection:
            keep_version(connection, version, at)
            connection.execute(insert(assignment).values(**row))
            made = _found(connection, assignment.c.id == row["id"])
        return made[0]

    def assignment(self, assignment_id: str) -> Assignment | None:
        """Return an assignment."""
        if not is_word(assignment_id):  # it may come from an address line
            return None
        with self.database.reading() as connection:
            return next(iter(_found(connection, assignment.c.id == assignment_id)), None)

    def assignments(self, class_id: str) -> tuple[Assignment, ...]:
        """Return a class's assignments, newest first."""
        with self.database.reading() as connection:
            return _found(connection, assignment.c.class_id == class_id)

    def set_due(self, assignment_id: str, due: int | None) -> None:
        """Change when an assignment ends."""
        self._change(assignment_id, due=due)

    def release(self, assignment_id: str, *, at: int | None) -> None:
        """Let learners see the debriefs of an examination, or (None) no more."""
        self._change(assignment_id, released_at=at)

    def _change(self, assignment_id: str, **values: int | None) -> None:
        with self.database.writing() as connection:
            changed = connection.execute(
                update(assignment).where(assignment.c.id == assignment_id).values(**values)
            )
            if not changed.rowcount:
                raise NotKept("Nothing was written: this exercise is no longer set for the class.")

    def progress(self, class_id: str, assignment_id: str | None = None) -> tuple[Progress, ...]:
        """Return a class's attempts, those of one assignment if named, last added to first."""
        which = learner.c.class_id == class_id
        if assignment_id is not None:
            which = and_(which, attempt.c.assignment_id == assignment_id)
        with self.database.reading() as connection:
            rows = connection.execute(_attempts(which)).mappings().all()
            events = _events(connection, which)
        return tuple(
            Progress(**row, **come_so_far(events.get(row["attempt_id"], ()))) for row in rows
        )

    def begun(self, learner_id: str) -> tuple[tuple[str, str | None], ...]:
        """Return a learner's attempts, each with its assignment, newest first."""
        wanted = (
            select(attempt.c.id, attempt.c.assignment_id)
            .where(attempt.c.learner_id == learner_id)
            .order_by(attempt.c.started_at.desc(), attempt.c.id)
        )
        with self.database.reading() as connection:
            return tuple((row.id, row.assignment_id) for row in connection.execute(wanted))


def come_so_far(events: Iterable[tuple[str, Mapping[str, Any]]]) -> dict[str, Any]:
    """Return the minutes and the stage of an attempt from its kinds and bodies of events.

    The same as the fold tells, without its circuit.

    >>> come_so_far([("reading", {"minutes": 2.5}), ("repair", {"minutes": 10.0})])
    {'minutes': 12.5, 'stage': 'repaired'}
    """
    minutes, stage = 0.0, "probing"
    for kind, body in events:
        minutes += body.get("minutes", 0.0)
        stage = _STAGES.get(kind, stage)
    return {"minutes": minutes, "stage": stage}


_STAGES = {"repair": "repaired", "closed": "closed"}


def _events(
    connection: Connection, which: ColumnElement[bool]
) -> dict[str, list[tuple[str, Mapping[str, Any]]]]:
    wanted = (
        select(attempt_event.c.attempt_id, attempt_event.c.kind, attempt_event.c.body)
        .select_from(attempt_event.join(attempt).join(learner))
        # the first event holds the circuit, and costs no minutes
        .where(which, attempt_event.c.seq > 1)
        .order_by(attempt_event.c.attempt_id, attempt_event.c.seq)
    )
    found: dict[str, list[tuple[str, Mapping[str, Any]]]] = {}
    for row in connection.execute(wanted):
        found.setdefault(row.attempt_id, []).append((row.kind, json.loads(row.body)))
    return found


def _attempts(which: ColumnElement[bool]) -> Select[*tuple[Any, ...]]:
    newest = (
        select(attempt_event.c.attempt_id, func.max(attempt_event.c.seq).label("seq"))
        .select_from(attempt_event.join(attempt).join(learner))
        .where(which)
        .group_by(attempt_event.c.attempt_id)
        .subquery()
    )
    last = attempt_event.alias("last")
    last_at = func.coalesce(last.c.at, attempt.c.started_at).label("last_at")
    return (
        select(
            attempt.c.id.label("attempt_id"),
            attempt.c.learner_id,
            learner.c.nickname,
            learner.c.group_name,
            attempt.c.assignment_id,
            attempt.c.started_at,
            func.coalesce(last.c.seq, literal(0)).label("last_seq"),
            func.coalesce(last.c.kind, literal("")).label("last_kind"),
            last_at,
        )
        .select_from(
            attempt.join(learner)
            .outerjoin(newest, newest.c.attempt_id == attempt.c.id)
            .outerjoin(last, and_(last.c.attempt_id == attempt.c.id, last.c.seq == newest.c.seq))
        )
        .where(which)
        .order_by(last_at.desc(), attempt.c.id)
    )


def _found(connection: Connection, which: ColumnElement[bool]) -> tuple[Assignment, ...]:
    wanted = (
        select(
            assignment.c.id,
            assignment.c.class_id,
            exercise_version.c.name.label("exercise_name"),
            exercise_version.c.body.label("exercise_body"),
            circuit_version.c.name.label("circuit_name"),
            circuit_version.c.body.label("circuit_body"),
            assignment.c.opens,
            assignment.c.due,
            assignment.c.rules,
            assignment.c.released_at,
            assignment.c.made_at,
        )
        .select_from(assignment.join(exercise_version).join(circuit_version))
        .where(which)
        .order_by(assignment.c.made_at.desc(), assignment.c.id)
    )
    bodies = ("exercise_body", "circuit_body", "rules")
    return tuple(
        Assignment(**{**row, **{name: json.loads(row[name]) for name in bodies}})
        for row in connection.execute(wanted).mappings()
    )

"""Classes and learners in the database."""

import secrets
from collections.abc import Mapping
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    delete,
    func,
    select,
    update,
)

from exercises.database import Database
from exercises.identity.people import ClassRoom, Learner
from exercises.queries import is_word
from exercises.tables import class_room, learner, sign_in
from exercises.versions import insert_new


class Classes:
    """Classes and learners."""

    database: Database

    def make_class(
        self, instructor_id: str, title: str, join_code: str, *, at: int
    ) -> ClassRoom | None:
        """Make a class; None if the code is taken."""
        row: Mapping[str, Any] = {
            "id": f"C{secrets.token_urlsafe(12)}",
            "instructor_id": instructor_id,
            "title": title,
            "join_code": join_code,
            "joining_open": True,
            "made_at": at,
        }
        with self.database.writing() as connection:
            made = insert_new(connection, class_room, row)
        return ClassRoom(**row, learners=0) if made else None

    def classes(self, instructor_id: str) -> tuple[ClassRoom, ...]:
        """Return an instructor's classes, newest first."""
        return self._rooms(class_room.c.instructor_id == instructor_id)

    def class_room(self, class_id: str) -> ClassRoom | None:
        """Return a class."""
        if not is_word(class_id):  # it may come from an address line
            return None
        return next(iter(self._rooms(class_room.c.id == class_id)), None)

    def class_of_code(self, join_code: str) -> ClassRoom | None:
        """Return the class of a code."""
        return next(iter(self._rooms(class_room.c.join_code == join_code)), None)

    def _rooms(self, which: ColumnElement[bool]) -> tuple[ClassRoom, ...]:
        counted = select(func.count()).where(learner.c.class_id == class_room.c.id)
        names = ("id", "instructor_id", "title", "join_code", "joining_open", "made_at")
        wanted = (
            select(*(class_room.c[name] for name in names), counted.scalar_subquery())
            .where(which)
            .order_by(class_room.c.made_at.desc(), class_room.c.id)
        )
        with self.database.reading() as connection:
            rows = connection.execute(wanted).all()
        return tuple(ClassRoom(**dict(zip((*names, "learners"), row, strict=True))) for row in rows)

    def set_joining(self, class_id: str, *, is_open: bool) -> None:
        """Let new learners join a class, or no more."""
        with self.database.writing() as connection:
            connection.execute(
                update(class_room).where(class_room.c.id == class_id).values(joining_open=is_open)
            )

    def erase_class(self, class_id: str) -> None:
        """Erase a class with its learners, assignments, attempts, events and marks."""
        with self.database.writing() as connection:
            connection.execute(delete(class_room).where(class_room.c.id == class_id))

    def add_learner(
        self, class_id: str, nickname: str, nickname_key: str, pin_hash: str, *, at: int
    ) -> Learner | None:
        """Add a learner to a class; None if the nickname is taken there."""
        row: Mapping[str, Any] = {
            "id": f"L{secrets.token_urlsafe(12)}",
            "class_id": class_id,
            "nickname": nickname,
            "nickname_key": nickname_key,
            "pin_hash": pin_hash,
            "made_at": at,
        }
        with self.database.writing() as connection:
            if not insert_new(connection, learner, row):
                return None
            return _one(connection, learner.c.id == row["id"])

    def learners(self, class_id: str) -> tuple[Learner, ...]:
        """Return a class's learners by nickname."""
        wanted = _learners(learner.c.class_id == class_id).order_by(learner.c.nickname_key)
        with self.database.reading() as connection:
            return tuple(Learner(*row) for row in connection.execute(wanted))

    def learner(self, learner_id: str) -> Learner | None:
        """Return a learner."""
        if not is_word(learner_id):
            return None
        with self.database.reading() as connection:
            return _one(connection, learner.c.id == learner_id)

    def learner_named(self, class_id: str, nickname_key: str) -> Learner | None:
        """Return the learner of a nickname in a class."""
        named = (learner.c.class_id == class_id) & (learner.c.nickname_key == nickname_key)
        with self.database.reading() as connection:
            return _one(connection, named)

    def set_pin(self, learner_id: str, pin_hash: str) -> None:
        """Change a learner's PIN, and sign them out everywhere."""
        with self.database.writing() as connection:
            connection.execute(
                update(learner).where(learner.c.id == learner_id).values(pin_hash=pin_hash)
            )
            connection.execute(delete(sign_in).where(sign_in.c.learner_id == learner_id))

    def set_group(self, learner_id: str, group_name: str | None) -> None:
        """Put a learner into a group of the class, or into none."""
        with self.database.writing() as connection:
            connection.execute(
                update(learner).where(learner.c.id == learner_id).values(group_name=group_name)
            )

    def erase_learner(self, learner_id: str) -> bool:
        """Erase a learner with attempts, events and marks; say whether there was one."""
        with self.database.writing() as connection:
            gone = connection.execute(delete(learner).where(learner.c.id == learner_id))
            return gone.rowcount > 0


def _learners(which: ColumnElement[bool]) -> Select[*tuple[Any, ...]]:
    names = ("id", "class_id", "nickname", "pin_hash", "group_name", "made_at")
    return select(*(learner.c[name] for name in names)).where(which)


def _one(connection: Connection, which: ColumnElement[bool]) -> Learner | None:
    found = connection.execute(_learners(which)).first()
    return Learner(*found) if found else None

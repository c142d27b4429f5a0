"""Instructors, sign-ins and counted tries in the database."""

import secrets
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, delete, func, insert, select, text, update

from exercises.database import Database
from exercises.identity.people import Instructor, Person
from exercises.identity.waits import wait_ms
from exercises.tables import instructor, learner, sign_in, throttle
from exercises.versions import insert_new, locked_row

_DAY_MS = 86_400_000


class Accounts:
    """Instructors, sign-ins and tries."""

    database: Database

    def has_instructor(self) -> bool:
        """Whether there is an account yet."""
        with self.database.reading() as connection:
            return connection.execute(select(instructor.c.id).limit(1)).first() is not None

    def add_instructor(
        self, login: str, secret_hash: str, *, at: int, only_first: bool
    ) -> Instructor | None:
        """Add an account; None if the login is taken, or it would not be the first."""
        row: Mapping[str, Any] = {
            "id": f"I{secrets.token_urlsafe(12)}",
            "login": login,
            "secret_hash": secret_hash,
            "made_at": at,
        }
        with self.database.writing() as connection:
            if connection.dialect.name == "postgresql":  # of several first ones, one wins
                connection.execute(text("LOCK TABLE instructor IN SHARE ROW EXCLUSIVE MODE"))
            there = connection.execute(select(func.count()).select_from(instructor)).scalar_one()
            if (only_first and there) or not insert_new(connection, instructor, row):
                return None
        return Instructor(row["id"], login, secret_hash)

    def is_first_instructor(self, instructor_id: str) -> bool:
        """Whether an account is the one that the set-up code made."""
        wanted = select(instructor.c.id).order_by(instructor.c.made_at, instructor.c.id).limit(1)
        with self.database.reading() as connection:
            return connection.execute(wanted).scalar() == instructor_id

    def instructor(self, login: str) -> Instructor | None:
        """Return the account of a login."""
        wanted = select(instructor.c.id, instructor.c.login, instructor.c.secret_hash)
        with self.database.reading() as connection:
            found = connection.execute(wanted.where(instructor.c.login == login)).first()
        return Instructor(*found) if found else None

    def set_instructor_secret(self, instructor_id: str, secret_hash: str) -> None:
        """Change an account's password, and sign it out everywhere."""
        with self.database.writing() as connection:
            connection.execute(
                update(instructor)
                .where(instructor.c.id == instructor_id)
                .values(secret_hash=secret_hash)
            )
            connection.execute(delete(sign_in).where(sign_in.c.instructor_id == instructor_id))

    def keep_sign_in(self, token_hash: str, person: Person, *, at: int, expires: int) -> None:
        """Keep a sign-in, and forget those that have expired."""
        with self.database.writing() as connection:
            _delete_idle(connection, sign_in.c.token_hash, sign_in.c.expires <= at)
            connection.execute(
                insert(sign_in).values(
                    token_hash=token_hash, expires=expires, **{f"{person.role}_id": person.id}
                )
            )

    def person(self, token_hash: str, *, at: int) -> Person | None:
        """Return whose sign-in it is, if it holds still."""
        wanted = (
            select(
                sign_in.c.learner_id,
                learner.c.nickname,
                learner.c.class_id,
                sign_in.c.instructor_id,
                instructor.c.login,
            )
            .select_from(sign_in.outerjoin(learner).outerjoin(instructor))
            .where(sign_in.c.token_hash == token_hash, sign_in.c.expires > at)
        )
        with self.database.reading() as connection:
            found = connection.execute(wanted).first()
        if found is None:
            return None
        if found.instructor_id is not None:
            return Person("instructor", found.instructor_id, found.login)
        return Person("learner", found.learner_id, found.nickname, found.class_id)

    def end_sign_in(self, token_hash: str) -> None:
        """Forget a sign-in."""
        with self.database.writing() as connection:
            connection.execute(delete(sign_in).where(sign_in.c.token_hash == token_hash))

    def count_try(self, subject: str, *, at: int) -> int:
        """Count a try, and return 0; or only return the milliseconds until the next is let in."""
        with self.database.writing() as connection:
            # in one statement: between two, a right PIN elsewhere may have cleared the row
            row = locked_row(
                connection, throttle, {"subject": subject, "fails": 0, "until": 0}, keep="fails"
            )
            if row.until > at:
                return int(row.until - at)
            # made-up names must not fill the table: a day without a try clears it
            this = throttle.c.subject == subject
            _delete_idle(connection, throttle.c.subject, (throttle.c.until < at - _DAY_MS) & ~this)
            tries = row.fails + 1
            connection.execute(
                update(throttle).where(this).values(fails=tries, until=at + wait_ms(tries))
            )
        return 0

    def clear_tries(self, subject: str) -> None:
        """Forget the tries counted."""
        with self.database.writing() as connection:
            connection.execute(delete(throttle).where(throttle.c.subject == subject))


def _delete_idle(connection: Connection, key: Column[Any], which: ColumnElement[bool]) -> None:
    """Delete rows by their key, but those that another transaction holds: it may hold ours."""
    idle = select(key).where(which).with_for_update(skip_locked=True)
    connection.execute(delete(key.table).where(key.in_(idle)))

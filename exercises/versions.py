"""Versions of circuits and exercises, each kept once by its content."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, Table
from sqlalchemy.dialects import postgresql, sqlite

from exercises.events import NotJson, canonical, digest_of
from exercises.queries import is_word
from exercises.records import NotKept
from exercises.tables import circuit_version, exercise_version

_LARGEST = 2**63 - 1


@dataclass(frozen=True, slots=True)
class Version:
    """An exercise and its circuit as rows; ``digest`` is the exercise's."""

    circuit: Mapping[str, Any]
    exercise: Mapping[str, Any]

    @property
    def digest(self) -> str:
        """The digest that the exercise is kept by."""
        return str(self.exercise["digest"])


def version_of(
    exercise_name: str, exercise_body: object, circuit_name: str, circuit_body: object
) -> Version:
    """Return the rows of an exercise and its circuit.

    Raises
    ------
    NotKept
        If no database could keep them.
    """
    check_words(exercise_name=exercise_name, circuit_name=circuit_name)
    with sayable():
        circuit = {"name": circuit_name, "body": canonical(circuit_body)}
        exercise = {"name": exercise_name, "body": canonical(exercise_body)}
    circuit["digest"] = digest_of([circuit["name"], circuit["body"]])
    # one exercise on two states of its circuit is two versions
    exercise["digest"] = digest_of([exercise["name"], circuit["digest"], exercise["body"]])
    exercise["circuit_digest"] = circuit["digest"]
    return Version(circuit, exercise)


def keep_version(connection: Connection, version: Version, at: int) -> None:
    """Keep a circuit and an exercise unless they are kept already."""
    for table, row in (
        (circuit_version, version.circuit),
        (exercise_version, version.exercise),
    ):
        insert_new(connection, table, {**row, "kept_at": at})


def insert_new(connection: Connection, table: Table, row: Mapping[str, Any]) -> bool:
    """Insert a row unless one of its key is there; say whether it was inserted."""
    insert = sqlite.insert if connection.dialect.name == "sqlite" else postgresql.insert
    return bool(connection.execute(insert(table).values(**row).on_conflict_do_nothing()).rowcount)


def locked_row(
    connection: Connection, table: Table, row: Mapping[str, Any], *, keep: str
) -> Row[Any]:
    """Return the row of this key, inserted if it was not there, and held until the end.

    Parameters
    ----------
    keep : a column that is set to what it is, which is what holds the row.
    """
    insert = sqlite.insert if connection.dialect.name == "sqlite" else postgresql.insert
    held = insert(table).values(**row)
    held = held.on_conflict_do_update(
        index_elements=list(table.primary_key), set_={keep: table.c[keep]}
    )
    return connection.execute(held.returning(*table.c)).one()


@contextmanager
def sayable() -> Iterator[None]:
    """Turn what JSON cannot hold into a refusal."""
    try:
        yield
    except NotJson as error:
        raise NotKept(f"Nothing was written: {error}") from error


def check_words(**words: str) -> None:
    """Raise NotKept unless each is a short printable text."""
    for name, text in words.items():
        if not is_word(text):
            raise NotKept(f"{name} is {text!r:.60}; accepted: 1 to 200 printable characters.")


def check_numbers(**numbers: int) -> None:
    """Raise NotKept unless each is a whole number that every database takes."""
    for name, number in numbers.items():
        if type(number) is not int or not 0 <= number <= _LARGEST:
            raise NotKept(f"{name} is {number!r:.60}; accepted: a whole number from 0 to 2⁶³ - 1.")

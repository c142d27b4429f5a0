"""What one server has of each: the database, the store on it, the people, the door."""

import os
import threading
import time
from dataclasses import dataclass

from exercises.database import open_database
from exercises.identity.door import Door
from exercises.identity.people import People
from exercises.identity.seals import Seals, lab_secret
from exercises.register.people import people_in
from exercises.store import SqlStore

CLASS_VARIABLE = "LAB_CLASS"


def class_use() -> bool:
    """Whether this server is for classes, so that everybody signs in."""
    return os.environ.get(CLASS_VARIABLE, "") == "1"


def now_ms() -> int:
    """Return the time: UTC, milliseconds since 1970."""
    return time.time_ns() // 1_000_000


@dataclass(frozen=True, slots=True)
class House:
    """The parts that all visitors share. ``door`` is there in class use alone."""

    store: SqlStore
    people: People
    seals: Seals | None
    door: Door | None


_lock = threading.Lock()
_open: list[House] = []


def house() -> House:
    """Return the house of this server, opened by whoever comes first.

    Raises
    ------
    NotOpened
        If the database cannot be used.
    IdentityError
        If classes are to use it and the laboratory has no secret.
    """
    with _lock:
        if not _open:
            database = open_database()
            people = people_in(database)
            seals = Seals(lab_secret()) if class_use() else None
            door = Door(people, seals) if seals else None
            _open.append(House(SqlStore(database), people, seals, door))
        return _open[0]


def shut() -> None:
    """Close the house; the next visitor opens it again."""
    with _lock:
        for each in _open:
            each.store.close()
        _open.clear()

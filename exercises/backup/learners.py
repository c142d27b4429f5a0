"""One learner's data: found by id or nickname, out as a file, or gone."""

import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

from sqlalchemy import Connection, Table, delete, func, select

from exercises.backup.archive import BackupError, new_file
from exercises.database import Database
from exercises.events import canonical, events_to_jsonl
from exercises.identity.names import nickname_key
from exercises.queries import events_after, is_word, marks_of, of_learner
from exercises.tables import attempt, class_room, learner, metadata, sign_in

LOCAL = "local"
"""Names the learner of local use, who has no name."""

_ALSO_OWNED = tuple(
    table
    for table in metadata.sorted_tables
    if "learner_id" in table.c and table not in {attempt, sign_in}
)

_ABOUT = (
    "One learner's data from Millrace Lab. learner.json: who they are here. attempts/: one file "
    "of events each, which `python -m exercises mark FILE` reads. marks.jsonl: the marks "
    "kept. Other files: what else is theirs, a row a line.\n"
)


@dataclass(frozen=True, slots=True)
class Owner:
    """Whose data: ``id`` None for that of local use."""

    id: str | None
    words: str


def find(connection: Connection, told: str) -> Owner:
    """Return the learner of an id, or of a nickname that one class alone has.

    Raises
    ------
    BackupError
        If there is none, or there are several.
    """
    if told == LOCAL:
        return Owner(None, "local use")
    if not is_word(told):
        raise BackupError(f"learner {told!r:.60}: accepted: an id or a nickname.")
    wanted = (
        select(learner.c.id, learner.c.nickname, class_room.c.title)
        .select_from(learner.outerjoin(class_room))
        .where((learner.c.id == told) | (learner.c.nickname_key == nickname_key(told)))
        .order_by(learner.c.made_at, learner.c.id)
    )
    rows = connection.execute(wanted).all()
    exact = [row for row in rows if row.id == told] or rows
    if len(exact) > 1:
        several = "; ".join(f"{row.id} in {row.title}" for row in exact[:8])
        raise BackupError(f"learner {told!r}: there are {len(exact)}: {several}; accepted: an id.")
    if not exact:
        raise BackupError(f"learner {told!r:.60}: there is none; accepted: an id or a nickname.")
    (row,) = exact
    return Owner(row.id, f"{row.nickname} of {row.title}")


def erase(database: Database, told: str) -> dict[str, Any]:
    """Erase a learner with attempts, events and marks, and return what is gone.

    Raises
    ------
    BackupError
        If there is no such learner.
    NotKept
        If nothing could be erased.
    """
    with database.writing() as connection:
        owner = find(connection, told)
        which = of_learner(owner.id)
        count = select(func.count()).select_from(attempt).where(which)
        attempts = connection.execute(count).scalar_one()
        if owner.id is None:
            for table in (attempt, *_ALSO_OWNED):
                connection.execute(delete(table).where(table.c.learner_id.is_(None)))
        else:
            connection.execute(delete(learner).where(learner.c.id == owner.id))
    database.tidy()
    return {"learner": owner.words, "attempts": attempts}


def export(database: Database, told: str, path: Path, *, at: int) -> dict[str, Any]:
    """Write all that is kept of a learner to a new zip, and return what is in it.

    Raises
    ------
    BackupError
        If there is no such learner, or the file cannot be written.
    NotRead
        If the database cannot be read.
    """
    with (
        new_file(path) as file,
        ZipFile(file, "w", ZIP_DEFLATED) as archive,
        database.reading() as connection,
    ):
        owner = find(connection, told)
        archive.writestr("README.txt", _ABOUT)
        archive.writestr("learner.json", _told_of(connection, owner, at))
        wanted = select(attempt.c.id).where(of_learner(owner.id)).order_by(attempt.c.started_at)
        ids = connection.execute(wanted).scalars().all()
        for attempt_id in ids:
            events = events_after(connection, attempt_id, 0)
            archive.writestr(f"attempts/{attempt_id}.jsonl", events_to_jsonl(attempt_id, events))
        marks = [asdict(row) for attempt_id in ids for row in marks_of(connection, attempt_id)]
        archive.writestr("marks.jsonl", "".join(canonical(row) + "\n" for row in marks))
        for table in _ALSO_OWNED:
            rows = _rows_of(connection, table, owner)
            archive.writestr(f"{table.name}.jsonl", "".join(canonical(r) + "\n" for r in rows))
    return {"learner": owner.words, "attempts": len(ids), "marks": len(marks)}


def _rows_of(connection: Connection, table: Table, owner: Owner) -> list[dict[str, Any]]:
    of_owner = table.c.learner_id.is_not_distinct_from(owner.id)
    wanted = select(table).where(of_owner).order_by(*table.primary_key)
    return [
        {str(name): value for name, value in row.items()}
        for row in connection.execute(wanted).mappings()
    ]


def _told_of(connection: Connection, owner: Owner, at: int) -> str:
    names = ("id", "class_id", "nickname", "group_name", "made_at")
    row = (
        connection.execute(
            select(*(learner.c[name] for name in names)).where(learner.c.id == owner.id)
        )
        .mappings()
        .first()
    )
    return json.dumps({"exported_at": at, "learner": dict(row) if row else LOCAL}, indent=1) + "\n"

"""Papers: what somebody is still working on, kept whole at every press, the newest only.

A circuit of one's own, a case from one's own vehicle. Unlike an attempt nothing is marked on
it, so what it was before does not matter. Who writes says which version they have seen.
"""

import json
import secrets
from dataclasses import dataclass
from typing import Any

from sqlalchemy import RowMapping, insert, select, update

from exercises.database import Database
from exercises.events import canonical
from exercises.queries import is_word
from exercises.records import NotKept, UnknownPaper
from exercises.tables import paper
from exercises.versions import check_numbers, check_words, sayable

MOST_BYTES = 512_000


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper as it is now: ``version`` counts its changes from 1."""

    id: str
    kind: str
    title: str
    body: Any
    version: int
    changed_at: int


@dataclass(frozen=True, slots=True)
class Changed:
    """Nothing was written: another window had gone on, and this is the paper now."""

    paper: Paper


class Papers:
    """The papers of a learner in a database; those of no learner for None.

    Of anybody else's it answers as if there were none.
    """

    def __init__(self, database: Database, learner_id: str | None = None) -> None:
        self._database = database
        self._learner_id = learner_id
        self._own = paper.c.learner_id.is_not_distinct_from(learner_id)

    def begin(self, kind: str, title: str, body: object, *, at: int) -> Paper:
        """Keep a new paper, under an id that nobody can guess.

        Raises
        ------
        NotKept
            With nothing written.
        """
        row = _row(kind, title, body, at) | {"id": f"P{secrets.token_urlsafe(16)}"}
        row |= {"version": 1, "learner_id": self._learner_id}
        with self._database.writing() as connection:
            kept = connection.execute(insert(paper).values(row).returning(paper)).mappings().one()
        return _paper(kept)

    def paper(self, paper_id: str, kind: str) -> Paper:
        """Return a paper of a kind by its id.

        Raises
        ------
        UnknownPaper, NotRead
        """
        wanted = select(paper).where(paper.c.id == paper_id, paper.c.kind == kind, self._own)
        with self._database.reading() as connection:
            # the id may come from an address line
            found = connection.execute(wanted).mappings().first() if is_word(paper_id) else None
        if found is None:
            raise UnknownPaper(f"paper {paper_id!r:.60}: there is none of that id here.")
        return _paper(found)

    def change(self, seen: Paper, title: str, body: object, *, at: int) -> Paper | Changed:
        """Keep a paper as it is now, unless it is not as the writer has seen it.

        Raises
        ------
        NotKept, UnknownPaper
            With nothing written.
        """
        row = _row(seen.kind, title, body, at)
        as_seen = (paper.c.id == seen.id) & (paper.c.version == seen.version) & self._own
        changed = update(paper).where(as_seen).values(row | {"version": seen.version + 1})
        with self._database.writing() as connection:
            kept = connection.execute(changed.returning(paper)).mappings().first()
        return _paper(kept) if kept else Changed(self.paper(seen.id, seen.kind))

    def latest(self, kind: str, limit: int = 20) -> tuple[Paper, ...]:
        """Return the papers of a kind, the one last changed first.

        Raises
        ------
        NotRead
        """
        wanted = (
            select(paper)
            .where(paper.c.kind == kind, self._own)
            .order_by(paper.c.changed_at.desc(), paper.c.id)
            .limit(limit)
        )
        with self._database.reading() as connection:
            return tuple(_paper(row) for row in connection.execute(wanted).mappings())


def _row(kind: str, title: str, body: object, at: int) -> dict[str, Any]:
    check_words(kind=kind, title=title)
    check_numbers(at=at)
    with sayable():
        written = canonical(body)
    if len(written.encode()) > MOST_BYTES:
        raise NotKept(
            f"Nothing was written: found {len(written) // 1000} kB; "
            f"accepted: up to {MOST_BYTES // 1000} kB."
        )
    return {"kind": kind, "title": title, "body": written, "changed_at": at}


def _paper(row: RowMapping) -> Paper:
    names = ("id", "kind", "title", "version", "changed_at")
    return Paper(body=json.loads(row["body"]), **{name: row[name] for name in names})

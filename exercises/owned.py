"""A store that shows everybody their own attempts, and answers for others as if there were none."""

from collections.abc import Callable
from dataclasses import dataclass

from exercises.events import Draft, Event
from exercises.records import (
    AttemptRow,
    Behind,
    Kept,
    MarkRow,
    Recent,
    Store,
    UnknownAttempt,
)


def _nobodys(_learner_id: str) -> bool:
    return False


@dataclass(frozen=True, slots=True)
class Reach:
    """Which attempts somebody reaches.

    Attributes
    ----------
    learner_id : whose attempts they begin and add to; None for those of no learner.
    reads : whether they also read and mark a learner's attempts, as an instructor does.
    """

    learner_id: str | None
    reads: Callable[[str], bool] = _nobodys


class OwnStore(Store):
    """The attempts in somebody's reach.

    ``reach`` is asked before every answer, so it can refuse whoever has signed out meanwhile.
    """

    def __init__(self, store: Store, reach: Callable[[], Reach]) -> None:
        self._store, self._reach = store, reach
        self._owner: dict[str, str | None] = {}

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
        """Begin an attempt of one's own, whoever ``learner_id`` says; see ``Store``."""
        return self._store.begin(
            exercise_name,
            exercise_body,
            circuit_name,
            circuit_body,
            seed=seed,
            engine=engine,
            at=at,
            learner_id=self._reach().learner_id,
            assignment_id=assignment_id,
        )

    def attempt(self, attempt_id: str) -> AttemptRow:
        """Return what an attempt was begun with; see ``Store``."""
        self._check(attempt_id)
        return self._store.attempt(attempt_id)

    def events(self, attempt_id: str, after: int = 0) -> tuple[Event, ...]:
        """Return an attempt's events; see ``Store``."""
        self._check(attempt_id)
        return self._store.events(attempt_id, after)

    def append(
        self, attempt_id: str, *, seen: int, draft: Draft, key: str, at: int
    ) -> Kept | Behind:
        """Keep an event of one's own attempt; see ``Store``."""
        self._check(attempt_id, to_write=True)
        return self._store.append(attempt_id, seen=seen, draft=draft, key=key, at=at)

    def attempts(self, limit: int = 50, *, learner_id: str | None = None) -> tuple[Recent, ...]:
        """Return one's own attempts, whoever ``learner_id`` says; see ``Store``."""
        return self._store.attempts(limit, learner_id=self._reach().learner_id)

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
        self._check(attempt_id)
        return self._store.keep_mark(
            attempt_id,
            up_to_seq,
            events_digest,
            marker=marker,
            weights=weights,
            columns=columns,
            at=at,
            made_by=made_by,
            reason=reason,
        )

    def marks(self, attempt_id: str) -> tuple[MarkRow, ...]:
        """Return an attempt's marks; see ``Store``."""
        self._check(attempt_id)
        return self._store.marks(attempt_id)

    def close(self) -> None:
        """Leave the connections to the store behind, which others use too."""

    def _check(self, attempt_id: str, *, to_write: bool = False) -> None:
        reach = self._reach()
        if attempt_id not in self._owner:
            self._owner[attempt_id] = self._store.attempt(attempt_id).learner_id
        owner = self._owner[attempt_id]
        if owner == reach.learner_id:
            return
        if to_write or owner is None or not reach.reads(owner):
            raise UnknownAttempt.of(attempt_id)

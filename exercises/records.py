"""What a store of attempts takes and gives, whatever database is behind it.

::

    StoreError
    ├── NotOpened           the database cannot be used at all
    ├── NotRead             it cannot be read just now
    └── NotKept             nothing was written; the same press may work later
        ├── UnknownAttempt  there is no such attempt
        └── UnknownPaper    there is no such paper
"""

from dataclasses import dataclass
from typing import Any, Protocol

from exercises.events import Draft, Event


class StoreError(Exception):
    """The store cannot do what was asked; the message is a sentence for a person."""


class NotOpened(StoreError):  # noqa: N818 - reads as a sentence where it is caught
    """The database cannot be used at all."""


class NotRead(StoreError):  # noqa: N818 - reads as a sentence where it is caught
    """The database cannot be read just now."""


class NotKept(StoreError):  # noqa: N818 - reads as a sentence where it is caught
    """Nothing was written; the same press may work later."""


class UnknownAttempt(NotKept):
    """There is no such attempt."""

    @classmethod
    def of(cls, attempt_id: str) -> "UnknownAttempt":
        """Return what is said of an id: the same, whether it is forged or another's."""
        return cls(f"attempt {attempt_id!r:.60}: there is none of that id here.")


class UnknownPaper(NotKept):
    """There is no such paper."""


@dataclass(frozen=True, slots=True)
class AttemptRow:
    """What an attempt was begun with: the versions of that moment, whatever came later.

    Without a learner it is of local use, where nobody signs in.
    """

    id: str
    exercise_name: str
    exercise_body: Any
    circuit_name: str
    circuit_body: Any
    seed: int
    engine: str
    started_at: int
    learner_id: str | None
    assignment_id: str | None


@dataclass(frozen=True, slots=True)
class Recent:
    """An attempt in a list: ``last_seq`` 0 and ``last_at`` its start while it has no event."""

    id: str
    exercise_name: str
    circuit_name: str
    seed: int
    started_at: int
    last_seq: int
    last_at: int
    assignment_id: str | None


@dataclass(frozen=True, slots=True)
class MarkRow:
    """A mark as kept: of which events, by which version of the marking.

    ``made_by`` is the instructor who corrected it, and ``reason`` why.
    """

    id: int
    attempt_id: str
    up_to_seq: int
    events_digest: str
    marker: str
    weights: Any
    columns: Any
    made_at: int
    made_by: str | None
    reason: str | None


@dataclass(frozen=True, slots=True)
class Kept:
    """The event is kept. ``again``: this press was kept before, and this is that event."""

    event: Event
    again: bool


@dataclass(frozen=True, slots=True)
class Behind:
    """Nothing was written: these events came since the writer last looked."""

    newer: tuple[Event, ...]


class Store(Protocol):
    """Where attempts are kept. Times are UTC milliseconds."""

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
        """Begin an attempt and return its id, which nobody can guess.

        Parameters
        ----------
        learner_id : whose it is; None for local use.
        assignment_id : the assignment that it answers, of the learner's class and this exercise.

        Raises
        ------
        NotKept
            With nothing written.
        """
        ...

    def attempt(self, attempt_id: str) -> AttemptRow:
        """Return what an attempt was begun with.

        Raises
        ------
        UnknownAttempt, NotRead
        """
        ...

    def events(self, attempt_id: str, after: int = 0) -> tuple[Event, ...]:
        """Return an attempt's events whose seq is above ``after``, in order.

        Raises
        ------
        UnknownAttempt, NotRead
        """
        ...

    def append(
        self, attempt_id: str, *, seen: int, draft: Draft, key: str, at: int
    ) -> Kept | Behind:
        """Keep an event after the last one that the writer has seen.

        A key that is kept already gives that event again, so a press may be sent twice; its
        seq may then be one that the writer has folded.

        Parameters
        ----------
        seen : seq of the last event that the writer knows, 0 for none.
        key : UUID of this press.

        Raises
        ------
        NotKept
            With nothing written.
        """
        ...

    def attempts(self, limit: int = 50, *, learner_id: str | None = None) -> tuple[Recent, ...]:
        """Return a learner's attempts, or those of local use, the one last added to first.

        Raises
        ------
        NotRead
        """
        ...

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
        """Keep a mark of an attempt's first ``up_to_seq`` events; a correction is a new mark.

        Parameters
        ----------
        events_digest : digest of the event ``up_to_seq``, empty for 0.
        made_by, reason : the instructor who corrects a mark, and why.

        Raises
        ------
        NotKept
            With nothing written, also when the digest is another one.
        """
        ...

    def marks(self, attempt_id: str) -> tuple[MarkRow, ...]:
        """Return an attempt's marks, oldest first; the last one counts.

        Raises
        ------
        UnknownAttempt, NotRead
        """
        ...

    def close(self) -> None:
        """Give up the connections."""
        ...

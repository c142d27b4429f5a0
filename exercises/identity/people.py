"""Instructors, classes, learners and their sign-ins as values, and what keeps them.

::

    IdentityError
    ├── NotAccepted     what was typed cannot be; the sentence says what can
    ├── NotLetIn        code, name and PIN or password do not go together, or too many tries
    └── SignedOut       nobody is signed in, or not as one who may do this
"""

from dataclasses import dataclass
from typing import Any, Literal, Protocol

SIGN_IN_MS = 12 * 3_600_000
"""How long a sign-in holds."""

MOST_LEARNERS = 500
"""Most learners of a class: whoever has its code could fill the disk."""


class IdentityError(Exception):
    """Somebody cannot be let in, or cannot do this; the message is a sentence for them."""


class NotAccepted(IdentityError):  # noqa: N818 - reads as a sentence where it is caught
    """What was typed cannot be."""


class NotLetIn(IdentityError):  # noqa: N818 - reads as a sentence where it is caught
    """Code, name and PIN or password do not go together, or there were too many tries."""


class SignedOut(IdentityError):  # noqa: N818 - reads as a sentence where it is caught
    """Nobody is signed in, or not as one who may do this."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who is signed in. ``class_id`` is None for an instructor."""

    role: Literal["learner", "instructor"]
    id: str
    name: str
    class_id: str | None = None


@dataclass(frozen=True, slots=True)
class Instructor:
    """An account; ``secret_hash`` is None for one that signs in elsewhere."""

    id: str
    login: str
    secret_hash: str | None


@dataclass(frozen=True, slots=True)
class ClassRoom:
    """A class of one instructor. ``learners`` counts those who have joined."""

    id: str
    instructor_id: str
    title: str
    join_code: str
    joining_open: bool
    learners: int
    made_at: int


@dataclass(frozen=True, slots=True)
class Learner:
    """A learner in a class."""

    id: str
    class_id: str
    nickname: str
    pin_hash: str | None
    group_name: str | None
    made_at: int


@dataclass(frozen=True, slots=True)
class Assignment:
    """An exercise that is set for a class, in the version of that moment.

    Attributes
    ----------
    opens, due : UTC milliseconds, None for at once and for no end.
    rules : as ``rules.Rules`` reads them.
    released_at : since when learners may see the debriefs of an examination.
    """

    id: str
    class_id: str
    exercise_name: str
    exercise_body: Any
    circuit_name: str
    circuit_body: Any
    opens: int | None
    due: int | None
    rules: Any
    released_at: int | None
    made_at: int


@dataclass(frozen=True, slots=True)
class Progress:
    """Where an attempt stands, told without folding it: its last event, and how far it came.

    ``last_seq`` is 0 and ``last_kind`` empty while there is no event.
    """

    attempt_id: str
    learner_id: str
    nickname: str
    group_name: str | None
    assignment_id: str | None
    started_at: int
    last_seq: int
    last_kind: str
    last_at: int
    minutes: float
    stage: Literal["probing", "repaired", "closed"]


class People(Protocol):
    """Where people, classes and assignments are kept. Times are UTC milliseconds.

    Every method raises ``NotRead`` or ``NotKept`` (``exercises.records``) when the database
    cannot answer or keep. None is returned for what is not there.
    """

    def has_instructor(self) -> bool:
        """Whether there is an account yet."""
        ...

    def add_instructor(
        self, login: str, secret_hash: str, *, at: int, only_first: bool
    ) -> Instructor | None:
        """Add an account; None if the login is taken, or it would not be the first."""
        ...

    def is_first_instructor(self, instructor_id: str) -> bool:
        """Whether an account is the one that the set-up code made."""
        ...

    def instructor(self, login: str) -> Instructor | None:
        """Return the account of a login."""
        ...

    def set_instructor_secret(self, instructor_id: str, secret_hash: str) -> None:
        """Change an account's password."""
        ...

    def make_class(
        self, instructor_id: str, title: str, join_code: str, *, at: int
    ) -> ClassRoom | None:
        """Make a class; None if the code is taken."""
        ...

    def classes(self, instructor_id: str) -> tuple[ClassRoom, ...]:
        """Return an instructor's classes, newest first."""
        ...

    def class_room(self, class_id: str) -> ClassRoom | None:
        """Return a class."""
        ...

    def class_of_code(self, join_code: str) -> ClassRoom | None:
        """Return the class of a code."""
        ...

    def set_joining(self, class_id: str, *, is_open: bool) -> None:
        """Let new learners join a class, or no more."""
        ...

    def erase_class(self, class_id: str) -> None:
        """Erase a class with its learners, assignments, attempts, events and marks."""
        ...

    def add_learner(
        self, class_id: str, nickname: str, nickname_key: str, pin_hash: str, *, at: int
    ) -> Learner | None:
        """Add a learner to a class; None if the nickname is taken there."""
        ...

    def learners(self, class_id: str) -> tuple[Learner, ...]:
        """Return a class's learners by nickname."""
        ...

    def learner(self, learner_id: str) -> Learner | None:
        """Return a learner."""
        ...

    def learner_named(self, class_id: str, nickname_key: str) -> Learner | None:
        """Return the learner of a nickname in a class."""
        ...

    def set_pin(self, learner_id: str, pin_hash: str) -> None:
        """Change a learner's PIN, and sign them out everywhere."""
        ...

    def set_group(self, learner_id: str, group_name: str | None) -> None:
        """Put a learner into a group of the class, or into none."""
        ...

    def erase_learner(self, learner_id: str) -> bool:
        """Erase a learner with attempts, events and marks; say whether there was one."""
        ...

    def keep_sign_in(self, token_hash: str, person: Person, *, at: int, expires: int) -> None:
        """Keep a sign-in, and forget those that have expired."""
        ...

    def person(self, token_hash: str, *, at: int) -> Person | None:
        """Return whose sign-in it is, if it holds still."""
        ...

    def end_sign_in(self, token_hash: str) -> None:
        """Forget a sign-in."""
        ...

    def count_try(self, subject: str, *, at: int) -> int:
        """Count a try, and return 0; or only return the milliseconds until the next is let in."""
        ...

    def clear_tries(self, subject: str) -> None:
        """Forget the tries counted."""
        ...

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
        ...

    def assignment(self, assignment_id: str) -> Assignment | None:
        """Return an assignment."""
        ...

    def assignments(self, class_id: str) -> tuple[Assignment, ...]:
        """Return a class's assignments, newest first."""
        ...

    def set_due(self, assignment_id: str, due: int | None) -> None:
        """Change when an assignment ends."""
        ...

    def release(self, assignment_id: str, *, at: int | None) -> None:
        """Let learners see the debriefs of an examination, or (None) no more."""
        ...

    def progress(self, class_id: str, assignment_id: str | None = None) -> tuple[Progress, ...]:
        """Return a class's attempts, those of one assignment if named, last added to first."""
        ...

    def begun(self, learner_id: str) -> tuple[tuple[str, str | None], ...]:
        """Return a learner's attempts, each with its assignment, newest first."""
        ...

"""What an instructor does with their own classes. Those of others answer as if there were none."""

from dataclasses import replace

from exercises.files import LibraryExercise
from exercises.identity import names
from exercises.identity.door import subject_of
from exercises.identity.people import (
    Assignment,
    ClassRoom,
    Learner,
    NotAccepted,
    People,
    Person,
    Progress,
    SignedOut,
)
from exercises.identity.rules import Rules, rules_to_json
from exercises.identity.seals import Seals

_NO_CLASS = "There is no such class among yours."


class Office:
    """An instructor's classes, learners and assignments."""

    def __init__(self, people: People, seals: Seals, person: Person) -> None:
        if person.role != "instructor":
            raise SignedOut("This page is for instructors. Please sign in as one.")
        self._people, self._seals, self.person = people, seals, person

    def classes(self) -> tuple[ClassRoom, ...]:
        """Return the instructor's classes, newest first."""
        return self._people.classes(self.person.id)

    def make_class(self, title: str, *, at: int) -> ClassRoom:
        """Make a class, with a code to join it by.

        Raises
        ------
        NotAccepted
            If the title cannot be.
        """
        title = names.title(title)
        while True:  # one code in 31⁸ is taken by each class there is
            made = self._people.make_class(self.person.id, title, names.new_code(), at=at)
            if made is not None:
                return made

    def class_room(self, class_id: str) -> ClassRoom:
        """Return one of the instructor's classes.

        Raises
        ------
        NotAccepted
            If it is not theirs, or not there.
        """
        found = self._people.class_room(class_id)
        if found is None or found.instructor_id != self.person.id:
            raise NotAccepted(_NO_CLASS)
        return found

    def set_joining(self, class_id: str, *, is_open: bool) -> ClassRoom:
        """Let new learners join a class, or no more; those who have joined come in still."""
        room = self.class_room(class_id)
        self._people.set_joining(class_id, is_open=is_open)
        return replace(room, joining_open=is_open)

    def erase_class(self, class_id: str) -> None:
        """Erase a class with all that its learners did."""
        self.class_room(class_id)
        self._people.erase_class(class_id)

    def learners(self, class_id: str) -> tuple[Learner, ...]:
        """Return a class's learners by nickname."""
        self.class_room(class_id)
        return self._people.learners(class_id)

    def learner(self, learner_id: str) -> Learner:
        """Return a learner of one of the instructor's classes.

        Raises
        ------
        NotAccepted
            If they are in none of them.
        """
        found = self._people.learner(learner_id)
        if found is None:
            raise NotAccepted("There is no such learner in your classes.")
        self.class_room(found.class_id)
        return found

    def set_group(self, learner_id: str, group_name: str | None) -> None:
        """Put a learner into a group of the class, or into none."""
        self.learner(learner_id)
        self._people.set_group(learner_id, names.title(group_name) if group_name else None)

    def new_pin(self, learner_id: str, pin: str) -> None:
        """Give a learner a new PIN, let them try again at once, and sign them out everywhere."""
        learner = self.learner(learner_id)
        self._people.set_pin(learner_id, self._seals.sealed_pin(names.pin(pin)))
        self._people.clear_tries(subject_of(learner.class_id, learner.nickname))

    def clear_tries(self, learner_id: str) -> None:
        """Let a learner try again at once who has mistyped the PIN too often."""
        learner = self.learner(learner_id)
        self._people.clear_tries(subject_of(learner.class_id, learner.nickname))

    def erase_learner(self, learner_id: str) -> None:
        """Erase a learner with all that they did."""
        self.learner(learner_id)
        self._people.erase_learner(learner_id)

    def add_instructor(self, login: str, password: str, *, at: int) -> None:
        """Make an account for another instructor.

        Raises
        ------
        NotAccepted
            If login or password cannot be, or the login is taken.
        """
        login = names.login(login)
        sealed = self._seals.sealed_password(names.password(password))
        if self._people.add_instructor(login, sealed, at=at, only_first=False) is None:
            raise NotAccepted(f"Login: {login} is taken; accepted: another one.")

    def set_exercise(
        self,
        class_id: str,
        exercise: LibraryExercise,
        rules: Rules,
        *,
        opens: int | None = None,
        due: int | None = None,
        at: int,
    ) -> Assignment:
        """Set an exercise for a class, in the version that it is now.

        Where the rules allow no hints, the version that is set has none, so that every attempt
        at it says so itself.

        Raises
        ------
        NotAccepted
            If the class is not theirs, the rules cannot be, or it would end before it opens.
        """
        self.class_room(class_id)
        if due is not None and due <= max(at, opens or 0):
            raise NotAccepted("Due: that is over before anybody could begin; accepted: later.")
        body = exercise.body if rules.may_hint else {**exercise.body, "hints": 0}
        content = (
            exercise.name,
            body,
            exercise.circuit_name,
            exercise.circuit_body,
        )
        return self._people.set_exercise(
            class_id, content, rules=rules_to_json(rules), opens=opens, due=due, at=at
        )

    def assignments(self, class_id: str) -> tuple[Assignment, ...]:
        """Return what is set for a class, newest first."""
        self.class_room(class_id)
        return self._people.assignments(class_id)

    def assignment(self, assignment_id: str) -> Assignment:
        """Return an assignment of one of the instructor's classes."""
        found = self._people.assignment(assignment_id)
        if found is None:
            raise NotAccepted("There is no such exercise set in your classes.")
        self.class_room(found.class_id)
        return found

    def set_due(self, assignment_id: str, due: int | None) -> None:
        """Change when an assignment ends; None for never."""
        self.assignment(assignment_id)
        self._people.set_due(assignment_id, due)

    def release(self, assignment_id: str, *, at: int | None) -> None:
        """Let learners see the debriefs of an examination, or (None) no more."""
        self.assignment(assignment_id)
        self._people.release(assignment_id, at=at)

    def progress(self, class_id: str, assignment_id: str | None = None) -> tuple[Progress, ...]:
        """Return a class's attempts, those of one assignment if named, last added to first."""
        self.class_room(class_id)
        return self._people.progress(class_id, assignment_id)

    def teaches(self, learner_id: str) -> bool:
        """Whether a learner is in one of the instructor's classes."""
        found = self._people.learner(learner_id)
        room = self._people.class_room(found.class_id) if found else None
        return room is not None and room.instructor_id == self.person.id

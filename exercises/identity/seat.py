"""What a learner finds set for them, and the attempts they begin at it."""

from dataclasses import dataclass

from exercises.files import LibraryExercise
from exercises.identity.people import Assignment, Learner, NotAccepted, People, Person, SignedOut
from exercises.identity.rules import seed_for, why_not


@dataclass(frozen=True, slots=True)
class Work:
    """An exercise that is set for a learner.

    Attributes
    ----------
    attempts : ids of those that the learner has begun, newest first.
    why_not : why no further attempt can be begun; empty when one can.
    """

    assignment: Assignment
    attempts: tuple[str, ...]
    why_not: str

    @property
    def exercise(self) -> LibraryExercise:
        """The exercise as plain data, in the version that was set."""
        told = self.assignment
        return LibraryExercise(
            told.exercise_name, told.exercise_body, told.circuit_name, told.circuit_body
        )


class Seat:
    """A learner's place in a class."""

    def __init__(self, people: People, person: Person) -> None:
        learner = people.learner(person.id) if person.role == "learner" else None
        if learner is None:
            raise SignedOut("You are not in a class. Please sign in again.")
        self._people = people
        self.learner: Learner = learner

    def work(self, *, at: int) -> tuple[Work, ...]:
        """Return what is set for the learner's group and open or begun, newest first."""
        begun = self._people.begun(self.learner.id)
        rows = []
        for assignment in self._people.assignments(self.learner.class_id):
            own = tuple(id_ for id_, answered in begun if answered == assignment.id)
            reason = why_not(assignment, self.learner, attempts=len(own), at=at)
            if own or not reason:
                rows.append(Work(assignment, own, reason))
        return tuple(rows)

    def next_try(self, assignment_id: str, *, at: int) -> tuple[Work, int]:
        """Return an assignment and the seed of the learner's next attempt at it.

        Raises
        ------
        NotAccepted
            If it is not set for them, or they have no further try.
        """
        found = next((row for row in self.work(at=at) if row.assignment.id == assignment_id), None)
        if found is None:
            raise NotAccepted("This exercise is not one that is set for you now.")
        if found.why_not:
            raise NotAccepted(found.why_not)
        return found, seed_for(assignment_id, self.learner.id, len(found.attempts))

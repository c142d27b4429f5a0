"""The desk: one attempt with the store behind it. Loads, appends, folds."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

from circuits.files import circuit_from
from exercises.actions import Action, perform
from exercises.arriving import as_found
from exercises.attempt import Attempt, AttemptError, step
from exercises.debrief import Debrief, debrief
from exercises.events import Draft, Event
from exercises.exercise import Exercise
from exercises.files import LibraryExercise, exercise_from, exercise_of
from exercises.marking import Mark, Weights
from exercises.paths import PathRow
from exercises.planning.choice import Plan
from exercises.records import AttemptRow, Behind, Store
from exercises.variants import draw_variant, variant_to_json, varied

ENGINE = "3"
"""Version of the electrical model; it changes when a reading may."""


@dataclass(frozen=True, slots=True)
class Pressed:
    """What became of a press. ``behind`` tells that another tab had gone on: press again."""

    attempt: Attempt
    behind: bool = False


class Desk:
    """One attempt, kept in a store."""

    def __init__(self, store: Store, attempt_id: str) -> None:
        """Open an attempt.

        Raises
        ------
        UnknownAttempt, NotRead, NotKept
            As the store tells.
        """
        self.store, self.attempt_id = store, attempt_id
        row = store.attempt(attempt_id)
        circuit = circuit_from(row.circuit_body, name=row.circuit_name)
        self.exercise = exercise_from(row.exercise_body, circuit, name=row.exercise_name)
        events = store.events(attempt_id) or _begun_late(store, row)
        self.attempt = Attempt(self.exercise)
        self._pressed: set[str] = set()
        self._fold(events)
        self.exercise = self.attempt.exercise

    def _fold(self, events: Iterable[Event]) -> None:
        for event in events:
            self._pressed.add(event.key)
            self.attempt = step(self.attempt, event)

    def press(self, action: Action, *, key: str, at: int) -> Pressed:
        """Do an act and keep its event. A press that is folded in already is done once.

        Raises
        ------
        AttemptError, CircuitError
            If it cannot be done, with nothing kept.
        NotKept
            If the store could not keep it; the same press may work later.
        """
        if key in self._pressed:  # sent again: now it would cost other minutes
            return Pressed(self.attempt)
        return self._keep(perform(self.attempt, action), key=key, at=at)

    def _keep(self, draft: Draft, *, key: str, at: int) -> Pressed:
        answer = self.store.append(
            self.attempt_id, seen=self.attempt.last, draft=draft, key=key, at=at
        )
        if isinstance(answer, Behind):
            self._fold(answer.newer)
            return Pressed(self.attempt, behind=True)
        if answer.event.seq > self.attempt.last:
            self._fold([answer.event])
        return Pressed(self.attempt)

    def debriefed(
        self,
        *,
        at: int,
        weights: Weights | None = None,
        plan: Plan | None = None,
        each: Callable[[PathRow], object] = lambda _: None,
    ) -> Debrief:
        """Return the debrief, and keep its mark unless the same one is kept already.

        ``plan`` and ``each`` are as for ``exercises.debrief.debrief``.

        A mark by older rules, on an older model or with other weights stays as it is; the new
        one is kept after it, and counts. Without ``weights`` they are the published ones.

        Raises
        ------
        NotKept, NotRead
            As the store tells.
        """
        told = debrief(self.attempt, plan, each)
        made, worth = told.mark, (weights or Weights()).to_json()
        marker = method_of(made)
        rows = self.store.marks(self.attempt_id)
        kept = [(row.up_to_seq, row.marker, row.weights) for row in rows]
        if (made.up_to, marker, worth) not in kept:
            last = self.store.events(self.attempt_id, after=made.up_to - 1)[0]
            self.store.keep_mark(
                self.attempt_id,
                made.up_to,
                last.digest,
                marker=marker,
                weights=worth,
                columns={column.name: column.score for column in made.columns},
                at=at,
            )
        return told

    def catch_up(self) -> Attempt:
        """Return the attempt with whatever other tabs have added."""
        self._fold(self.store.events(self.attempt_id, after=self.attempt.last))
        return self.attempt


def method_of(made: Mark) -> str:
    """Return by which rules and on which electrical model a mark was made."""
    return f"rules {made.marker}, engine {ENGINE}"


def begin(
    store: Store,
    chosen: LibraryExercise,
    *,
    seed: int,
    key: str,
    at: int,
    assignment_id: str | None = None,
) -> str:
    """Begin an attempt at an exercise, as it may be set for a class, and return its id."""
    attempt_id = store.begin(
        chosen.name,
        chosen.body,
        chosen.circuit_name,
        chosen.circuit_body,
        seed=seed,
        engine=ENGINE,
        at=at,
        assignment_id=assignment_id,
    )
    store.append(attempt_id, seen=0, draft=began(chosen, seed), key=key, at=at)
    return attempt_id


def _begun_late(store: Store, row: AttemptRow) -> tuple[Event, ...]:
    """Write the first event of an attempt that was cut off before it, and return its events.

    Without it the attempt could be worked on, but never be rebuilt from its events alone.
    """
    chosen = LibraryExercise(
        row.exercise_name, row.exercise_body, row.circuit_name, row.circuit_body
    )
    draft = began(chosen, row.seed, engine=row.engine)
    store.append(row.id, seen=0, draft=draft, key=f"began {row.id}", at=row.started_at)
    return store.events(row.id)


def began(chosen: LibraryExercise, seed: int, *, engine: str = ENGINE) -> Draft:
    """Return the first event, which carries all that the attempt is rebuilt from."""
    exercise = exercise_of(chosen)
    variant = draw_variant(exercise, seed)
    body: Mapping[str, Any] = {
        "exercise_name": chosen.name,
        "exercise": chosen.body,
        "circuit_name": chosen.circuit_name,
        "circuit": chosen.circuit_body,
        "seed": seed,
        "engine": engine,
        "variant": variant_to_json(variant),
        "meter_battery": drawn_meter_battery(exercise, seed),
        "blown": sorted(as_found(varied(exercise, variant)).blown),
    }
    return Draft("began", body)


def drawn_meter_battery(exercise: Exercise, seed: int) -> str:
    """Return ``good`` or, in every second variant of an exercise that says so, ``low``."""
    low = exercise.low_meter and seed != 0 and Random(f"meter {seed}").random() < 0.5
    return "low" if low else "good"


def rebuilt(events: tuple[Event, ...]) -> Attempt:
    """Return the attempt that exported events make, from them alone.

    Raises
    ------
    AttemptError
        If the first event is not the beginning of an attempt, or one lacks what its kind holds.
    CircuitError, ExerciseFileError
        If the circuit or the exercise that it began with is not good.
    """
    if not events or events[0].kind != "began":
        found = events[0].kind if events else "nothing"
        raise AttemptError(f"line 1: the attempt begins with {found!r}; accepted: 'began'")
    try:
        attempt = Attempt(_exercise_of(events[0].body))
    except _UNREADABLE as error:
        raise AttemptError(f"event 1: {_lacking(error)}") from error
    for event in events:
        try:
            attempt = step(attempt, event)
        except _UNREADABLE as error:
            raise AttemptError(f"event {event.seq}, {event.kind!r}: {_lacking(error)}") from error
    return attempt


_UNREADABLE = (LookupError, TypeError, ValueError, AttributeError)


def _exercise_of(began_with: Mapping[str, Any]) -> Exercise:
    circuit = circuit_from(began_with["circuit"], name=began_with["circuit_name"])
    return exercise_from(began_with["exercise"], circuit, name=began_with["exercise_name"])


def _lacking(error: Exception) -> str:
    told = f"lacks {error.args[0]!r:.40}" if isinstance(error, KeyError) else "cannot be read"
    return f"{told}; accepted: events as this program writes them"

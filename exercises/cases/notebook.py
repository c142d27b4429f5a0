"""A case with the store behind it: begun, added to at every press, opened again, taken away."""

import uuid
from collections.abc import Mapping
from typing import Any

from exercises.cases.case import Case, CaseError, began, folded, step
from exercises.events import Draft, Event, EventsError, events_from_jsonl, events_to_jsonl
from exercises.records import Behind, Store

NAME = "a real vehicle"
"""What cases are called where attempts are named by their exercise."""

ENGINE = "case 1"
LARGEST_FILE = 2_000_000


class Notebook:
    """One case, kept in a store."""

    def __init__(self, store: Store, case_id: str) -> None:
        """Open a case.

        Raises
        ------
        UnknownAttempt, NotRead
            As the store tells.
        CaseError
            If what is kept there is no case.
        """
        self.store, self.case_id = store, case_id
        self.case = folded(store.events(case_id))

    def keep(self, draft: Draft, *, key: str, at: int) -> bool:
        """Keep an event; say whether it counts, or somebody else was quicker.

        Raises
        ------
        NotKept
            With nothing written.
        """
        answer = self.store.append(self.case_id, seen=self.case.last, draft=draft, key=key, at=at)
        newer = answer.newer if isinstance(answer, Behind) else (answer.event,)
        for event in newer:
            if event.seq > self.case.last:
                self.case = step(self.case, event)
        return not isinstance(answer, Behind)

    def catch_up(self) -> Case:
        """Return the case with whatever another window has added."""
        for event in self.store.events(self.case_id, after=self.case.last):
            self.case = step(self.case, event)
        return self.case

    def exported(self) -> str:
        """Return the case as a file that opens again."""
        return events_to_jsonl(self.case_id, self.store.events(self.case_id))


def begin(
    store: Store,
    circuit_name: str,
    circuit_body: Mapping[str, Any],
    complaint: tuple[str, ...],
    *,
    at: int,
) -> str:
    """Begin a case and return its id, which nobody can guess.

    Raises
    ------
    CircuitError
        If the circuit is no good, or cannot do what is complained of.
    NotKept
        With nothing written.
    """
    first = began(circuit_name, circuit_body, complaint)
    case_id = _begun(store, first, at=at)
    store.append(case_id, seen=0, draft=first, key=str(uuid.uuid4()), at=at)
    return case_id


def _begun(store: Store, first: Draft, *, at: int) -> str:
    body = {"complaint": first.body["complaint"]}
    name, circuit = first.body["circuit_name"], first.body["circuit"]
    return store.begin(NAME, body, name, circuit, seed=0, engine=ENGINE, at=at)


def opened_again(store: Store, text: str, *, at: int) -> str:
    """Keep a case from its file as a new one and return its id.

    Raises
    ------
    CaseError
        If the file is none of a case, changed, or cut off.
    NotKept
        With nothing written, or not all of it.
    """
    events = case_events(text)
    case_id = _begun(store, Draft(events[0].kind, events[0].body), at=at)
    for event in events:
        draft = Draft(event.kind, event.body)
        store.append(case_id, seen=event.seq - 1, draft=draft, key=event.key, at=event.at)
    return case_id


def case_events(text: str) -> tuple[Event, ...]:
    """Return the events in a file of a case, checked.

    Raises
    ------
    CaseError
        If the file is none of a case, changed, or cut off.
    """
    if len(text) > LARGEST_FILE:
        raise CaseError(f"found {len(text):,} letters; accepted: up to {LARGEST_FILE:,}")
    try:
        events = events_from_jsonl(text)
    except EventsError as error:
        raise CaseError(str(error)) from error
    folded(events)
    return events

"""A case folded from its events: a circuit, a complaint, and what was measured on the vehicle.

Its events are kept and chained as those of attempts are (``exercises.events``). Their kinds:

================  =================================================================
``case_began``    circuit_name, circuit (as in its file), complaint: what was seen wrong
``case_day``      lead_ohm, battery_volt, battery_step, per_cent (null: not known)
``case_read``     setting, what, shown: a reading as typed, with the meter's accuracy
``case_seen``     setting, seen: what the vehicle did, ``[part, code]`` each
``case_skipped``  setting, what: a test that cannot be taken there
``case_dropped``  no: an answer taken back, to be measured again
================  =================================================================

Nothing is changed afterwards: who corrects an answer drops it and gives another.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from circuits.files import circuit_from
from circuits.model import Circuit, CircuitError
from circuits.settings import check_setting, setting_from_json, setting_to_json
from exercises.cases.day import Day, day_from_json
from exercises.cases.typed import TypedError, typed
from exercises.events import Draft, Event
from exercises.evidence import Evidence
from exercises.planning.allowed import AllowedTest
from exercises.plans.expected import band_of
from exercises.plans.plan import vehicle_circuit
from exercises.plans.symptoms import Symptom, check_in_bounds, looks, set_words, symptom_named
from exercises.shown import (
    measurement_from_json,
    measurement_to_json,
    shown_from_json,
)

MOST_ANSWERS = 200


class CaseError(Exception):
    """The events are no case; the message is one sentence for a person."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What one test showed. ``dropped`` tells that it was taken back."""

    no: int
    evidence: Evidence
    dropped: bool = False

    @property
    def test(self) -> AllowedTest:
        """The test that was answered."""
        return AllowedTest(self.evidence.setting, self.evidence.what)


@dataclass(frozen=True, slots=True)
class Case:
    """A case as it stands after some events.

    Attributes
    ----------
    complaint : the symptoms that it began with, none for a health check.
    day : the meter and the battery, None before they were asked.
    skipped : tests that cannot be taken on this vehicle.
    last : seq of the last event.
    body : the circuit as in its file.
    """

    circuit: Circuit
    complaint: tuple[Symptom, ...] = ()
    day: Day | None = None
    answers: tuple[Answer, ...] = ()
    skipped: frozenset[AllowedTest] = frozenset()
    last: int = 0
    body: Mapping[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def standing(self) -> tuple[Answer, ...]:
        """The answers that count."""
        return tuple(answer for answer in self.answers if not answer.dropped)

    def given(self) -> tuple[Evidence, ...]:
        """Return what was known before the first answer: the complaint, the battery."""
        battery = self.day.battery_evidence(self.circuit) if self.day else ()
        return (*(symptom.evidence() for symptom in self.complaint), *battery)

    def evidence(self) -> tuple[Evidence, ...]:
        """Return all that counts, in its order."""
        return (*self.given(), *(answer.evidence for answer in self.standing))

    def vehicle(self) -> Circuit:
        """Return the circuit that expected bands are for: with the battery of the day."""
        return vehicle_circuit(self.circuit, self.day.battery_volt if self.day else None)


# --- events


def began(circuit_name: str, circuit_body: Mapping[str, Any], complaint: Iterable[str]) -> Draft:
    """Return the first event of a case.

    Raises
    ------
    CircuitError
        If the circuit is no good, or cannot do what is complained of.
    """
    circuit = circuit_from(circuit_body, name=circuit_name)
    check_in_bounds(circuit)
    names = [symptom_named(circuit, name).name for name in complaint]
    body = {"circuit_name": circuit_name, "circuit": dict(circuit_body), "complaint": names}
    return Draft("case_began", body)


def day_told(day: Day) -> Draft:
    """Return the event of the meter and the battery."""
    return Draft("case_day", day.to_json())


def read_back(case: Case, test: AllowedTest, text: str, *, confirmed: bool = False) -> Draft:
    """Return the event of a reading that was typed.

    Raises
    ------
    TypedError
        If it is no reading, or likelier a slip and not confirmed.
    """
    if test.what is None or case.day is None:
        raise TypedError("found a reading; accepted: what the vehicle did, or first the meter.")
    _check_room(case)
    reading = typed(test.instrument, text, band_of(case.vehicle(), test))
    if reading.doubt and not confirmed:
        raise TypedError(reading.doubt)
    body = {
        "setting": setting_to_json(test.setting),
        "what": measurement_to_json(test.what),
        "shown": case.day.shown(test.what, reading).to_json(),
    }
    return Draft("case_read", body)


def seen_back(case: Case, test: AllowedTest, seen: Iterable[tuple[str, str]]) -> Draft:
    """Return the event of what the vehicle was seen to do: ``(part, code)`` each."""
    _check_room(case)
    pairs = sorted([part, code] for part, code in seen)
    return Draft("case_seen", {"setting": setting_to_json(test.setting), "seen": pairs})


def skipped(test: AllowedTest) -> Draft:
    """Return the event of a test that cannot be taken."""
    what = None if test.what is None else measurement_to_json(test.what)
    return Draft("case_skipped", {"setting": setting_to_json(test.setting), "what": what})


def _check_room(case: Case) -> None:
    if len(case.answers) >= MOST_ANSWERS:
        raise TypedError(f"found {MOST_ANSWERS} answers; accepted: a new case from here on.")


def dropped(case: Case, no: int) -> Draft:
    """Return the event of an answer taken back.

    Raises
    ------
    TypedError
        If there is no such answer that counts.
    """
    known = [answer.no for answer in case.standing]
    if no not in known:
        accepted = ", ".join(map(str, known)) or "none yet"
        raise TypedError(f"answer {no}: there is none such; accepted: {accepted}.")
    return Draft("case_dropped", {"no": no})


# --- folding


def folded(events: Iterable[Event]) -> Case:
    """Return the case that events make.

    Raises
    ------
    CaseError
        Naming the event that is none of a case.
    """
    case: Case | None = None
    for event in events:
        try:
            case = _opened(event) if case is None else step(case, event)
        except CircuitError as error:
            raise CaseError(f"event {event.seq}, {event.kind!r}: {error.problems[0]}") from error
        except (LookupError, TypeError, ValueError, AttributeError) as error:
            raise CaseError(
                f"event {event.seq}, {event.kind!r}: it cannot be read; accepted: events as this "
                "program writes them"
            ) from error
    if case is None:
        raise CaseError("found no event; accepted: a case as it was exported")
    return case


def _opened(event: Event) -> Case:
    if event.kind != "case_began":
        raise CircuitError(f"found {event.kind!r}; accepted: 'case_began' first")
    body = event.body
    circuit = circuit_from(body["circuit"], name=body["circuit_name"])
    complaint = tuple(symptom_named(circuit, name) for name in body["complaint"])
    return Case(circuit, complaint, last=event.seq, body=body["circuit"])


def step(case: Case, event: Event) -> Case:
    """Return the case after one more event; one of an unknown kind changes nothing."""
    change = _STEPS.get(event.kind)
    changed = case if change is None else change(case, event.body)
    return replace(changed, last=event.seq)


def _day(case: Case, body: Mapping[str, Any]) -> Case:
    return replace(case, day=day_from_json(body))


def _read(case: Case, body: Mapping[str, Any]) -> Case:
    what, shown = measurement_from_json(body["what"]), shown_from_json(body["shown"])
    return _answered(case, Evidence(_setting(case, body), what, shown))


def _seen(case: Case, body: Mapping[str, Any]) -> Case:
    seen = frozenset((part, code) for part, code in body["seen"])
    return _answered(case, Evidence(_setting(case, body), seen=seen))


def _skipped(case: Case, body: Mapping[str, Any]) -> Case:
    what = None if body["what"] is None else measurement_from_json(body["what"])
    test = AllowedTest(_setting(case, body), what)
    return replace(case, skipped=case.skipped | {test})


def _setting(case: Case, body: Mapping[str, Any]) -> Any:
    return check_setting(case.circuit, setting_from_json(body["setting"]))


def _answered(case: Case, evidence: Evidence) -> Case:
    answer = Answer(len(case.answers) + 1, evidence)
    return replace(case, answers=(*case.answers, answer))


def _dropped(case: Case, body: Mapping[str, Any]) -> Case:
    answers = tuple(
        replace(answer, dropped=True) if answer.no == body["no"] else answer
        for answer in case.answers
    )
    return replace(case, answers=answers)


_STEPS: Mapping[str, Callable[[Case, Mapping[str, Any]], Case]] = {
    "case_day": _day,
    "case_read": _read,
    "case_seen": _seen,
    "case_skipped": _skipped,
    "case_dropped": _dropped,
}


def answer_words(case: Case, answer: Answer) -> str:
    """Return an answer in words: the setting, the leads, what was read or seen."""
    evidence = answer.evidence
    told = set_words(case.circuit, evidence.setting)
    if evidence.what is None or evidence.shown is None:
        return f"{told}: {seen_words(case.circuit, evidence)}"
    return f"{told}: {evidence.what.where()}, {evidence.shown.text}"


def seen_words(circuit: Circuit, evidence: Evidence) -> str:
    """Return what was seen in words: ``Bell: silent; Bell relay: at rest``."""
    known = looks(circuit, evidence.setting)
    seen = sorted(evidence.seen or ())
    return "; ".join(known.get(part, {}).get(code, f"{part}: {code}") for part, code in seen)

"""An attempt: one learner's run at an exercise, folded from its events and nothing else."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from circuits.consequences import fitted_by
from circuits.faults import cures
from circuits.instruments import Instrument, Measurement
from circuits.model import AS_FOUND, Circuit, Fault, Setting, Vehicle
from circuits.settings import setting_from_json, setting_words
from exercises.candidates import Evidence
from exercises.entries import Entry, Hinted, Named, Repair, Stage
from exercises.events import Event
from exercises.exercise import Exercise
from exercises.shown import Shown, measurement_from_json, shown_from_json
from exercises.trial import cured_by_fuses
from exercises.variants import variant_from_json, varied

Lead = Literal["red", "black"]
LEADS: tuple[Lead, ...] = ("red", "black")
METER = "meter"
"""The name by which the meter's own fuse is replaced."""


class AttemptError(Exception):
    """An action cannot be taken now; the message is one sentence for the learner."""


@dataclass(frozen=True)
class Attempt:
    """An attempt as it stands.

    Attributes
    ----------
    last : number of the last event folded in.
    renewed : fuses that have been replaced; a blown or wrong one is put right by it.
    fresh : those of them that were replaced since a switch was last worked.
    celsius : temperatures of the parts that have been heated.
    visited : places that have been got at.
    evidence : everything learned so far, in order.
    slips : names of the cautions met, one for each act that met one.
    meter_blown, meter_low : whether the meter's own fuse is blown, its own battery low.
    checked : what the meter last showed of itself, by what was checked.
    suspected : places and kinds that were listed before the first reading.
    hinted : the hints that were taken.
    """

    exercise: Exercise
    last: int = 0
    setting: Setting = AS_FOUND
    instrument: Instrument = "volts"
    zeroed: bool = False
    hold: bool = False
    load_w: float = 0.0
    red: str = ""
    black: str = ""
    clamp: str = ""
    reading: Shown | None = None
    entries: tuple[Entry, ...] = ()
    seen: tuple[str, ...] = ()
    minutes: float = 0.0
    blown: frozenset[str] = frozenset()
    renewed: frozenset[str] = frozenset()
    fresh: frozenset[str] = frozenset()
    celsius: tuple[tuple[str, float], ...] = ()
    visited: frozenset[str] = frozenset()
    evidence: tuple[Evidence, ...] = ()
    slips: tuple[str, ...] = ()
    meter_blown: bool = False
    meter_low: bool = False
    checked: tuple[tuple[str, Shown], ...] = ()
    named: tuple[Named, ...] = ()
    repairs: tuple[Repair, ...] = ()
    suspected: tuple[Fault, ...] = ()
    hinted: tuple[Hinted, ...] = ()
    gave_up: bool = False
    stage: Stage = "probing"

    @property
    def circuit(self) -> Circuit:
        """The circuit of the exercise."""
        return self.exercise.circuit

    @property
    def cured(self) -> bool:
        """Whether the repairs so far have put every hidden fault right."""
        return not self.left_faults()

    @property
    def setting_words(self) -> str:
        """The setting in words."""
        return setting_words(self.circuit, self.setting)

    @property
    def hints(self) -> tuple[int, ...]:
        """The depths of the hints that were taken."""
        return tuple(hint.depth for hint in self.hinted)

    @property
    def lacks_suspects(self) -> bool:
        """Whether the suspects are to be listed before anything is measured."""
        asked = self.exercise.asks_suspects and self.stage == "probing"
        return asked and not self.suspected and not self.named

    @property
    def asks_now(self) -> bool:
        """Whether a reading now comes only after an expectation."""
        return self.exercise.asks_expected and self.stage == "probing"

    @property
    def awaited(self) -> Measurement | None:
        """The measurement that waits for an expectation, None where none does."""
        what = self.measurement()
        return what if self.asks_now and self.reading is None else None

    def stated(self, what: Measurement) -> Entry | None:
        """Return the last reading of the same, in this setting, that has an expectation."""
        same = (self.setting, what)
        found = (entry for entry in reversed(self.entries) if (entry.setting, entry.what) == same)
        return next((entry for entry in found if entry.expected), None)

    def left_faults(self) -> tuple[Fault, ...]:
        """Return the hidden faults that no repair has put right yet."""
        return tuple(
            fault
            for fault in self.exercise.faults
            if not any(cures(fault, repair.place, repair.name) for repair in self.repairs)
            and not cured_by_fuses(fault, self.renewed)
        )

    def vehicle(self) -> Vehicle:
        """Return the vehicle as it now stands, its hidden faults included."""
        faults = self.left_faults()
        whole = self.exercise.vehicle()
        return replace(
            whole,
            faults=faults,
            setting=self.setting,
            blown=self.blown,
            celsius=self.celsius,
            fresh=self.fresh,
        )

    def healthy(self) -> Vehicle:
        """Return a healthy vehicle of nominal parts in the same setting."""
        return Vehicle(self.circuit, (), self.setting)

    def measurement(self) -> Measurement | None:
        """Return the measurement that the leads make, None while they do not make one."""
        if self.instrument == "clamp":
            ready = bool(self.clamp)
        else:
            ready = bool(self.red and self.black) and self.red != self.black
        if not ready:
            return None
        clamped = self.instrument == "clamp"
        return Measurement(
            self.instrument,
            red="" if clamped else self.red,
            black="" if clamped else self.black,
            wire=self.clamp if clamped else "",
            zeroed=self.zeroed,
            hold=self.hold,
            load_w=self.load_w if self.instrument == "volts" else 0.0,
            low_battery=self.meter_low,
        )


def fold(exercise: Exercise, events: Iterable[Event], start: Attempt | None = None) -> Attempt:
    """Return the attempt that these events make, after ``start`` if it is given."""
    attempt = start or Attempt(exercise)
    for event in events:
        attempt = step(attempt, event)
    return attempt


def step(attempt: Attempt, event: Event) -> Attempt:
    """Return the attempt after one more event. Events of an unknown kind change nothing."""
    change = _STEPS.get(event.kind)
    attempt = change(attempt, event.body) if change else attempt
    attempt = replace(
        attempt,
        last=event.seq,
        minutes=attempt.minutes + event.body.get("minutes", 0.0),
        visited=attempt.visited | frozenset(event.body.get("visited", ())),
    )
    return _with_reading(attempt, event.body)


def _with_reading(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    if "reading" not in body:
        return attempt
    if body["reading"] is None:
        return replace(attempt, reading=None)
    shown = shown_from_json(body["reading"])
    what = measurement_from_json(body["what"])
    entry = Entry(
        len(attempt.entries) + 1,
        attempt.setting,
        attempt.setting_words,
        what,
        shown,
        attempt.minutes,
        attempt.stage,
        body.get("expected", ""),
        body.get("right"),
        body.get("sound", ""),
    )
    return replace(
        attempt,
        reading=shown,
        entries=(*attempt.entries, entry),
        slips=(*attempt.slips, *_new(shown.caution_names, body)),
        celsius=tuple((name, celsius) for name, celsius in body["celsius"]),
        blown=frozenset(body["blown"]),
        meter_blown=attempt.meter_blown or body["meter_blew"],
        evidence=_learned(attempt, Evidence(attempt.setting, what, shown)),
    )


def _new(caution_names: tuple[str, ...], body: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the cautions of a reading without those that its own act has met already."""
    return tuple(name for name in caution_names if name not in body.get("cautions", ()))


def _learned(attempt: Attempt, piece: Evidence) -> tuple[Evidence, ...]:
    # A whole cure makes it another vehicle: what is read after it tells nothing of the faults.
    if attempt.repairs and attempt.cured:
        return attempt.evidence
    done = tuple((repair.place, repair.name) for repair in attempt.repairs if repair.place)
    piece = replace(piece, repaired=done, celsius=attempt.celsius, fresh=attempt.fresh)
    return (*attempt.evidence, piece)


def _set(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    attempt = set_to(attempt, setting_from_json(body["setting"]))
    for lead in body["fell_off"]:
        attempt = with_lead(attempt, lead, "")
    return _watched(attempt, body)


def set_to(attempt: Attempt, setting: Setting) -> Attempt:
    """Return the attempt with the vehicle in another setting; once worked, no fuse is fresh."""
    before = attempt.setting
    worked = (before.positions, before.moment) != (setting.positions, setting.moment)
    return replace(attempt, setting=setting, fresh=frozenset() if worked else attempt.fresh)


def _watched(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    seen = frozenset((part, code) for part, code, _ in body["seen"])
    renewed = frozenset(body.get("renewed", ()))
    return replace(
        attempt,
        seen=tuple(words for _, _, words in body["seen"]),
        blown=frozenset(body["blown"]),
        slips=(*attempt.slips, *body["cautions"]),
        evidence=_learned(attempt, Evidence(attempt.setting, seen=seen, renewed=renewed)),
    )


def with_lead(attempt: Attempt, lead: Lead, point: str) -> Attempt:
    """Return the attempt with a lead on another test point, off with an empty name."""
    if lead == "red":
        return replace(attempt, red=point)
    return replace(attempt, black=point)


def _lead(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    return with_lead(attempt, body["lead"], body["point"])


def _fuse(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    if body["fuse"] == METER:
        return replace(attempt, meter_blown=False, checked=_without(attempt, "fuse"))
    return _watched(with_new_fuses(attempt, frozenset({body["fuse"]})), body)


def _check(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    found = (body["check"], shown_from_json(body["shown"]))
    return replace(attempt, checked=(*_without(attempt, body["check"]), found))


def _without(attempt: Attempt, check: str) -> tuple[tuple[str, Shown], ...]:
    return tuple(pair for pair in attempt.checked if pair[0] != check)


def _dial(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    return replace(
        attempt,
        instrument=body["instrument"],
        zeroed=body["zeroed"],
        hold=body["hold"],
        load_w=body.get("load_w", 0.0),
    )


def _name(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    named = Named(
        Fault(body["place"], body["kind"]),
        body["because"],
        len(attempt.entries),
        len(attempt.evidence),
        attempt.minutes,
    )
    return replace(attempt, named=(*attempt.named, named))


def _suspect(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    return replace(attempt, suspected=tuple(Fault(place, kind) for place, kind in body["spots"]))


def _hint(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    counts = len(attempt.entries), len(attempt.evidence), len(attempt.named)
    hint = Hinted(body["depth"], body["words"], *counts)
    return replace(attempt, hinted=(*attempt.hinted, hint))


def with_new_fuses(attempt: Attempt, new: frozenset[str]) -> Attempt:
    """Return the attempt with new fuses; they may blow again at once."""
    return replace(
        attempt,
        blown=attempt.blown - new,
        renewed=attempt.renewed | new,
        fresh=attempt.fresh | new,
    )


def repaired(attempt: Attempt, place: str, name: str) -> Attempt:
    """Return the attempt after a repair, cured or not."""
    faults = attempt.left_faults()
    cured = any(cures(fault, place, name) for fault in faults) if faults else name == "none"
    new = fitted_by(attempt.circuit, place, name)
    cured |= bool(new & attempt.blown)
    repair = Repair(place, name, cured, len(attempt.entries), len(attempt.named))
    attempt = with_new_fuses(attempt, new)
    return replace(attempt, repairs=(*attempt.repairs, repair), stage="repaired")


def _repair(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    return _watched(repaired(attempt, body["place"], body["repair"]), body)


def _close(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    return replace(attempt, stage="closed", gave_up=body.get("gave_up", False))


def _began(attempt: Attempt, body: Mapping[str, Any]) -> Attempt:
    low, blown = body.get("meter_battery") == "low", frozenset(body.get("blown", ()))
    attempt = replace(attempt, meter_low=low, blown=blown)
    if "variant" not in body:
        return attempt
    return replace(attempt, exercise=varied(attempt.exercise, variant_from_json(body["variant"])))


_STEPS = {
    "began": _began,
    "set": _set,
    "lead": _lead,
    "clamp": lambda attempt, body: replace(attempt, clamp=body["wire"]),
    "dial": _dial,
    "fuse": _fuse,
    "battery": lambda attempt, _: replace(attempt, meter_low=False, checked=()),
    "check": _check,
    "suspected": _suspect,
    "hinted": _hint,
    "named": _name,
    "repair": _repair,
    "closed": _close,
}

"""What a learner can do, and the event that each act makes. Pure: nothing is kept here.

``perform`` asks the vehicle what happens and writes it into the event as it was shown, so
that folding the events later needs no solver.
"""

from dataclasses import dataclass, replace
from typing import Any

from circuits.consequences import fitted_by
from circuits.faults import fault_places
from circuits.instruments import CHECKS, LOADS_W, Check, Instrument, check_meter
from circuits.model import CircuitError, Setting
from circuits.points import find_point, nearest
from circuits.settings import check_setting, crossed_jumpers, setting_to_json
from exercises import minutes
from exercises.asking import ASKED, Asked, suspects_first
from exercises.attempt import (
    LEADS,
    METER,
    Attempt,
    AttemptError,
    Lead,
    repaired,
    set_to,
    with_lead,
    with_new_fuses,
)
from exercises.candidates import NO_FAULT
from exercises.diagnosis import repairs_at
from exercises.events import Draft
from exercises.measuring import measured, watching
from exercises.shown import shown_of

LONGEST_BECAUSE = 2000


@dataclass(frozen=True, slots=True)
class PlaceLead:
    """Put a lead on a test point, or lift it off with an empty name."""

    lead: Lead
    point: str


@dataclass(frozen=True, slots=True)
class PutClamp:
    """Put the clamp round a wire, or take it off with an empty name."""

    wire: str


@dataclass(frozen=True, slots=True)
class TurnDial:
    """Choose the instrument."""

    instrument: Instrument


@dataclass(frozen=True, slots=True)
class ZeroLeads:
    """Take the leads' own resistance off ohms readings, or stop doing so."""

    on: bool = True


@dataclass(frozen=True, slots=True)
class SetHold:
    """Switch min/max hold on or off."""

    on: bool


@dataclass(frozen=True, slots=True)
class SetLoad:
    """Put a test load of so many watts across the voltmeter's leads, 0 for none."""

    load_w: float


@dataclass(frozen=True, slots=True)
class ChangeSetting:
    """Set the vehicle."""

    setting: Setting


@dataclass(frozen=True, slots=True)
class SwapJumpers:
    """Take two jumper leads off and put them back crossed, so that their polarity is swapped."""


@dataclass(frozen=True, slots=True)
class ReadAgain:
    """Take the same reading once more."""


@dataclass(frozen=True, slots=True)
class ReplaceFuse:
    """Fit a new fuse: one of the vehicle's, or ``meter`` for the meter's own."""

    fuse: str


@dataclass(frozen=True, slots=True)
class ReplaceBattery:
    """Fit a new battery in the meter."""


@dataclass(frozen=True, slots=True)
class CheckMeter:
    """Ask the meter about itself: its leads held together, or the fuse of its amps socket."""

    check: Check


@dataclass(frozen=True, slots=True)
class NameFault:
    """Say what is wrong: place, kind, and which readings prove it."""

    place: str
    kind: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class ChooseRepair:
    """Repair something. After it the vehicle is tried again."""

    place: str
    repair: str


@dataclass(frozen=True, slots=True)
class CloseJob:
    """End the job and go to the debrief."""


@dataclass(frozen=True, slots=True)
class GiveUp:
    """End the job without a diagnosis; the debrief shows the good path."""


Action = (
    Asked
    | PlaceLead
    | PutClamp
    | TurnDial
    | ZeroLeads
    | SetHold
    | SetLoad
    | ChangeSetting
    | SwapJumpers
    | ReadAgain
    | ReplaceFuse
    | ReplaceBattery
    | CheckMeter
    | NameFault
    | ChooseRepair
    | CloseJob
    | GiveUp
)


def perform(attempt: Attempt, action: Action) -> Draft:
    """Return the event that an act makes.

    Raises
    ------
    AttemptError
        If the act cannot be done now, or the exercise's rules forbid it.
    CircuitError
        If it names something that the circuit does not have or hides.
    """
    if attempt.stage == "closed":
        raise AttemptError("This job is closed; start the exercise again to go on measuring.")
    draft: Draft = _ACTS[type(action)](attempt, action)
    return draft


def _place_lead(attempt: Attempt, action: PlaceLead) -> Draft:
    if action.lead not in LEADS:
        raise AttemptError(f"lead {action.lead!r}: accepted: red, black")
    if action.point:
        suspects_first(attempt)
        point = find_point(attempt.circuit, attempt.setting, action.point)
        _allow_place(attempt, point.place, f"test point {action.point}")
    after = with_lead(attempt, action.lead, action.point)
    if after.red and after.red == after.black:
        other = "black" if action.lead == "red" else "red"
        raise AttemptError(
            f"The {other} lead is on {action.point} already; put the two on different points."
        )
    body = {"lead": action.lead, "point": action.point}
    return measured("lead", attempt, after, body)


def _put_clamp(attempt: Attempt, action: PutClamp) -> Draft:
    wires = attempt.circuit.wire_by_name
    if action.wire:
        suspects_first(attempt)
    if action.wire and action.wire not in wires:
        raise CircuitError(
            f"clamp: {attempt.circuit.name} has no wire {action.wire!r}"
            f"{nearest(action.wire, wires)}"
        )
    return measured("clamp", attempt, replace(attempt, clamp=action.wire), {"wire": action.wire})


def _turn_dial(attempt: Attempt, action: TurnDial) -> Draft:
    allowed = attempt.exercise.instruments
    if action.instrument not in allowed:
        raise AttemptError(
            f"instrument {action.instrument!r}: this exercise does without it; "
            f"accepted: {', '.join(allowed)}"
        )
    return _dialled(attempt, replace(attempt, instrument=action.instrument))


def _zero(attempt: Attempt, action: ZeroLeads) -> Draft:
    return _dialled(attempt, replace(attempt, zeroed=action.on))


def _hold(attempt: Attempt, action: SetHold) -> Draft:
    return _dialled(attempt, replace(attempt, hold=action.on))


def _load(attempt: Attempt, action: SetLoad) -> Draft:
    if action.load_w and action.load_w not in LOADS_W:
        accepted = ", ".join(f"{watt:g}" for watt in LOADS_W)
        raise AttemptError(f"load: found {action.load_w:g} W; accepted: none, {accepted} W")
    return _dialled(attempt, replace(attempt, load_w=action.load_w))


def _dialled(attempt: Attempt, after: Attempt) -> Draft:
    body = {
        "instrument": after.instrument,
        "zeroed": after.zeroed,
        "hold": after.hold,
        "load_w": after.load_w,
    }
    return measured("dial", attempt, after, body)


def _change_setting(attempt: Attempt, action: ChangeSetting) -> Draft:
    circuit, before, setting = attempt.circuit, attempt.setting, action.setting
    check_setting(circuit, setting)
    for name in (setting.unmated - before.unmated) | (setting.pulled - before.pulled):
        thing = circuit.connector_by_name.get(name) or circuit.part_by_name[name]
        _allow_place(attempt, thing.place, name)
    for jumper in set(setting.jumpers) - set(before.jumpers):
        for end in (jumper.start, jumper.end):
            point = find_point(circuit, setting, end)
            _allow_place(attempt, point.place, f"test point {end}")
    fell_off = [lead for lead in LEADS if _falls_off(attempt, lead, setting)]
    after = set_to(attempt, setting)
    for lead in fell_off:
        after = with_lead(after, lead, "")
    body = {
        "setting": setting_to_json(setting),
        "fell_off": fell_off,
        **watching(after),
    }
    after = replace(after, blown=frozenset(body["blown"]))
    return measured("set", attempt, after, body)


def _swap_jumpers(attempt: Attempt, _: SwapJumpers) -> Draft:
    leads = attempt.setting.jumpers
    if len(leads) != 2:
        raise AttemptError(f"Polarity is swapped with two jumper leads on; found {len(leads)}.")
    crossed = replace(attempt.setting, jumpers=crossed_jumpers(*leads))
    return _change_setting(attempt, ChangeSetting(crossed))


def _falls_off(attempt: Attempt, lead: Lead, setting: Setting) -> bool:
    point = getattr(attempt, lead)
    try:
        return bool(point) and not find_point(attempt.circuit, setting, point)
    except CircuitError:
        return True


def _replace_fuse(attempt: Attempt, action: ReplaceFuse) -> Draft:
    if action.fuse == METER:
        after = replace(attempt, meter_blown=False)
        return measured("fuse", attempt, after, {"fuse": METER, "minutes": minutes.NEW_FUSE})
    part = attempt.circuit.part_by_name.get(action.fuse)
    fuses = [p.name for p in attempt.circuit.parts if p.spec.sort == "fuse"]
    if part is None or part.name not in fuses:
        raise AttemptError(f"fuse {action.fuse!r}: accepted: {', '.join([*fuses, METER])}")
    _allow_place(attempt, part.place, action.fuse)
    after = with_new_fuses(attempt, frozenset({action.fuse}))
    body = {
        "fuse": action.fuse,
        "renewed": [action.fuse],
        "minutes": minutes.NEW_FUSE,
        **watching(after),
    }
    after = replace(after, blown=frozenset(body["blown"]))
    return measured("fuse", attempt, after, body)


def _replace_battery(attempt: Attempt, _: ReplaceBattery) -> Draft:
    after = replace(attempt, meter_low=False)
    return measured("battery", attempt, after, {"minutes": minutes.NEW_BATTERY})


def _check_meter(attempt: Attempt, action: CheckMeter) -> Draft:
    if action.check not in CHECKS:
        raise AttemptError(f"check {action.check!r}: accepted: {', '.join(CHECKS)}")
    reading = check_meter(
        action.check,
        fuse_blown=attempt.meter_blown,
        zeroed=attempt.zeroed,
        low_battery=attempt.meter_low,
    )
    shown = shown_of(reading).to_json()
    return Draft("check", {"check": action.check, "shown": shown, "minutes": minutes.PROBE})


def _name_fault(attempt: Attempt, action: NameFault) -> Draft:
    if (action.place, action.kind) != (NO_FAULT.place, NO_FAULT.kind):
        places = {place.name: place for place in fault_places(attempt.circuit)}
        if action.place not in places:
            raise AttemptError(f"place {action.place!r}: not one of this circuit's")
        if action.kind not in places[action.place].kinds:
            accepted = ", ".join(places[action.place].kinds)
            raise AttemptError(f"fault {action.kind!r}: accepted at {action.place}: {accepted}")
    because = action.because.strip()[:LONGEST_BECAUSE]
    return Draft("named", {"place": action.place, "kind": action.kind, "because": because})


def _choose_repair(attempt: Attempt, action: ChooseRepair) -> Draft:
    if not attempt.named:
        raise AttemptError("Name the fault before you choose a repair.")
    accepted = repairs_at(attempt.circuit, action.place)
    if action.repair not in accepted:
        raise AttemptError(f"repair {action.repair!r}: accepted here: {', '.join(accepted)}")
    body: dict[str, Any] = {"place": action.place, "repair": action.repair}
    after = repaired(attempt, action.place, action.repair)
    cost = minutes.REPAIR if action.repair != "none" else 0.0
    if not after.repairs[-1].cured:
        cost += minutes.WRONG_PART
    if new := fitted_by(attempt.circuit, action.place, action.repair):
        body["renewed"] = sorted(new)
    body |= {"minutes": cost, **watching(after)}
    after = replace(after, blown=frozenset(body["blown"]))
    return measured("repair", attempt, after, body)


def _close_job(attempt: Attempt, _: CloseJob) -> Draft:
    if not attempt.named:
        raise AttemptError("Name the fault before you close the job, or give up.")
    return Draft("closed", {"gave_up": False})


def _give_up(_attempt: Attempt, _: GiveUp) -> Draft:
    return Draft("closed", {"gave_up": True})


def _allow_place(attempt: Attempt, place: str, what: str) -> None:
    if place in attempt.exercise.closed_places:
        title = attempt.circuit.place_by_name[place].title
        raise AttemptError(f"{what} is {title}, and this exercise does without going there.")


_ACTS: dict[type, Any] = {
    **ASKED,
    PlaceLead: _place_lead,
    PutClamp: _put_clamp,
    TurnDial: _turn_dial,
    ZeroLeads: _zero,
    SetHold: _hold,
    SetLoad: _load,
    ChangeSetting: _change_setting,
    SwapJumpers: _swap_jumpers,
    ReadAgain: lambda attempt, _: measured("again", attempt, attempt, {}),
    ReplaceFuse: _replace_fuse,
    ReplaceBattery: _replace_battery,
    CheckMeter: _check_meter,
    NameFault: _name_fault,
    ChooseRepair: _choose_repair,
    CloseJob: _close_job,
    GiveUp: _give_up,
}

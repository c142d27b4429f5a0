"""What a circuit can be seen to do wrong: the complaints that a plan can be made for.

A symptom is one part, seen otherwise than a sound vehicle's could be, in one setting of the
switches. Nothing is unplugged or taken off to see it.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from circuits.behaviour import moving, seen_in
from circuits.faults import all_faults
from circuits.model import Circuit, CircuitError, Setting, Unsure
from circuits.operate import solve_many
from circuits.parts.supply import Battery
from circuits.points import nearest
from circuits.settings import setting_words, switches
from exercises.evidence import NO_FAULT, SHARES, Evidence
from exercises.narrowing import Question
from exercises.planning.allowed import allowed_settings
from exercises.trial import Trial

_OUT_OF_BOUNDS = re.compile(
    r"air ?-?bag|restraint|pre-?tension|inflator|squib|high[ -]?voltage|traction|inverter|\bHV\b",
    re.IGNORECASE,
)


def check_in_bounds(circuit: Circuit) -> None:
    """Refuse a circuit that nobody should measure by what a lab says.

    Raises
    ------
    CircuitError
        If it is of a restraint system or of high voltage, by its own words.
    """
    titles = (circuit.title, circuit.summary, *(part.title for part in circuit.parts))
    for title in titles:
        if _OUT_OF_BOUNDS.search(title):
            raise CircuitError(
                f"{circuit.name}: found {title!r:.60}; accepted: circuits of 12 V without "
                "restraint or high-voltage parts. Leave those to people licensed for them"
            )


WIRE_SHARE = 0.45
"""How far a wire's resistance may be off, of 1, where nobody measured how long it is (common
practice, no source)."""

REST_VOLT = 0.9
"""Volts by which a battery that nobody has measured may rest otherwise (common practice, no
source)."""


def loose_wires(circuit: Circuit) -> Circuit:
    """Return the circuit of a vehicle of which only the diagram is known."""
    known = circuit.unsure_share
    guessed = {wire.name: max(WIRE_SHARE, known.get(wire.name, 0.0)) for wire in circuit.wires}
    return _unsure(circuit, guessed)


def real(circuit: Circuit) -> Circuit:
    """Return the circuit of a vehicle of which nobody has measured the battery either."""
    wired = loose_wires(circuit)
    specs = ((part.name, part.spec) for part in circuit.parts)
    batteries = {n: REST_VOLT / spec.volt for n, spec in specs if isinstance(spec, Battery)}
    return _unsure(wired, batteries)


def _unsure(circuit: Circuit, guessed: Mapping[str, float]) -> Circuit:
    every = {**circuit.unsure_share, **guessed}
    unsure = tuple(Unsure(name, share) for name, share in every.items())
    return replace(circuit, unsure=unsure, digest=f"{circuit.digest} {unsure!r}")


@dataclass(frozen=True, slots=True)
class Symptom:
    """A part that is seen to do something wrong in a setting.

    Attributes
    ----------
    name : ``left_motor:still@rocker=deploy``, one for each symptom of a circuit.
    code, words : what is seen of the part; the words name it.
    sound : what a sound vehicle's part does there, in words.
    """

    name: str
    setting: Setting
    part: str
    code: str
    words: str
    sound: str

    def evidence(self) -> Evidence:
        """Return what the symptom tells: of this part only."""
        return Evidence(self.setting, seen=frozenset({(self.part, self.code)}))

    def sentence(self, circuit: Circuit) -> str:
        """Return the complaint in words, with the switches that it takes."""
        return f"{self.words} ({switch_words(circuit, self.setting)})"


def switch_words(circuit: Circuit, setting: Setting) -> str:
    """Return the switches that are not as found: ``Step rocker Deploy``."""
    known = dict(switches(circuit))
    words = [f"{circuit.part_by_name[n].label} {known[n].label(p)}" for n, p in setting.positions]
    return ", ".join(words) or "switches as found"


def set_words(circuit: Circuit, setting: Setting) -> str:
    """Return a setting in words that name its switches as the drawing does."""
    known = [
        f"{circuit.part_by_name[name].label} {spec.label(setting.position(name, spec.rests))}"
        for name, spec in switches(circuit)
    ]
    others = setting_words(circuit, setting).split(", ")[len(known) :]
    return ", ".join([*known, *others]) or "as found"


def watched_settings(circuit: Circuit) -> tuple[Setting, ...]:
    """Return the settings of the switches in which a whole vehicle is watched."""
    return tuple(
        s
        for s in allowed_settings(circuit)
        if not (s.isolated or s.pulled or s.unmated or s.moved or s.warm)
        and s.moment != "just_operated"
    )


@lru_cache(maxsize=64)
def symptoms(circuit: Circuit) -> tuple[Symptom, ...]:
    """Return the symptoms that single faults of a circuit give, by part in the file's order."""
    order = {part.name: number for number, part in enumerate(circuit.parts)}
    found = [s for setting in watched_settings(circuit) for s in _in_setting(circuit, setting)]
    found.sort(key=lambda symptom: order[symptom.part])
    return tuple({symptom.name: symptom for symptom in found}.values())


@lru_cache(maxsize=256)
def looks(circuit: Circuit, setting: Setting) -> Mapping[str, Mapping[str, str]]:
    """Return by part what sound and faulty vehicles are seen to do, words by code."""
    faults = (NO_FAULT, *all_faults(circuit))
    asked = [Trial(f, frozenset()).vehicle(circuit, Evidence(setting)) for f in faults]
    vehicles = [moving(vehicle) for vehicle in dict.fromkeys(asked)]
    found: dict[str, dict[str, str]] = {}
    for vehicle, state in zip(vehicles, solve_many(vehicles), strict=True):
        for seen in seen_in(vehicle, state):
            found.setdefault(seen.part, {}).setdefault(seen.code, seen.words)
    return found


def sound_looks(circuit: Circuit, setting: Setting) -> dict[tuple[str, str], str]:
    """Return what may be seen of a sound vehicle in a setting, words by part and code.

    The likeliest of each part comes first.
    """
    vehicle = moving(Trial(NO_FAULT, frozenset()).vehicle(circuit, Evidence(setting)))
    (state,) = solve_many([vehicle])
    shares = sorted(SHARES, key=lambda share: abs(share - 1))
    seen = (one for share in shares for one in seen_in(vehicle, state, share=share))
    return {(one.part, one.code): one.words for one in seen}


def _in_setting(circuit: Circuit, setting: Setting) -> Iterable[Symptom]:
    sound = dict(sound_looks(circuit, setting))
    usual = {part: words for (part, _), words in reversed(sound.items())}
    for part, words in looks(circuit, setting).items():
        for code, told in words.items():
            if (part, code) not in sound:
                name = f"{part}:{code}{_at(setting)}"
                instead = usual.get(part, "nothing to be seen or heard")
                yield Symptom(name, setting, part, code, told, instead)


def _at(setting: Setting) -> str:
    return "".join(f"@{switch}={position}" for switch, position in setting.positions)


def symptom_named(circuit: Circuit, name: str) -> Symptom:
    """Return the symptom of a name; what follows ``@`` may be left out where one fits.

    Raises
    ------
    CircuitError
        If the circuit has none such, or several.
    """
    every = symptoms(circuit)
    found = [s for s in every if s.name == name]
    found = found or [s for s in every if s.name.startswith(f"{name}@")]
    if len(found) == 1:
        return found[0]
    if found:
        names = ", ".join(s.name for s in found)
        raise CircuitError(f"complaint {name!r}: several fit; accepted: {names}")
    known = [s.name for s in every]
    raise CircuitError(
        f"complaint {name!r:.80}: {circuit.name} shows none such{nearest(name, known)}"
    )


def question_of(circuit: Circuit) -> Question:
    """Return what is asked of a real vehicle: one fault, shown always."""
    return Question(real(circuit))

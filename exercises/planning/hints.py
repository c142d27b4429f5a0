"""Hints in three depths, from what is still possible and how the vehicle is set.

None knows the truth: two jobs with the same faults still possible, the same setting and the
same readings taken get the same hint.
"""

from collections.abc import Collection
from dataclasses import dataclass

from circuits.behaviour import observe
from circuits.model import Circuit, Vehicle
from circuits.settings import setting_words
from exercises.expectation import band_text, sound_band
from exercises.planning.allowed import AllowedTest
from exercises.planning.choice import Choice, Plan, Standing, best
from exercises.planning.live import Live

DEPTHS = (1, 2, 3)

INSTRUMENT_WORDS = {
    "volts": "the voltmeter",
    "ohms": "the ohmmeter, leads zeroed",
    "clamp": "the clamp",
    "": "nothing but your eyes and ears",
}


@dataclass(frozen=True, slots=True)
class Hint:
    """A hint: how deep it goes, what it says, and the test behind it, None without one."""

    depth: int
    words: str
    choice: Choice | None = None


def hint(
    plan: Plan,
    live: Live,
    standing: Standing,
    taken: Collection[AllowedTest] = (),
    *,
    depth: int,
) -> Hint:
    """Return the hint of a depth: 1 how many are left and whether to change the setting, 2
    setting, instrument and place, 3 the test and what a sound vehicle shows."""
    count = len(live.spots)
    if count < 2:
        return Hint(depth, _FEW[count])
    choice = best(plan, live, standing, taken)
    if choice is None:
        words = f"{count} faults still fit, and no test that is allowed here parts them."
        return Hint(depth, f"{words} Name one of them.")
    told = {
        1: _first(choice, standing),
        2: _second(plan, choice.test),
        3: _third(plan, choice.test),
    }
    return Hint(depth, f"{count} faults still fit. {told[depth]}", choice)


_FEW = (
    "No single fault fits everything seen and read. Repeat the reading that you trust least; "
    "if it stands, two things are wrong at once.",
    "Only one fault still fits everything seen and read. Work out which, and name it.",
)


def _first(choice: Choice, standing: Standing) -> str:
    if choice.test.setting == standing.setting and choice.test.what is None:
        return "Leave the vehicle set as it is, and watch what it does."
    if choice.test.setting == standing.setting:
        return "Leave the vehicle set as it is: the next reading is to be had here."
    if choice.test.what is None:
        return "Set the vehicle otherwise, and watch what it does."
    return "Set the vehicle otherwise before you measure again."


def _second(plan: Plan, test: AllowedTest) -> str:
    circuit = plan.table.circuit
    places = [circuit.place_by_name[name].title for name in sorted(plan.places[plan.number[test]])]
    where = f", {' and '.join(places)}" if places else ""
    set_to = setting_words(circuit, test.setting)
    return f"Set it to: {set_to}. Take {INSTRUMENT_WORDS[test.instrument]}{where}."


def _third(plan: Plan, test: AllowedTest) -> str:
    circuit = plan.table.circuit
    return f"{test_words(circuit, test)}. A sound vehicle: {sound_words(circuit, test)}."


def test_words(circuit: Circuit, test: AllowedTest) -> str:
    """Return a test in words: ``With push Pressed: volts C1.1 to BODY``."""
    set_to = f"With {setting_words(circuit, test.setting)}"
    if test.what is None:
        return f"{set_to}: watch what it does"
    return f"{set_to}: {test.what.instrument} {test.what.where()}"


def sound_words(circuit: Circuit, test: AllowedTest) -> str:
    """Return what a sound vehicle shows or does, its parts within their tolerances."""
    vehicle = Vehicle(circuit, (), test.setting)
    if test.what is None:
        return "; ".join(seen.words for seen in observe(vehicle)) or "does nothing to be seen"
    return band_text(test.what.instrument, sound_band(vehicle, test.what))

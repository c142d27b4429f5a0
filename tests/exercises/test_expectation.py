"""Expectations: what is understood, and what is right by the rule that the module states."""

from random import Random

import pytest

from circuits.files import library_circuit
from circuits.instruments import INSTRUMENTS, Measurement, read
from circuits.model import Vehicle
from circuits.points import exposed_points
from circuits.settings import setting_from
from circuits.tolerance import drawn
from exercises.attempt import AttemptError
from exercises.expectation import NOT_SURE, band_text, choices, judged, sound_band

STEPS = library_circuit("side_steps")
CRANKING = library_circuit("cranking")


def _sound(circuit=STEPS, **parts) -> Vehicle:
    return Vehicle(circuit, (), setting_from(circuit, **parts))


DEPLOY = _sound(positions={"rocker": "deploy"})
OPENED = _sound(unmated=["C2"], isolated=True)
FEED = Measurement("volts", "C1.2", "BODY")
NO_FEED = Measurement("volts", "C1.4", "BODY")
WINDING = Measurement("ohms", "C2.1@harness", "C2.2@harness")
TO_BODY = Measurement("ohms", "C2.1@harness", "BODY")
ALWAYS = [p.name for p in exposed_points(STEPS, DEPLOY.setting) if p.is_exposed(OPENED.setting)]


# What a sound vehicle shows is common practice, no source: battery voltage at a constant feed,
# none at a lamp feed switched off, a winding of a few ohms, no path from it to the body.
@pytest.mark.parametrize(
    ("vehicle", "what", "words", "kept", "right"),
    [
        (DEPLOY, FEED, "12.4", "12.4 V", True),
        (DEPLOY, FEED, "12.4V", "12.4 V", True),
        (DEPLOY, FEED, " 12,6 v ".replace("v", "V"), "12.6 V", True),
        (DEPLOY, FEED, "12", "12 V", True),
        (DEPLOY, FEED, "9", "9 V", False),
        (DEPLOY, FEED, "-12.4", "-12.4 V", False),
        (DEPLOY, FEED, "0", "0 V", False),
        (DEPLOY, FEED, "OL", "OL", False),
        (DEPLOY, FEED, "battery voltage", "Battery voltage", True),
        (DEPLOY, FEED, "About 0 V", "About 0 V", False),
        (DEPLOY, FEED, "In between", "In between", False),
        (_sound(), NO_FEED, "0", "0 V", True),
        (_sound(), NO_FEED, "200 mV", "200 mV", True),
        (_sound(), NO_FEED, "About 0 V", "About 0 V", True),
        (_sound(), NO_FEED, "Battery voltage", "Battery voltage", False),
        (OPENED, WINDING, "5", "5 Ω", True),
        (OPENED, WINDING, "6.2 ohms", "6.2 Ω", True),
        (OPENED, WINDING, "1 to 30 Ω", "1 to 30 Ω", True),
        (OPENED, WINDING, "Under 1 Ω", "Under 1 Ω", False),
        (OPENED, WINDING, "4.7k", "4.7 kΩ", False),
        (OPENED, WINDING, "ol", "OL", False),
        (OPENED, TO_BODY, "OL", "OL", True),
        (OPENED, TO_BODY, "Over 30 Ω", "Over 30 Ω", False),
    ],
)
def test_an_expectation_is_held_against_a_sound_vehicle(vehicle, what, words, kept, right) -> None:
    found = judged(vehicle, what, words)
    assert (found.words, found.right) == (kept, right)


def test_a_choice_counts_with_the_leads_either_way_round() -> None:
    turned = Measurement("volts", "BODY", "C1.2")
    assert judged(DEPLOY, turned, "Battery voltage").right is True
    assert judged(DEPLOY, turned, "12.4").right is False


@pytest.mark.parametrize(
    ("instrument", "red", "black", "words", "right"),
    [
        ("continuity", "C2.1@harness", "C2.2@harness", "Beep", True),
        ("continuity", "C2.1@harness", "BODY", "No beep", True),
        ("continuity", "C2.1@harness", "BODY", "Beep", False),
        ("diode", "C2.1@harness", "BODY", "OL", True),
        ("lamp", "F1.out", "BODY", "Bright", True),
        ("lamp", "F1.out", "BODY", "Dark", False),
    ],
)
def test_choices_of_other_instruments(instrument, red, black, words, right) -> None:
    vehicle = _sound() if instrument == "lamp" else OPENED
    assert judged(vehicle, Measurement(instrument, red, black), words).right is right


def test_current_through_a_starter_is_far_above_thirty_amperes() -> None:
    vehicle = _sound(CRANKING, positions={"key": "start"})
    wires = [w.name for w in CRANKING.wires]
    amps = {n: read(vehicle, Measurement("clamp", wire=n)).value or 0.0 for n in wires}
    most = max(amps, key=lambda name: abs(amps[name]))
    what = Measurement("clamp", wire=most)
    assert judged(vehicle, what, "Over 30 A").right is True
    assert judged(vehicle, what, "5 to 30 A").right is False


def test_who_is_not_sure_is_neither_right_nor_wrong_and_nonsense_is_not_judged() -> None:
    assert judged(DEPLOY, FEED, NOT_SURE).right is None
    live = judged(_sound(), Measurement("ohms", "C1.2", "BODY"), "OL")
    assert (live.right, live.sound) == (None, "nothing that can be used")


@pytest.mark.parametrize(
    ("what", "words"),
    [
        (FEED, ""),
        (FEED, "many"),
        (FEED, "12.4 A"),
        (FEED, "1" * 400),
        (FEED, "12.4.1"),
        (WINDING, "5 V"),
        (WINDING, "Battery voltage"),
        (Measurement("lamp", "F1.out", "BODY"), "12.4"),
    ],
)
def test_what_is_no_expectation_is_refused_with_what_is_accepted(what, words) -> None:
    with pytest.raises(AttemptError, match=r"Expectation: found .*; accepted: ") as refused:
        judged(DEPLOY if what.instrument == "volts" else OPENED, what, words)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 200


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_one_of_the_choices_is_right_wherever_the_leads_are(instrument) -> None:
    random = Random(instrument)
    for _ in range(3):
        red, black = random.sample(ALWAYS, 2)
        clamp = {"wire": random.choice(STEPS.wires).name}
        leads = clamp if instrument == "clamp" else {"red": red, "black": black}
        what = Measurement(instrument, **leads)
        vehicle = DEPLOY if instrument in {"volts", "clamp", "lamp"} else OPENED
        found = [judged(vehicle, what, words).right for words in choices(instrument)]
        assert found[-1] is None
        assert True in found or set(found) == {None}


def test_the_least_that_a_vehicle_shows_is_told_in_words() -> None:
    assert band_text("lamp", (0.0, 70.0)) == "dark to bright"
    assert band_text("volts", (12.31, 12.83)) == "12.31 V to 12.83 V"


@pytest.mark.parametrize("seed", range(8))
def test_the_figure_that_another_sound_vehicle_shows_is_never_a_wrong_expectation(seed) -> None:
    random = Random(seed)
    vehicle = drawn(DEPLOY, random)
    red, black = random.sample(ALWAYS, 2)
    what = Measurement("volts", red, black)
    reading = read(vehicle, what)
    low, high = sound_band(DEPLOY, what)
    assert low <= reading.value <= high
    assert judged(DEPLOY, what, f"{reading.value:.3f}").right is True

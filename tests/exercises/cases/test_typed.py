"""Readings as somebody types them at a vehicle: understood, refused, or doubted."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuits.instruments import Measurement
from exercises.cases.day import Day, day_typed
from exercises.cases.typed import Typed, TypedError, typed
from exercises.plans.expected import Band

BATTERY = Band("volts", 11.9, 13.4)


@pytest.mark.parametrize(
    ("instrument", "text", "value", "step", "display"),
    [
        ("volts", "12.41 V", 12.41, 0.01, "12.41"),
        ("volts", "12,41", 12.41, 0.01, "12.41"),
        ("volts", "450 mV", 0.45, 0.001, "450m"),
        ("volts", " −0.3mV ", -0.0003, 0.0001, "-0.3m"),
        ("ohms", "0,3", 0.3, 0.1, "0.3"),
        ("ohms", ".5 ohm", 0.5, 0.1, "0.5"),
        ("ohms", "1.2k", 1200, 100, "1.2k"),
        ("ohms", "1k2", 1200, 100, "1.2k"),
        ("ohms", "4.7 MΩ", 4.7e6, 1e5, "4.7M"),
        ("ohms", "5 Ω", 5, 1, "5"),
        ("ohms", "OL", None, 0, "OL"),
        ("ohms", "o.l.", None, 0, "OL"),
        ("clamp", "40 mA", 0.04, 0.001, "40m"),
    ],
)
def test_what_a_meter_shows_is_understood_as_typed(instrument, text, value, step, display) -> None:
    found = typed(instrument, text)
    assert found.display == display
    assert found.value == (None if value is None else pytest.approx(value))
    assert found.step == pytest.approx(step)
    assert found.doubt == ""


@pytest.mark.parametrize(
    ("instrument", "text", "says"),
    [
        ("ohms", "-3", "0 Ω or more"),
        ("volts", "230 V", "up to 16 V"),
        ("volts", "450", "was it milli"),
        ("volts", "OL", "too low a range"),
        ("volts", "", "12.41 V or 450 mV"),
        ("volts", "twelve", "found 'twelve'"),
        ("volts", "12.4 Ω", "accepted: 12.41 V"),
        ("ohms", "12 V", "accepted: 0.3"),
        ("ohms", "9e9", "accepted: 0.3"),
        ("volts", "1 2 3 4 5 6 7 8 9 0 1 2 3", "accepted"),
        ("volts", "nan", "accepted"),
        ("volts", "٣", "accepted"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(instrument, text, says) -> None:
    with pytest.raises(TypedError, match=says.replace(".", r"\.")):
        typed(instrument, text)


@pytest.mark.parametrize(("text", "meant"), [("12.4 mV", "12.4 V"), ("0.0124", "12.4 V")])
def test_milli_taken_for_none_is_doubted(text, meant) -> None:
    assert f"Did you mean {meant}?" in typed("volts", text, BATTERY).doubt


def test_a_reading_that_is_only_wrong_is_not_doubted() -> None:
    assert typed("volts", "7.34 V", BATTERY).doubt == ""
    assert typed("volts", "0.0 mV", BATTERY).doubt == ""


@settings(max_examples=40)
@given(st.text(max_size=30), st.sampled_from(["volts", "ohms", "clamp"]))
def test_any_text_is_a_reading_or_one_sentence(text, instrument) -> None:
    found, told = _typed_or_told(instrument, text)
    assert bool(told) == (found is None)
    assert "\n" not in told
    assert found is None or found.value is None or abs(found.value) <= 60e6


def _typed_or_told(instrument: str, text: str) -> tuple[Typed | None, str]:
    try:
        return typed(instrument, text), ""
    except TypedError as error:
        return None, str(error)


# --- the meter and the battery of the day

OHMS = Measurement("ohms", "C1.1", "C1.2", zeroed=True)
VOLTS = Measurement("volts", "C1.1", "C1.2")


def test_the_leads_ohms_are_taken_off() -> None:
    day = day_typed("0,4", "12.5 V", "0.5")
    shown = day.shown(OHMS, typed("ohms", "6.4 Ω"))
    assert shown.value == pytest.approx(6.0)
    assert shown.text == "6.4 Ω"
    assert day.shown(OHMS, typed("ohms", "0.3")).value == 0
    assert day.shown(OHMS, typed("ohms", "OL")).value is None


def test_an_unknown_meter_is_taken_to_be_worse_than_a_known_one() -> None:
    known, unknown = (day_typed("0.2", "12.5", told) for told in ("0.5", ""))
    for what, text in ((VOLTS, "12.41 V"), (OHMS, "6.4")):
        reading = typed(what.instrument, text)
        assert unknown.shown(what, reading).off > known.shown(what, reading).off > 0
    coarse, fine = (known.shown(VOLTS, typed("volts", text)).off for text in ("12 V", "12.00 V"))
    assert coarse > fine + 0.5


@pytest.mark.parametrize(
    ("typed_day", "says"),
    [
        (("", "12.5", ""), "Leads held together: found ''"),
        (("OL", "12.5", ""), "accepted: 0 to 1 Ω"),
        (("3", "12.5", ""), "accepted: 0 to 1 Ω"),
        (("0.2", "6.1", ""), "Battery at rest: found 6.1 V; accepted: 9 to 14 V"),
        (("0.2", "230", ""), "Battery at rest: found '230'"),
        (("0.2", "12.5", "good"), "Accuracy on volts: found 'good'"),
        (("0.2", "12.5", "50"), "Accuracy on volts: found '50'"),
    ],
)
def test_a_day_that_cannot_be_is_refused_by_its_field(typed_day, says) -> None:
    with pytest.raises(TypedError) as refused:
        day_typed(*typed_day)
    assert says in str(refused.value)


def test_less_than_the_leads_alone_is_refused() -> None:
    day = Day(1.0, 12.5, 0.1, 0.5)
    with pytest.raises(TypedError, match="what the leads alone read"):
        day.shown(OHMS, typed("ohms", "0.1"))

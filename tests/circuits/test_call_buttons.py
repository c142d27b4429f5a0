"""Call buttons: four resistors on one wire, told apart by the volts they leave on it."""

import pytest

from circuits.drawing import draw
from circuits.files import library_circuit
from circuits.parts.coded import Band, CodedButton, CodedReader
from circuits.settings import setting_from
from tests.circuits.benches import shows
from tests.circuits.workouts import (
    codes,
    drops_too_great,
    solve_everything,
    state_of,
    vehicle,
    volts,
)

NAME = "call_buttons"
OHMS = {"front": 2200.0, "middle": 910.0, "rear": 430.0, "ramp": 180.0}
BUTTONS = tuple(OHMS)


def pressed(button: str) -> dict[str, str]:
    """Return the positions with one button pressed, none for an empty name."""
    return {f"{button}_button": "pressed"} if button else {}


def heard(button: str, *faults: str) -> str:
    """Return what the unit takes the line for with a button pressed."""
    return codes(NAME, *faults, positions=pressed(button))["unit"]


def heard_of_all(*faults: str) -> list[str]:
    """Return what the unit takes the line for with no button and with each one."""
    return [heard(button, *faults) for button in ("", *BUTTONS)]


def divided(ohm: float) -> float:
    """Return what 5 V behind 1000 ohms leave on so many ohms beside 4700 (voltage divider)."""
    beside = 1 / (1 / 4700 + (1 / ohm if ohm else 0))
    return 5 * beside / (1000 + beside)


def test_each_button_leaves_the_volts_of_its_divider_on_the_line() -> None:
    assert volts(state_of(NAME), NAME, "CU.3", "CU.4") == pytest.approx(divided(0), abs=0.005)
    for button, ohm in OHMS.items():
        state = state_of(NAME, positions=pressed(button))
        assert volts(state, NAME, "CU.3", "CU.4") == pytest.approx(divided(ohm), abs=0.005)


def test_each_button_lights_its_own_lamp_and_sounds_the_buzzer() -> None:
    assert heard_of_all() == ["idle", *BUTTONS]
    for button in BUTTONS:
        found = codes(NAME, positions=pressed(button))
        lit = [pair.split(":")[0] for pair in found["panel"].split() if pair.endswith("bright")]
        assert (lit, found["buzzer"]) == ([button], "rings")
    assert codes(NAME)["buzzer"] == "silent"


def test_every_band_holds_its_button_with_parts_a_tenth_off() -> None:
    """Common practice, no source: a code must bear the tolerance of its parts."""
    unit = library_circuit(NAME).part_by_name["unit"].spec
    assert isinstance(unit, CodedReader)
    bands = {band.name: (band.low_volt, band.high_volt) for band in unit.bands}
    for button, ohm in OHMS.items():
        low, high = bands[button]
        assert low < divided(ohm * 0.9) < divided(ohm * 1.1) < high


def test_voltage_drops_of_the_healthy_circuit_are_small() -> None:
    for button in ("", *BUTTONS):
        assert drops_too_great(NAME, positions=pressed(button)) == []


@pytest.mark.parametrize(
    ("fault", "found"),
    [
        ("W4:open", "broken broken broken broken broken"),
        ("IS.2:backed_out", "broken broken broken broken broken"),
        ("W8:open", "broken unknown broken broken broken"),
        ("W12:open", "broken unknown middle rear broken"),
        ("W14:open", "broken unknown middle rear ramp"),
        ("W4:chafed:0", "shorted shorted shorted shorted shorted"),
        ("W4+W5:touching:0", "shorted shorted shorted shorted shorted"),
        ("W4:shorted_to_feed:0", "unknown unknown unknown unknown unknown"),
        ("unit:dead", "asleep asleep asleep asleep asleep"),
        ("G1:open", "asleep asleep asleep asleep asleep"),
        ("F1:blown", "asleep asleep asleep asleep asleep"),
        ("unit.signal:reference_lost", "shorted shorted shorted shorted shorted"),
        ("unit.signal:input_deaf", "unknown unknown unknown unknown unknown"),
        ("rear_button.contact:contact_open", "idle front middle idle ramp"),
        ("front_button.resistor:shorted:0", "idle shorted middle rear ramp"),
    ],
)
def test_each_fault_of_the_line_is_read_as_the_volts_it_leaves(fault, found) -> None:
    assert heard_of_all(fault) == found.split()


def test_resistance_in_the_line_takes_a_low_button_for_its_neighbour() -> None:
    assert heard_of_all("W4:high_resistance:300")[3:] == ["middle", "rear"]
    # Small beside the coding resistors, it changes nothing that the unit hears.
    assert heard_of_all("W4:high_resistance:10") == ["idle", *BUTTONS]


def test_two_buttons_together_read_as_neither() -> None:
    both = {**pressed("front"), **pressed("middle")}
    state = state_of(NAME, positions=both)
    together = 1 / (1 / 2200 + 1 / 910)
    assert volts(state, NAME, "CU.3", "CU.4") == pytest.approx(divided(together), abs=0.01)


def test_a_raised_unit_ground_misleads_a_meter_on_the_body_but_not_the_unit() -> None:
    car = vehicle(NAME, "G1:corroded:30", positions=pressed("middle"))
    to_body = shows(car, "volts", "CU.3", "BODY").value or 0
    to_ground = shows(car, "volts", "CU.3", "CU.4").value or 0
    assert to_ground == pytest.approx(divided(910), abs=0.02)
    assert to_body > to_ground + 0.5
    assert heard("middle", "G1:corroded:30") == "middle"


def test_a_dead_output_or_lamp_leaves_the_voltage_and_the_buzzer_right() -> None:
    for fault in ("unit.rear:output_dead", "W18:open", "panel.rear:open"):
        found = codes(NAME, fault, positions=pressed("rear"))
        assert found["unit"] == "rear"
        assert found["buzzer"] == "rings"
        assert "rear:dark" in found["panel"]


def test_the_unplugged_line_reads_its_end_resistor_and_each_button_beside_it() -> None:
    at = {"unmated": ["CU"], "isolated": True}
    leads = ("CU.3@harness", "CU.4@harness")
    assert shows(vehicle(NAME, **at), "ohms", *leads).exact == pytest.approx(4700, rel=0.001)
    for button, ohm in OHMS.items():
        car = vehicle(NAME, positions=pressed(button), **at)
        beside = 1 / (1 / 4700 + 1 / ohm)
        assert shows(car, "ohms", *leads).exact == pytest.approx(beside, abs=1.0)


def test_a_resistor_off_its_value_is_read_as_another_button() -> None:
    assert heard("ramp", "ramp_button.resistor:wrong_value:2.0") == "rear"


def test_a_button_that_sticks_calls_without_being_pressed() -> None:
    assert heard("", "rear_button.contact:stuck_closed") == "rear"
    assert codes(NAME, "rear_button.contact:stuck_closed")["buzzer"] == "rings"


def test_resistance_in_the_feed_makes_the_unit_wake_and_sleep_by_turns_once_it_is_loaded() -> None:
    """Idle it draws milliamperes; lamp and buzzer draw the supply below what it needs."""
    assert state_of(NAME, "F1:corroded:30").chatter == ()
    assert state_of(NAME, "F1:corroded:30", positions=pressed("rear")).chatter == ("unit",)


def test_every_fault_in_every_setting_comes_to_rest_or_chatters_at_the_unit() -> None:
    assert set(solve_everything(NAME)) <= {"unit"}


@pytest.mark.parametrize(
    ("bands", "told"),
    [
        ((), "at least one band"),
        ((Band("a", 2.0, 1.0),), "below high_volt"),
        ((Band("a", 0.0, 2.0), Band("b", 1.0, 3.0)), "from high_volt of 'a'"),
    ],
)
def test_a_reader_whose_bands_cannot_be_is_refused(bands, told) -> None:
    with pytest.raises(ValueError, match=told):
        CodedReader(bands=bands)


def test_a_button_closed_in_a_position_it_lacks_is_refused() -> None:
    with pytest.raises(ValueError, match="closed names position 'held'"):
        CodedButton(("released", "pressed"), "released", closed=("held",), ohm=100.0)


def test_a_pressed_button_is_drawn_with_its_arm_down() -> None:
    circuit = library_circuit(NAME)
    drawn = [
        draw(circuit, setting_from(circuit, positions=pressed(button)))
        for button in ("", "front", "rear")
    ]
    assert len(set(drawn)) == 3
    assert all("Front button" in svg for svg in drawn)

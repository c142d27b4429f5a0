"""What parts would do on a vehicle near by: borne out by solving that vehicle."""

from dataclasses import replace

import pytest

from circuits.behaviour import observe
from circuits.files import library_circuit
from circuits.model import Fault, Vehicle
from circuits.nearby import otherwise
from circuits.operate import solve
from circuits.settings import setting_from

CALL_BUTTONS, DATA_LINK = library_circuit("call_buttons"), library_circuit("data_link")
TWO_PRESSED = setting_from(
    CALL_BUTTONS,
    positions={"front_button": "pressed", "rear_button": "pressed"},
    moment="moving",
)
KEY_ON = setting_from(DATA_LINK, positions={"key": "on"}, moment="moving")


def _codes(vehicle: Vehicle, part: str) -> set[str]:
    return {seen.code for seen in observe(vehicle) if seen.part == part}


@pytest.mark.parametrize(
    ("vehicle", "part", "code"),
    [
        pytest.param(
            Vehicle(CALL_BUTTONS, setting=TWO_PRESSED), "unit", "unknown", id="two buttons at once"
        ),
        pytest.param(
            Vehicle(DATA_LINK, (Fault("CR.4", "backed_out"),), KEY_ON),
            "ramp_unit",
            "hears",
            id="a link wire that hangs",
        ),
    ],
)
def test_a_vehicle_near_by_does_what_is_told_of_it(vehicle, part, code) -> None:
    assert code not in _codes(vehicle, part)
    (told,) = otherwise([vehicle], [solve(vehicle)])
    scatters = [one.scatter for one in told if (one.part, one.code) == (part, code)]
    assert scatters
    assert all(-1 <= share <= 1 for scatter in scatters for _, share in scatter)
    assert any(code in _codes(replace(vehicle, scatter=s), part) for s in scatters)


def test_nothing_is_told_where_no_volts_are() -> None:
    vehicle = Vehicle(CALL_BUTTONS, setting=replace(TWO_PRESSED, isolated=True))
    assert otherwise([vehicle], [solve(vehicle)]) == [()]

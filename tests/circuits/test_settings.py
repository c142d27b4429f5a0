import pytest

from circuits.files import library_circuit
from circuits.model import AS_FOUND, CircuitError, Jumper, Setting
from circuits.settings import (
    check_setting,
    setting_from,
    setting_from_json,
    setting_to_json,
    setting_words,
)

STEPS = library_circuit("side_steps")
BELL = library_circuit("call_bell")


def test_a_switch_named_in_the_position_it_is_found_in_leaves_the_setting_as_found():
    assert setting_from(STEPS, positions={"rocker": "off", "key": "on"}) == AS_FOUND


@pytest.mark.parametrize(
    ("circuit", "positions", "moment"),
    [
        pytest.param(STEPS, {"rocker": "deploy"}, "moving", id="motor-and-switch-worked"),
        pytest.param(STEPS, {}, "at_rest", id="motor-but-nothing-worked"),
        pytest.param(BELL, {"push": "pressed"}, "at_rest", id="no-motor"),
    ],
)
def test_the_moment_nobody_names_is_moving_only_where_a_worked_switch_can_move_something(
    circuit, positions, moment
):
    assert setting_from(circuit, positions=positions).moment == moment


def test_words_tell_everything_set_in_one_line():
    setting = setting_from(
        STEPS,
        positions={"rocker": "deploy"},
        unmated=["C2"],
        pulled=["F2"],
        isolated=True,
        jumpers=[("C2.1@harness", "F1.out")],
        moved="C1",
    )
    assert setting_words(STEPS, setting) == (
        "key On, rocker Deploy, C2 unplugged, F2 out, battery isolated, "
        "jumper C2.1@harness to F1.out, C1 wiggled, while moving"
    )


def test_json_round_trip_gives_the_same_setting():
    setting = Setting(
        positions=(("rocker", "deploy"),),
        unmated=frozenset({"C2", "C1"}),
        pulled=frozenset({"F2"}),
        isolated=True,
        jumpers=(Jumper("BAT.pos", "BODY"),),
        moment="just_operated",
        moved="left_motor",
    )
    assert setting_from_json(setting_to_json(setting)) == setting


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ({"positions": {"rocker": "deply"}}, "did you mean 'deploy'?"),
        ({"positions": {"rockr": "off"}}, "did you mean 'rocker'?"),
        ({"unmated": ["C9"]}, "connector 'C9'"),
        ({"pulled": ["BAT"]}, "fuse 'BAT': side_steps has none such"),
        ({"jumpers": [("C2.1@unit", "BAT.pos")]}, "C2 is mated and hides its faces"),
        ({"jumpers": [("BODY", "BODY")]}, "both ends are on BODY"),
        ({"moved": "C2", "unmated": ["C2"]}, "C2: the connector is unplugged"),
        ({"moved": "F2", "pulled": ["F2"]}, "F2: the fuse is out"),
        ({"moved": "nothing"}, "wiggle 'nothing'"),
        ({"moment": "soon"}, "accepted: just_operated, moving, at_rest"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_in_one_sentence(parts, sentence):
    with pytest.raises(CircuitError) as error:
        setting_from(STEPS, **parts)
    assert len(error.value.problems) == 1
    assert sentence in error.value.problems[0]


def test_a_switch_in_two_positions_is_refused():
    twice = Setting(positions=(("rocker", "deploy"), ("rocker", "lamps")))
    with pytest.raises(CircuitError, match="set to two positions"):
        check_setting(STEPS, twice)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"unmatd": []}, "did you mean 'unmated'?"),
        ({"isolated": 1}, "isolated is 1; accepted: yes or no"),
        ({"jumpers": [["BODY"]]}, "accepted: a list of pairs"),
        ({"positions": ["rocker"]}, "accepted: a table of texts"),
        ({"unmated": "C2"}, "accepted: a list of texts"),
        ({"moment": "soon"}, "moment is 'soon'"),
    ],
)
def test_stored_data_that_is_no_setting_is_refused_by_key(data, sentence):
    with pytest.raises(CircuitError, match="setting: ") as error:
        setting_from_json(data)
    assert sentence in str(error.value)

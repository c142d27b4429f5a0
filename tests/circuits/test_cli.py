import io
import json
import subprocess
import sys

import pytest

from circuits.cli import COMMANDS, main
from circuits.files import LIBRARY, circuit_names


@pytest.fixture
def run(capsys):
    """Return a function that runs a command: its exit code, output and complaint."""

    def run(*arguments):
        code = main([str(argument) for argument in arguments])
        found = capsys.readouterr()
        return code, found.out, found.err

    return run


@pytest.fixture
def data(run):
    """Return a function that runs a command with ``--json`` and returns the object."""

    def data(*arguments):
        code, out, complaint = run(*arguments, "--json")
        assert (code, complaint) == (0, "")
        assert out.count("\n") == 1
        return json.loads(out)

    return data


def test_list_names_every_circuit_of_the_library(data):
    assert [row["name"] for row in data("list")["circuits"]] == list(circuit_names())


def test_show_holds_views_parts_cavities_positions_and_wires(data):
    shown = data("show", "side_steps")
    assert set(shown["views"]) == {"where", "flow", "behaviour", "testing"}
    assert all(shown["views"].values())
    assert {"name": "F1", "title": "Fuse F1", "sort": "fuse", "place": "engine_bay"} in shown[
        "parts"
    ]
    cavities = {c["name"]: len(c["cavities"]) for c in shown["connectors"]}
    assert (cavities["C1"], cavities["C2"]) == (6, 4)
    rocker = next(s for s in shown["switches"] if s["name"] == "rocker")
    assert rocker["positions"] == ["off", "lamps", "deploy"]
    assert {w["name"] for w in shown["wires"]} >= {"W1", "W24"}


def test_the_healthy_table_and_a_reading_agree(data):
    table = data("show", "side_steps")["healthy"]
    deploy = next(row for row in table if row["positions"]["rocker"] == "deploy")
    reading = data("read", "side_steps", "--set", "rocker=deploy", "--volts", "C2.1", "BODY")
    assert deploy["volts"]["C2.1"] == reading["display"]


def test_points_tell_when_a_probe_can_touch_them(data):
    points = {p["name"]: p for p in data("points", "side_steps")["points"]}
    assert points["C1.4"]["exposed"] == "mated"
    assert points["C1.4@unit"]["exposed"] == "unmated"
    assert points["F1.out"]["exposed"] == "always"
    assert points["ML.1"]["minutes"] == 6


def test_faults_tell_kinds_units_and_severities(data):
    faults = data("faults", "side_steps")["faults"]
    found = next(f for f in faults if (f["place"], f["kind"]) == ("W4", "high_resistance"))
    assert found["unit"] == "Ω"
    assert found["severities"] == sorted(found["severities"])
    assert found["usual"] in found["severities"]


@pytest.mark.parametrize("command", ["list", "show call_bell", "points call_bell"])
def test_text_for_people_is_printed_without_json(run, command):
    code, out, _ = run(*command.split())
    assert code == 0
    assert "bell" in out
    assert not out.startswith("{")


def test_a_reading_as_json_always_has_value_unit_display_and_cautions(data):
    found = data("read", "side_steps", "--volts", "BAT.pos", "BODY")
    assert (found["value"], found["unit"], found["display"]) == (12.65, "V", "12.65")
    assert found["cautions"] == []


def test_beyond_range_the_value_is_null_and_the_display_ol(data):
    found = data("read", "call_bell", "--isolate", "--ohms", "BAT.pos", "BODY")
    assert (found["value"], found["display"]) == (None, "OL")


def test_a_fault_is_put_in_and_told_by_its_reading(data):
    arguments = ("read", "side_steps", "--volts", "F3.out", "BODY", "--fault")
    assert data(*arguments, "F3:blown")["value"] < 0.5
    assert data(*arguments, "F3:corroded:0.3")["value"] > 12


def test_a_short_names_the_fuse_it_blew(data):
    found = data("read", "call_bell", "--fault", "W2:chafed:0", "--volts", "F1.in", "BODY")
    assert found["blown"] == ["F1"]


def test_ohms_on_a_live_circuit_come_with_their_caution(data):
    found = data("read", "call_bell", "--ohms", "F1.out", "BODY")
    assert "Isolate the battery" in found["cautions"][0]


def test_amps_across_the_battery_blow_the_meters_fuse(data):
    assert data("read", "call_bell", "--amps", "BAT.pos", "BODY")["meter_fuse_blew"]


def test_clamp_reads_the_current_of_a_wire(data):
    found = data("read", "call_bell", "--set", "push=pressed", "--clamp", "W7")
    assert found["unit"] == "A"
    assert found["value"] == pytest.approx(1.05, abs=0.03)


def test_hold_keeps_the_inrush_that_the_moment_moving_does_not_show(data):
    arguments = ("read", "side_steps", "--set", "rocker=deploy", "--clamp", "W14")
    low, high = data(*arguments, "--hold")["swing"]
    assert low == pytest.approx(0, abs=0.01)
    assert high > 2 * data(*arguments)["value"]


def test_zeroed_leads_take_their_ohms_off(data):
    arguments = ("read", "call_bell", "--isolate", "--ohms", "BAT.pos", "F1.in")
    assert data(*arguments)["value"] == pytest.approx(0.2, abs=0.05)
    assert data(*arguments, "--zeroed")["value"] == pytest.approx(0.0, abs=0.05)


def test_continuity_says_whether_it_beeps(data, run):
    arguments = ("read", "call_bell", "--isolate", "--continuity", "BAT.pos", "F1.out")
    assert data(*arguments)["beep"] is True
    assert "beeps" in run(*arguments)[1]


def test_a_jumper_feeds_what_it_is_put_on(data):
    found = data("read", "call_bell", "--jumper", "BAT.pos", "C1.1", "--volts", "C1.1", "BODY")
    assert found["value"] > 12


def test_a_spread_terminal_opens_only_while_it_is_wiggled(data):
    arguments = ("read", "call_bell", "--set", "push=pressed", "--fault", "C2.1:spread")
    arguments = (*arguments, "--volts", "relay.87", "BODY")
    assert data(*arguments)["value"] > 12
    assert data(*arguments, "--wiggle", "C2")["value"] < 0.1


def test_a_test_load_finds_the_resistance_that_the_meter_alone_does_not(data):
    arguments = ("read", "side_steps", "--unmate", "C1", "--fault", "W4:high_resistance:5")
    arguments = (*arguments, "--volts", "C1.2@harness", "BODY")
    assert data(*arguments)["value"] > 12.5
    assert data(*arguments, "--load", "21")["value"] < 7


def test_a_fault_that_shows_only_warm_shows_with_warm(data):
    arguments = ("read", "call_bell", "--fault", "F1:blown@warm", "--volts", "F1.out", "BODY")
    assert data(*arguments)["value"] > 12
    assert data(*arguments, "--warm")["value"] < 0.1


def test_a_diode_test_shows_volts_one_way_and_ol_the_other(data):
    arguments = ("read", "side_steps", "--isolate", "--unmate", "C1", "--unmate", "C2", "--diode")
    assert 0.3 < data(*arguments, "C1.5@unit", "C2.1@unit")["value"] < 1.0
    assert data(*arguments, "C2.1@unit", "C1.5@unit")["display"] == "OL"


def test_the_moment_may_be_set_like_a_switch(data):
    arguments = ("read", "side_steps", "--set", "rocker=deploy", "--clamp", "W14")
    assert data(*arguments, "--set", "moment=at_rest")["value"] == 0
    assert data(*arguments, "--moment", "at_rest")["value"] == 0
    assert data(*arguments)["value"] > 0.3


def test_a_path_to_a_circuit_file_is_a_circuit_too(data, tmp_path):
    copy = tmp_path / "mine.toml"
    copy.write_text((LIBRARY / "call_bell.toml").read_text(encoding="utf-8"), encoding="utf-8")
    assert data("points", copy) == data("points", "call_bell")


def test_netlist_prints_the_deck(run):
    code, out, _ = run("netlist", "call_bell", "--set", "push=pressed")
    assert code == 0
    assert out.startswith("* call_bell")
    assert out.rstrip().endswith(".end")


def test_draw_writes_an_svg_file(run, tmp_path):
    path = tmp_path / "bell.svg"
    code, out, _ = run("draw", "call_bell", "-o", path)
    assert (code, str(path) in out) == (0, True)
    assert "<svg" in path.read_text(encoding="utf-8")


def test_check_passes_the_library(run):
    for name in circuit_names():
        assert run("check", LIBRARY / f"{name}.toml")[0] == 0


def test_check_tells_the_problems_of_a_file_and_returns_2(run, tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text("title = 1\n", encoding="utf-8")
    code, out, complaint = run("check", bad)
    assert (code, out) == (2, "")
    assert "bad.toml" in complaint
    code, out, complaint = run("check", bad, "--json")
    assert (code, complaint) == (2, "")
    assert json.loads(out)["problems"]


@pytest.mark.parametrize(
    ("command", "sentence"),
    [
        ("", "no command; accepted: list"),
        ("shw", "did you mean 'show'?"),
        ("show", "required: CIRCUIT"),
        ("show side_step", "did you mean 'side_steps'?"),
        ("show nothing.toml", "nothing.toml"),
        ("show side_steps --what", "--what"),
        ("read side_steps", "one of the arguments --volts"),
        ("read side_steps --volts C1.2", "expected 2 arguments"),
        ("read side_steps --volts C1.22 BODY", "did you mean 'C1.2'?"),
        ("read side_steps --volts BODY BODY", "both are on BODY"),
        ("read side_steps --volts C1.2 BODY --unmate C1", "C1 is unmated"),
        ("read side_steps --volts C1.2 BODY --set rocker", "accepted: SWITCH=POSITION"),
        ("read side_steps --volts C1.2 BODY --set rocker=depoy", "did you mean 'deploy'?"),
        ("read side_steps --volts C1.2 BODY --set roker=off", "did you mean 'rocker'?"),
        ("read side_steps --volts C1.2 BODY --set key=on --set key=off", "accepted: one"),
        ("read side_steps --volts C1.2 BODY --unmate C7", "connector 'C7'"),
        ("read side_steps --volts C1.2 BODY --pull W1", "fuse 'W1'"),
        ("read side_steps --volts C1.2 BODY --moment later", "moment 'later'"),
        ("read side_steps --volts C1.2 BODY --fault F1", "PLACE:KIND"),
        ("read side_steps --volts C1.2 BODY --fault F1:blwn", "did you mean 'blown'?"),
        ("read side_steps --volts C1.2 BODY --fault F11:blown", "did you mean 'F1'?"),
        ("read side_steps --volts C1.2 BODY --fault F1:corroded:-1", "severity is '-1'"),
        ("read side_steps --volts C1.2 BODY --zeroed", "--zeroed"),
        ("read side_steps --ohms C1.2 BODY --load 21", "--load"),
        ("read side_steps --volts C1.2 BODY --load 30", "accepted: 5, 21, 55 W"),
        ("read side_steps --volts C1.2 BODY --load heavy", "--load: invalid float value"),
        ("read side_steps --volts C1.2 BODY --fault W4:open@hot", "condition 'hot'"),
        ("read side_steps --volts C1.2 BODY --clamp W1", "not allowed with"),
        ("read side_steps --clamp W99", "did you mean 'W9'?"),
        ("read side_steps --clamp W1 --jumper C1.2 C1.2", "two different"),
        ("draw side_steps -o no_such_folder/x.svg", "no_such_folder"),
        ("netlist side_steps --wiggle C2 --unmate C2", "C2"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(run, command, sentence):
    code, out, complaint = run(*command.split())
    assert (code, out) == (2, "")
    assert sentence in complaint
    assert complaint.count("\n") == 1


def test_help_says_which_moment_is_taken_when_none_is_named(capsys):
    with pytest.raises(SystemExit) as done:
        main(["read", "--help"])
    assert done.value.code == 0
    assert "Without --moment it is moving" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_json(capsys, command):
    with pytest.raises(SystemExit):
        main([command, "--help"])
    assert "--json" in capsys.readouterr().out


def test_as_a_process_it_ends_with_2_and_no_traceback():
    done = subprocess.run(
        [sys.executable, "-m", "circuits", "show", "side_step"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "did you mean 'side_steps'?" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_reader_that_goes_away_is_no_error():
    with subprocess.Popen(
        [sys.executable, "-m", "circuits", "show", "side_steps"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert isinstance(process.stdout, io.BufferedReader)
        process.stdout.close()
        assert process.stderr is not None
        assert process.stderr.read() == b""
    assert process.returncode == 0


def test_a_reading_does_not_load_what_only_drawings_need():
    script = (
        "import sys; from circuits.cli import main; "
        "main(['read', 'call_bell', '--volts', 'BAT.pos', 'BODY']); "
        "print([m for m in ('schemdraw', 'matplotlib', 'streamlit') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"

"""The command line: one answer and 0, or one sentence on standard error and 2."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from exercises import advising
from exercises.cli import COMMANDS, main
from exercises.events import Draft, chained, events_to_jsonl
from exercises.files import LIBRARY, library_entry
from tests.exercises.learners import ATTEMPT_ID, Learner, careful, lucky
from tests.exercises.planning.tables import folder
from tests.exercises.stores import PROJECT


@pytest.fixture(autouse=True)
def _tables(monkeypatch) -> None:
    monkeypatch.setattr(advising, "TABLES", folder())


@pytest.fixture(scope="module")
def jobs(tmp_path_factory):
    """Return exported events: of a careful learner, a lucky one, and one without an act."""
    folder = tmp_path_factory.mktemp("exported")
    entry = library_entry("faint_bell")
    for name, learner in (
        ("careful", careful(entry)),
        ("lucky", lucky(entry)),
        ("begun", Learner(entry)),
    ):
        text = events_to_jsonl(ATTEMPT_ID, learner.events)
        (folder / f"{name}.jsonl").write_text(text, encoding="utf-8")
    return folder


def _json(capsys, *arguments: str, code: int = 0) -> dict:
    assert main([*arguments, "--json"]) == code
    out, err = capsys.readouterr()
    assert (err, out.count("\n")) == ("", 1)
    return json.loads(out)


def _refused(capsys, *arguments: str) -> str:
    assert main(list(arguments)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "Traceback" not in err
    return err


def test_the_list_has_a_line_for_each_exercise_the_first_lessons_first(capsys) -> None:
    assert main(["list"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(list(LIBRARY.glob("*.toml")))
    assert [line[0] for line in lines] == sorted(line[0] for line in lines)
    assert any("faint_bell" in line and "A bell you can hardly hear" in line for line in lines)


def test_the_list_comes_without_solver_or_pydantic() -> None:
    program = (
        "import sys; from exercises.cli import main; main(['list']); "
        "print([m for m in ('numpy', 'scipy', 'pydantic', 'networkx') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=PROJECT, capture_output=True, text=True, check=False
    )
    assert (done.stderr, done.stdout.splitlines()[-1]) == ("", "[]")


def test_a_check_tells_minutes_level_and_what_each_step_leaves(capsys) -> None:
    told = _json(capsys, "check", str(LIBRARY / "faint_bell.toml"))
    assert told["solvable"] is True
    assert (told["level"], told["minutes"], told["problems"]) == (1, 5.8, [])
    left = [step["left"] for step in told["steps"]]
    assert told["before"] > left[0] > left[-1] == 1
    assert [(f["place"], f["kind"]) for f in told["group"]] == [("G1", "corroded")]


def test_a_check_in_words_names_the_fault_that_the_path_leaves(capsys) -> None:
    assert main(["check", str(LIBRARY / "faint_bell.toml")]) == 0
    out = capsys.readouterr().out
    assert out.startswith("faint_bell: solvable, level 1, 5.8 minutes\n")
    assert "\n  it leaves: Ground G1: corroded, high resistance\n" in out
    assert "\n  difficulty: " in out


def test_a_check_tells_expected_minutes_groups_and_difficulty(capsys) -> None:
    told = _json(capsys, "check", str(LIBRARY / "faint_bell.toml"))
    assert told["expected_minutes"] == told["worked_out"][-1]["minutes"]
    assert told["worked_out"][-1]["left"] == 1
    assert told["groups"] == [{"fault": "Ground G1: corroded, high resistance (7 Ω)", "others": []}]
    hard = told["difficulty"]
    assert (hard["group"], hard["visible"]) == (1, True)
    assert hard["points"] == pytest.approx(hard["minutes"], abs=0.06)


def test_the_next_test_is_one_that_can_be_taken_and_the_hints_lead_to_it(capsys, jobs) -> None:
    told = _json(capsys, "next", str(jobs / "begun.jsonl"))
    assert told["test"]["words"] == "With push Pressed: watch what it does"
    assert told["test"]["setting"]["positions"] == {"push": "pressed"}
    assert told["test"]["bits"] > 0
    assert len(told["hints"]) == 3
    assert told["hints"][2].startswith("75 faults still fit. With push Pressed")
    assert main(["next", str(jobs / "begun.jsonl")]) == 0
    assert "a sound vehicle: Bell relay: pulled in; Bell: rings" in capsys.readouterr().out


def test_after_a_proof_no_test_is_proposed(capsys, jobs) -> None:
    told = _json(capsys, "next", str(jobs / "careful.jsonl"))
    assert told["test"] is None
    assert told["hints"][0].startswith("Only one fault still fits")


def test_tables_are_built_ahead_once_and_found_again(capsys) -> None:
    told = _json(capsys, "tables", "call_bell", "--workers", "1")
    (row,) = told["tables"]
    assert (row["circuit"], Path(row["kept"]).parent) == ("call_bell", folder())
    before = Path(row["kept"]).stat().st_mtime_ns
    assert main(["tables", "call_bell", "--workers", "1"]) == 0
    assert capsys.readouterr().out.startswith("call_bell       ")
    assert Path(row["kept"]).stat().st_mtime_ns == before
    assert "did you mean 'call_bell'?" in _refused(capsys, "tables", "call_bel")


def test_a_folder_that_cannot_hold_tables_is_told_in_one_sentence(capsys, tmp_path) -> None:
    path = tmp_path / "file"
    path.write_text("in the way", encoding="utf-8")
    told = _refused(capsys, "tables", "call_bell", "--workers", "1", "--tables", str(path))
    assert str(path) in told


def test_candidates_come_with_weights_and_a_count_for_each_piece_of_evidence(capsys, jobs) -> None:
    told = _json(capsys, "candidates", str(jobs / "careful.jsonl"))
    assert [(one["place"], one["kind"], one["weight"]) for one in told["left"]] == [
        ("G1", "corroded", 1.0)
    ]
    assert told["counts"] == sorted(told["counts"], reverse=True)
    assert [one["left"] for one in told["learned"]] == told["counts"][1:]
    for one in told["learned"]:
        assert len({(*fault,) for each in one["ruled_out"] for fault in each["faults"]}) == (
            one["before"] - one["left"]
        )
    assert main(["candidates", str(jobs / "careful.jsonl")]) == 0
    lines = capsys.readouterr().out.splitlines()
    last = told["learned"][-1]
    assert lines[lines.index(f"  reading {last['reading']}:") + 1 :] == [
        f"    {sentence}" for sentence in last["told"]
    ]
    assert main(["candidates", str(jobs / "begun.jsonl")]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "faint_bell: 75 of 75 faults fit what was seen and read"
    assert len(lines) == 1 + 75


def test_a_check_tells_every_problem_of_a_file(capsys, tmp_path) -> None:
    text = (LIBRARY / "faint_bell.toml").read_text(encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(text.replace("level = 1", "level = 9").replace("slip = 5", "slip = 0"))
    told = _json(capsys, "check", str(path), code=2)
    assert len(told["problems"]) == 2
    assert main(["check", str(path)]) == 2
    assert capsys.readouterr().err.splitlines() == told["problems"]


def test_a_check_tells_that_a_path_does_not_solve(capsys, tmp_path) -> None:
    text = (LIBRARY / "faint_bell.toml").read_text(encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(text[: text.rindex("[[path]]")], encoding="utf-8")
    told = _json(capsys, "check", str(path), code=2)
    assert told["solvable"] is False
    assert told["problems"] == ["job: its path leaves faults elsewhere: W8"]


def test_a_careful_job_is_marked_found_and_proved(capsys, jobs) -> None:
    told = _json(capsys, "mark", str(jobs / "careful.jsonl"))
    assert told["evidenced"] is True
    assert {name: column["score"] for name, column in told["marks"].items()} == {
        "diagnosis": 1,
        "proof": 1,
        "economy": 1,
        "care": 1,
        "confirmation": 1,
    }
    assert told["left"] == ["Ground G1: corroded, high resistance"]
    assert all(column["rule"] and column["evidence"] for column in told["marks"].values())


def test_marks_in_words_hold_rule_evidence_verdict_and_what_was_left(capsys, jobs) -> None:
    assert main(["mark", str(jobs / "lucky.jsonl")]) == 0
    out = capsys.readouterr().out
    assert out.startswith("faint_bell: not proved\n")
    assert "rule: Faults still possible besides the one named" in out
    assert "other faults were still possible" in out
    assert "75 left at naming" in out
    assert "and 63 more" in out


def test_a_sum_is_told_only_to_those_who_ask_and_by_their_weights(capsys, jobs) -> None:
    lucky_job = str(jobs / "lucky.jsonl")
    assert "sum" not in _json(capsys, "mark", lucky_job)
    assert _json(capsys, "mark", lucky_job, "--sum")["sum"] < 0.3
    own = _json(capsys, "mark", lucky_job, "--weights", "care=2", "proof=2")
    assert (own["weights"]["care"], own["sum"]) == (0.5, pytest.approx(0.5))
    assert main(["mark", lucky_job, "--weights", "care=1"]) == 0
    assert "sum 100 of 100 (diagnosis 0, proof 0, economy 0, care 100" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("weights", "told"),
    [
        ("speed=1", "--weights: weight of 'speed': accepted: diagnosis, proof, economy"),
        ("care=-1", "--weights: weight of care: found -1.0; accepted: 0 or more"),
        ("care=0", "--weights: weights: they add up to 0; accepted: one above 0"),
        ("care", "found 'care'; accepted: a column and a number, such as proof=2"),
    ],
)
def test_weights_that_cannot_be_used_are_refused(capsys, jobs, weights, told) -> None:
    assert told in _refused(capsys, "mark", str(jobs / "lucky.jsonl"), "--weights", weights)


def test_a_job_without_an_act_is_marked_too(capsys, jobs) -> None:
    told = _json(capsys, "mark", str(jobs / "begun.jsonl"))
    assert (told["named"], told["evidenced"]) == ("", False)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "no command; accepted: list, check, mark, next, candidates, tables"),
        (["lst"], "command 'lst': there is none such; did you mean 'list'?"),
        (["check"], "the following arguments are required: FILE.toml"),
        (["mark", "a", "b"], "unrecognized arguments: b"),
        (["list", "--answer"], "unrecognized arguments: --answer"),
        (["mark", "no_such.jsonl"], "no_such.jsonl: No such file or directory"),
        (["mark", "."], "Is a directory"),
        (["check", "no_such.toml"], "no_such.toml: cannot be read, no such file or directory"),
        (["check", "."], ".: found no ending; accepted: .toml"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_what_cannot_be_done_is_told_in_one_sentence(capsys, arguments, told) -> None:
    assert told in _refused(capsys, *arguments)


def _cut(text: str) -> str:
    return "\n".join(text.splitlines()[:-2])


def _made_by_hand(kind: str, body: dict) -> str:
    """Return a file whose chain holds and whose second event lacks what its kind has."""
    first = Learner(library_entry("faint_bell")).events[0]
    second = chained(ATTEMPT_ID, first, Draft(kind, body), key="k", at=2)
    return events_to_jsonl(ATTEMPT_ID, [first, second])


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda _: "", "line 1: the file ends after 0 events"),
        (lambda _: "not json", "line 1: found 'not json'"),
        (_cut, "it was cut off"),
        (lambda text: text.replace('"pressed"', '"released"', 1), "the chain is broken"),
        (lambda text: "\n".join(text.splitlines()[1:]), "seq is 2, out of order"),
        (lambda _: events_to_jsonl("A", []), "the attempt begins with 'nothing'"),
        (lambda _: _made_by_hand("set", {}), "event 2, 'set': lacks 'setting'"),
        (lambda _: _made_by_hand("lead", {"lead": 3, "point": []}), ""),
        (lambda _: _made_by_hand("set", {"setting": 3}), "event 2, 'set': cannot be read"),
        (lambda _: _made_by_hand("named", {"place": "W99", "kind": "x", "because": ""}), ""),
    ],
    ids=["empty", "text", "cut", "changed", "headless", "none", "bare", "odd", "wrong", "unknown"],
)
def test_events_that_are_no_attempt_are_refused_in_one_sentence(
    capsys, jobs, tmp_path, make, told
) -> None:
    text = (jobs / "careful.jsonl").read_text(encoding="utf-8")
    path = tmp_path / "job.jsonl"
    path.write_text(make(text), encoding="utf-8")
    code = main(["mark", str(path)])
    out, err = capsys.readouterr()
    assert code == (2 if told else code)
    assert told in err
    assert (err.count("\n"), "Traceback" in err) == (1 if code else 0, False)
    assert bool(out) == (code == 0)


def test_events_that_are_no_text_are_refused(capsys, tmp_path) -> None:
    path = tmp_path / "job.jsonl"
    path.write_bytes(b"\xff\xfe")
    assert "job.jsonl: byte 1 is not UTF-8" in _refused(capsys, "mark", str(path))


def test_events_saved_by_an_editor_with_a_mark_at_the_front_are_read(
    capsys, jobs, tmp_path
) -> None:
    path = tmp_path / "job.jsonl"
    path.write_bytes(b"\xef\xbb\xbf" + (jobs / "begun.jsonl").read_bytes())
    assert main(["mark", str(path)]) == 0
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_tells_how_it_is_used(capsys, command) -> None:
    with pytest.raises(SystemExit) as left:
        main([command, "--help"])
    assert left.value.code == 0
    assert f"python -m exercises {command}" in capsys.readouterr().out


@pytest.mark.skipif(shutil.which("head") is None, reason="there is no head to close the pipe")
def test_a_reader_who_leaves_early_gets_no_traceback() -> None:
    done = subprocess.run(
        f"{sys.executable} -m exercises list --json | head -c 10",
        shell=True,
        cwd=PROJECT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.stdout, done.stderr) == ('{"exercise', "")

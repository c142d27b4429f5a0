"""Exercise files: every problem at once, each in one sentence: file, entry, found, accepted."""

import pytest

from circuits.files import library_circuit
from exercises.exercise import Exercise
from exercises.files import (
    LIBRARY,
    MAX_PROBLEMS,
    ExerciseFileError,
    check_exercise_file,
    exercise_from,
    library_exercise,
)

GOOD = """
title = "One step stays in"
circuit = "side_steps"
slip = 900
complaint = "Left step does not move."
level = 1
skill = "Following a feed"
faults = ["W4:open"]
lesson = "Prove a feed at its far end."
like_case = "A sister bus had the same."
[[path]]
because = "Watch it first."
set = { rocker = "deploy" }
[[path]]
because = "Then the far end."
set = { rocker = "deploy" }
volts = ["C1.2", "BODY"]
"""

FAR_END = 'volts = ["C1.2", "BODY"]'


@pytest.fixture
def check(tmp_path):
    """Return what is wrong with a text, as an exercise file called job.toml."""

    def problems(text: str | bytes) -> tuple[str, ...]:
        path = tmp_path / "job.toml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return check_exercise_file(path)

    return problems


def _data(**changed: object) -> dict:
    step = {"because": "Watch it.", "set": {"rocker": "deploy"}}
    data = {
        "title": "A job",
        "circuit": "side_steps",
        "slip": 900,
        "complaint": "Does not move.",
        "level": 1,
        "skill": "Following a feed",
        "faults": ["W4:open"],
        "lesson": "Prove a feed at its far end.",
        "like_case": "A sister bus had the same.",
        "path": [step],
    }
    return {key: value for key, value in (data | changed).items() if value is not None}


def _from(**changed: object) -> Exercise:
    return exercise_from(_data(**changed), library_circuit("side_steps"), name="job")


def test_a_good_file_has_no_problem(check) -> None:
    assert check(GOOD) == ()


CASES = [
    ('title = "One step stays in"\n', "", "job.toml: title: missing; accepted: text in quotes"),
    ("slip = 900", 'slip = "900"', "slip: found '900'; accepted: a whole number"),
    ("slip = 900", "slip = 0", "slip: found 0; accepted: 1 or more"),
    ("level = 1", "level = 5", "level: found 5; accepted: 1 or more, up to 4"),
    ("level = 1", "level = 1.5", "level: found 1.5; accepted: a whole number"),
    ('"side_steps"', '"side_step"', "circuit: found 'side_step'; did you mean 'side_steps'?"),
    ("W4:open", "W4:opne", "faults > no. 1: fault W4:opne: W4 cannot have the fault 'opne'"),
    ("W4:open", "W44:open", "side_steps has no place 'W44'; did you mean 'W4'?"),
    ("W4:open", "W4:chafed:-1", "faults > no. 1: fault W4:chafed:-1: severity is '-1'; accepted"),
    ("W4:open", "F1:blown:3", "blown takes no severity; found '3'"),
    ("W4:open", "nonsense", "accepted: PLACE:KIND or PLACE:KIND:SEVERITY"),
    ('["W4:open"]', '["W4:open", "W4:open"]', "no. 2: found 'W4:open'; accepted: each fault once"),
    ('["W4:open"]', '"W4:open"', "faults: found 'W4:open'; accepted: a list"),
    ("level = 1", 'level = 1\ninstruments = ["volt"]', "found 'volt'; did you mean 'volts'?"),
    ("level = 1", "level = 1\ninstruments = []", "instruments: found none; accepted: one or more"),
    ("level = 1", 'level = 1\ninstruments = ["volts", "volts"]', "accepted: each once"),
    ("level = 1", 'level = 1\nclosed_places = ["seats"]', "'seats'; did you mean 'seat'?"),
    ("level = 1", 'level = 1\nshows_expected = "yes"', "found 'yes'; accepted: true or false"),
    ("level = 1", "level = 1\nhints = 4", "hints: found 4; accepted: "),
    ("level = 1", "level = 1\nasks_suspects = 1", "asks_suspects: found 1; accepted: true"),
    ("level = 1", "level = 1\nseverity = 3", "severity: found 3; accepted: two numbers"),
    ("Left step does", "See <b>www.x</b>", "complaint: found 'See ?b>?x?/b> not move.'; accepted"),
    ("One step stays in", "a" * 81, "title: found 'aaaa"),
    ("One step stays in", "", "title: found ''; accepted: one line of 1 to 80 characters"),
    ("One step stays in", "one\\ntwo", "accepted: one line of 1 to 80 characters"),
    ("Watch it first.", "a" * 401, "path > no. 1 > because: found 'aaaa"),
    (FAR_END, 'volts = ["C1.2"]', "path > no. 2 > volts"),
    (FAR_END, 'volt = ["C1.2", "BODY"]', "unknown key; did you mean 'volts'?"),
    (FAR_END, 'volts = ["C1.2", "C1.2"]', "path > no. 2: leads: both are on C1.2; accepted"),
    (FAR_END, 'volts = ["C1.22", "BODY"]', "path > no. 2: test point 'C1.22': side_steps has none"),
    (FAR_END, 'volts = ["C1.2@unit", "BODY"]', "C1 is mated and hides its faces; accepted: C1.2"),
    (FAR_END, f'{FAR_END}\nunmate = ["C1"]', "C1 is unmated; accepted: C1.2@harness"),
    (FAR_END, f'{FAR_END}\nunmate = ["C9"]', "path > no. 2: connector 'C9': side_steps has none"),
    (FAR_END, f'{FAR_END}\npull = ["F9"]', "path > no. 2: fuse 'F9': side_steps has none"),
    (FAR_END, f'{FAR_END}\nmoment = "later"', "moment: found 'later'; accepted: 'just_operated'"),
    (FAR_END, f'{FAR_END}\nohms = ["C1.2", "BODY"]', "found volts and ohms; accepted: one meas"),
    (FAR_END, 'clamp = "W99"', "path > no. 2: clamp: side_steps has no wire 'W99'"),
    ('{ rocker = "deploy" }\nvolts', '{ rockr = "deploy" }\nvolts', "did you mean 'rocker'?"),
    ('{ rocker = "deploy" }\nvolts', '{ rocker = "depoly" }\nvolts', "did you mean 'deploy'?"),
    ('{ rocker = "deploy" }\nvolts', '"deploy"\nvolts', "set: found 'deploy'; accepted: a table"),
    (
        "level = 1",
        'level = 1\ninstruments = ["ohms"]',
        "path > no. 2: volts: the exercise does with",
    ),
    ("level = 1", 'level = 1\nclosed_places = ["seat"]', "C1.2: under the front seat, which is cl"),
]


@pytest.mark.parametrize(("old", "new", "told"), CASES, ids=[case[2][:60] for case in CASES])
def test_one_slip_gives_one_sentence_that_tells_place_found_and_accepted(
    check, old, new, told
) -> None:
    assert old in GOOD
    (sentence,) = check(GOOD.replace(old, new, 1))
    assert sentence.startswith("job.toml: ")
    assert told in sentence
    assert "\n" not in sentence


def test_all_problems_are_told_at_once(check) -> None:
    text = GOOD.replace("level = 1", "level = 9").replace("slip = 900", "slip = true")
    text = text.replace("Watch it first.", "").replace('"C1.2"', '"C1.77"')
    places = [sentence.split(": ")[1] for sentence in check(text)]
    assert places == ["slip", "level", "path > no. 1 > because", "path > no. 2"]


def test_a_misspelt_key_is_told_as_unknown_with_the_nearest_and_as_missing(check) -> None:
    missing, unknown = sorted(check(GOOD.replace("level = 1", "levle = 1")))
    assert missing == "job.toml: level: missing; accepted: a whole number 1 or more, up to 4"
    assert unknown == "job.toml: levle: found an unknown key; did you mean 'level'?"


def test_an_unknown_circuit_does_not_hide_other_problems(check) -> None:
    told = check(GOOD.replace('"side_steps"', '"no_such"').replace("level = 1", "level = 9"))
    assert [sentence.split(": ")[1] for sentence in told] == ["circuit", "level"]


def test_a_jumper_a_plug_or_a_fuse_in_a_closed_place_is_told() -> None:
    jumped = {
        "because": "x",
        "unmate": ["C2"],
        "jumpers": [["F1.in", "IL.1@harness"]],
        "pull": ["F2"],
    }
    with pytest.raises(ExerciseFileError) as caught:
        _from(path=[jumped], closed_places=["seat", "engine_bay", "left_sill"])
    told = " ".join(caught.value.problems)
    for name in ("C2:", "IL.1@harness:", "F1.in:", "F2:"):
        assert name in told


@pytest.mark.parametrize("path", [None, [], "x", [3], {}], ids=repr)
def test_a_path_has_at_least_one_step(path) -> None:
    with pytest.raises(ExerciseFileError, match=r"job\.toml: path"):
        _from(path=path)


def test_no_more_than_forty_problems_are_told() -> None:
    with pytest.raises(ExerciseFileError) as caught:
        _from(faults=[f"W4:kind{number}" for number in range(60)])
    assert len(caught.value.problems) == MAX_PROBLEMS + 1
    assert "more than 40 problems" in caught.value.problems[-1]


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"title = \xff", "job.toml: line 1: found a byte that is not UTF-8"),
        (b"title = ", "job.toml: "),
        (b"a = " + b"[" * 40, "nested"),
        (b"#" * 300_000, "job.toml: found 300,000 bytes; accepted: up to"),
        (b"x = 1979-05-27", "x: found 1979-05-27; accepted: text"),
        (b"x = nan", "x: found nan; accepted: a finite number"),
    ],
    ids=["no UTF-8", "no TOML", "deep", "large", "a date", "no number"],
)
def test_what_is_no_exercise_at_all_is_refused_in_a_sentence(check, raw, told) -> None:
    assert any(told in sentence for sentence in check(raw))


def test_a_missing_file_and_a_wrong_ending_are_told(tmp_path) -> None:
    (missing,) = check_exercise_file(tmp_path / "job.toml")
    assert missing.startswith("job.toml: cannot be read, no such file")
    (ending,) = check_exercise_file(tmp_path / "job.json")
    assert ending == "job.json: found .json; accepted: .toml"


def test_an_exercise_that_the_library_lacks_names_the_nearest() -> None:
    with pytest.raises(ExerciseFileError, match="did you mean 'faint_bell'"):
        library_exercise("fant_bell")


def test_a_name_cannot_lead_out_of_the_library() -> None:
    with pytest.raises(ExerciseFileError, match="not in the library"):
        library_exercise(f"../library/{next(LIBRARY.glob('*.toml')).stem}")


def test_line_breaks_of_the_file_are_no_part_of_its_texts() -> None:
    told = _from(complaint="Left step\n  stays in.\n", lesson="One.\nTwo.")
    assert (told.complaint, told.lesson) == ("Left step stays in.", "One. Two.")

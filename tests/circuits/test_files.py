"""Circuit files: every problem told at once, each in a sentence, and nothing else raised."""

import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from random import Random
from time import process_time
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from circuits.files import (
    LIBRARY,
    check_circuit,
    check_circuit_file,
    circuit_from,
    circuit_from_text,
    circuit_names,
    library_circuit,
    load_circuit,
)
from circuits.model import CircuitError
from circuits.parts.kinds import KINDS
from circuits.points import test_points as points_of

BELL = (LIBRARY / "call_bell.toml").read_text(encoding="utf-8")
STEPS = (LIBRARY / "side_steps.toml").read_text(encoding="utf-8")

Data = dict[str, Any]


def edited(text: str, *changes: tuple[str, str]) -> str:
    """Return a text with each change made once, at its first place."""
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def problems(text: str, name: str = "mine") -> tuple[str, ...]:
    """Return the problems of a text; none for a good one."""
    try:
        circuit_from_text(text, name=name)
    except CircuitError as error:
        return error.problems
    return ()


@pytest.mark.parametrize("name", circuit_names())
def test_every_circuit_of_the_library_is_good(name: str) -> None:
    assert check_circuit_file(LIBRARY / f"{name}.toml") == ()
    assert check_circuit(library_circuit(name)) == ()
    assert library_circuit(name).name == name


def test_an_unknown_circuit_suggests_the_nearest() -> None:
    with pytest.raises(CircuitError) as raised:
        library_circuit("call_bel")
    assert raised.value.problems == (
        "circuit 'call_bel': not in the library; did you mean 'call_bell'?",
    )


TOML_TEXTS = [
    pytest.param("title = Call bell", "line 1, column 9: invalid value; accepted: TOML", id="bare"),
    pytest.param('\n\nx = "a\n', "line 3, column 7: illegal end of line; ", id="open text"),
    pytest.param(
        "x = 1\nx = 2\n", "line 2, column 6: cannot overwrite a value; accepted: TOML", id="twice"
    ),
    pytest.param("[[parts", "end of file: expected ']]' at the end of an array", id="end"),
    pytest.param(
        "\nx = " + "[" * 9,
        "line 2: found brackets nested more than 8 deep; accepted: up to 8",
        id="deep lists",
    ),
    pytest.param(
        "x = " + "{a = " * 40_000,
        "line 1: found brackets nested more than 8 deep; accepted: up to 8",
        id="deep tables",
    ),
    pytest.param(
        "\n" + "a." * 100_000 + "a = 1",
        "line 2: found a dotted name of more than 8 words; accepted: up to 8",
        id="dotted name",
    ),
    pytest.param(
        "[" + ' "a" . ' * 9 + "b]",
        "line 1",
        id="dotted quoted name",
    ),
    pytest.param(
        "x = 1" + "0" * 5000,
        "exceeds the limit (4300 digits) for integer string conversion; accepted: TOML",
        id="digits",
    ),
    pytest.param(
        "x" * 50_000_000,
        "found 50,000,000 bytes; accepted: up to 256,000",
        id="fifty megabytes",
    ),
    pytest.param(
        "#" + "\u00e9" * 200_000, "found 400,001 bytes; accepted: up to 256,000", id="two-byte text"
    ),
    pytest.param("x = '\ud800'", "line 1: found a byte that is not UTF-8", id="half a character"),
]


@pytest.mark.parametrize(("text", "told"), TOML_TEXTS)
def test_text_that_is_no_toml_is_refused_with_its_place(text: str, told: str) -> None:
    (sentence,) = problems(text)
    assert sentence.startswith(f"mine.toml: {told}")


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(BELL + "\n# [[[[[[[[[[[[ a.b.c.d.e.f.g.h.i.j.k", id="comment"),
        pytest.param("\ufeff" + BELL, id="byte order mark"),
        pytest.param(BELL.replace("\n", "\r\n"), id="windows line ends"),
    ],
)
def test_harmless_habits_of_editors_are_accepted(text: str) -> None:
    assert problems(text) == ()


def test_brackets_in_a_quoted_text_do_not_count_as_depth() -> None:
    (sentence,) = problems(edited(BELL, ('"Call bell"', f'"{"[" * 20}"')))
    assert "title: found" in sentence


def test_a_file_above_the_limit_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "big.toml"
    with path.open("wb") as file:
        file.truncate(50_000_000)

    def never(*_: object, **__: object) -> None:
        raise AssertionError("was opened")

    monkeypatch.setattr(Path, "open", never)

    assert check_circuit_file(path) == (
        "big.toml: found 50,000,000 bytes; accepted: up to 256,000",
    )


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'title = "x"\nsummary = "\xe9"\n')
    (tmp_path / "folder.toml").mkdir()
    other = tmp_path / "bell.txt"
    other.write_text(BELL, encoding="utf-8")

    assert check_circuit_file(latin) == (
        "latin.toml: line 2: found a byte that is not UTF-8; accepted: text saved as UTF-8",
    )
    for missing in ("none.toml", "folder.toml", "nul\0.toml"):
        (sentence,) = check_circuit_file(tmp_path / missing)
        assert "found no such file; accepted: a circuit file" in sentence
    assert check_circuit_file(other) == ("bell.txt: found .txt; accepted: .toml",)


W1_AREA = "wires > no. 1 (W1) > area_mm2: "
SIZES = [
    ("-1.5", "found -1.5; accepted: above 0"),
    ("0", "found 0.0; accepted: above 0"),
    ("0.001", "found 0.001; accepted: 0.05 to 300"),
    ('"2.5"', "found '2.5'; accepted: a number"),
    ("true", "found true; accepted: a number"),
    ("[2.5]", "found a list of 1; accepted: a number"),
    ("{ a = 1 }", "found a table; accepted: a number"),
    ("nan", "found nan; accepted: a finite number"),
    ("-inf", "found -inf; accepted: a finite number"),
    ("1e400", "found inf; accepted: a finite number"),
    ("1e12", "found 1000000000000.0; accepted: 0, or a size from 1e-9 to 1e9"),
    ("1" + "0" * 400, "found a very large number; accepted: 0, or a size from 1e-9 to 1e9"),
    ("07:32:00", "found 07:32:00; accepted: text, a number, true, false, a list or a table"),
]


@pytest.mark.parametrize(("value", "told"), SIZES, ids=[value[:12] for value, _ in SIZES])
def test_a_wrong_area_is_told_with_place_found_and_accepted(value: str, told: str) -> None:
    text = edited(BELL, ("area_mm2 = 2.5", f"area_mm2 = {value}"))
    assert problems(text) == (f"mine.toml: {W1_AREA}{told}",)


KEYS = [
    pytest.param(
        [("area_mm2 = 2.5", "area_mm = 2.5")],
        [
            W1_AREA + "missing; accepted: a number",
            "wires > no. 1 (W1) > area_mm: found an unknown key; did you mean 'area_mm2'?",
        ],
        id="misspelt key",
    ),
    pytest.param(
        [("[views]", "[view]")],
        ["view: found an unknown key; did you mean 'views'?"],
        id="misspelt table",
    ),
    pytest.param(
        [("[views]", "[views]\ncolour = 'RD'")],
        ["views > colour: found an unknown key; accepted: where, flow, behaviour, testing"],
        id="unknown key, none near",
    ),
    pytest.param(
        [('live_wire = "F1.out"\n', "")],
        ["live_wire: missing; accepted: text in quotes"],
        id="missing at the top",
    ),
    pytest.param(
        [('name = "F1"', 'nmae = "F1"')],
        [
            "parts > no. 2 > name: missing; accepted: text in quotes",
            "parts > no. 2 > nmae: found an unknown key; did you mean 'name'?",
        ],
        id="a part without a name: what names it is not judged",
    ),
    pytest.param(
        [('kind = "fuse"', 'kind = "fues"')],
        ["parts > no. 2 (F1) > kind: found 'fues'; did you mean 'fuse'?"],
        id="unknown kind",
    ),
    pytest.param(
        [("rating_a = 5", "rating_a = -5")],
        ["parts > no. 2 (F1) > rating_a: found -5; accepted: above 0"],
        id="limit of a kind",
    ),
    pytest.param(
        [("volt = 12.65", 'volt = "12"')],
        ["parts > no. 1 (BAT) > volt: found '12'; accepted: a number above 0, up to 60"],
        id="type and limits of a kind",
    ),
    pytest.param(
        [("coil_ohm = 85", "coil_ohm = 85\nbreak_contact = 1")],
        ["parts > no. 4 (relay) > break_contact: found 1; accepted: true or false"],
        id="flag",
    ),
    pytest.param(
        [("rating_a = 5", "rating_a = 5\nwatt = 5")],
        [
            "parts > no. 2 (F1) > watt: found an unknown key; "
            "accepted: rating_a, name, title, place, kind, short"
        ],
        id="key of another kind",
    ),
    pytest.param(
        [('rests = "released"', 'rests = "relased"')],
        ["parts > no. 6 (push): rests names position 'relased'; accepted: released, pressed"],
        id="switch rests in no position",
    ),
    pytest.param(
        [('closed = ["pressed"]', 'closed = ["presed"]')],
        [
            "parts > no. 6 (push): contact 'contact' names position 'presed'; "
            "accepted: released, pressed"
        ],
        id="contact closed in no position",
    ),
    pytest.param(
        [('b = "b", closed = ["pressed"]', 'b = "b"')],
        ["parts > no. 6 (push) > contacts > no. 1 (contact) > closed: missing; accepted: a list"],
        id="missing below a part",
    ),
    pytest.param(
        [('[["released", "pressed"],', '[["released"],')],
        ["parts > no. 6 (push) > comes_from > no. 1 > no. 2: missing; accepted: text in quotes"],
        id="half a pair",
    ),
    pytest.param(
        [('part = "bell"', 'faces = ["a", "b", "c"]\npart = "bell"')],
        ["connectors > no. 1 (C1) > faces: found a list of 3; accepted: a list of 2"],
        id="three faces",
    ),
    pytest.param(
        [("[[bundles]]", '[[hints]]\npart = "bell"\nrank = 1.5\n[[bundles]]')],
        ["hints > no. 1 > rank: found 1.5; accepted: a whole number"],
        id="broken rank",
    ),
    pytest.param(
        [('title = "Call bell"', 'title = "Call\\nbell"')],
        ["title: found 'Call bell'; accepted: one line of 1 to 80 characters"],
        id="title of two lines",
    ),
    pytest.param(
        [('title = "Call bell"', f'title = "{"x" * 5000}"')],
        ["title: found 5000 characters; accepted: up to 4000"],
        id="endless title",
    ),
]


@pytest.mark.parametrize(("changes", "told"), KEYS)
def test_wrong_keys_and_types_are_told(changes: list[tuple[str, str]], told: list[str]) -> None:
    assert problems(edited(BELL, *changes)) == tuple(f"mine.toml: {what}" for what in told)


def test_the_kinds_are_listed_where_a_kind_is_missing() -> None:
    (sentence,) = problems(edited(BELL, ('kind = "fuse"\n', "")))
    where, _, kinds = sentence.partition("; accepted: ")
    assert where == "mine.toml: parts > no. 2 (F1) > kind: missing"
    assert kinds.split(", ") == sorted(KINDS)


def test_several_problems_are_all_told_at_once() -> None:
    text = edited(
        STEPS,
        ('title = "Powered side steps"', "title = 5"),
        ('place = "engine_bay"', 'place = "engine_bey"'),
        ("rating_a = 20", "rating_a = -20"),
        ('kind = "lamp"', 'kind = "lmap"'),
        ('part = "rocker"', 'part = "rockr"'),
        ("area_mm2 = 2.5", "area_mm2 = nan"),
        ('colour = "OG"', 'colour = "ORANGE"'),
        ('end = "G3"', 'end = "G4"'),
        ('wires = ["W4", "W5"]', 'wires = ["W4", "W99"]'),
    )
    told = [
        "wires > no. 3 (W3) > area_mm2: found nan",
        "title: found 5",
        "parts > no. 2 (F1) > rating_a: found -20",
        "parts > no. 11 (left_lamp) > kind: found 'lmap'",
        "parts > no. 1 (BAT) > place: found 'engine_bey'",
        "connectors > no. 3 (C3) > part: found 'rockr'",
        "wires > no. 23 (W23) > end: found 'G4'",
        "wires > no. 8 (W8) > colour: found 'ORANGE'",
        "bundles > no. 1 > wires > no. 2: found 'W99'",
    ]

    found = problems(text)

    assert len(found) == len(told)
    for sentence, what in zip(found, told, strict=True):
        assert sentence.startswith(f"mine.toml: {what}; ")


def test_a_flood_of_problems_is_cut_short() -> None:
    found = problems("[[parts]]\n" * 400)
    assert len(found) == 41
    assert found[-1] == "mine.toml: more than 40 problems; accepted: none"


@pytest.mark.parametrize("table", ["parts", "wires", "hints"])
def test_tables_of_the_wrong_shape_are_told(table: str) -> None:
    data = tomllib.loads(BELL)
    for wrong, told in [
        (5, f"{table}: found 5; accepted: a list of tables"),
        ([5], f"{table} > no. 1: found 5; accepted: a table"),
        ([{}] * 401, f"{table}: found a list of 401; accepted: up to 400"),
    ]:
        with pytest.raises(CircuitError) as raised:
            circuit_from(data | {table: wrong}, name="mine")
        of_table = [what for what in raised.value.problems if f": {table}" in what]
        assert of_table == [f"mine.toml: {told}"]


def test_data_nested_without_end_are_refused() -> None:
    data: Data = tomllib.loads(BELL)
    endless: list[Any] = []
    endless.append(endless)
    with pytest.raises(CircuitError) as raised:
        circuit_from(data | {"bundles": endless}, name="mine")
    assert raised.value.problems[0].endswith(
        " > no. 1: found entries nested more than 8 deep; accepted: up to 8"
    )


def test_an_empty_file_names_all_that_a_circuit_needs() -> None:
    assert [sentence.split(": ")[1:] for sentence in problems("")] == [
        ["title", "missing; accepted", "text in quotes"],
        ["summary", "missing; accepted", "text in quotes"],
        ["live_wire", "missing; accepted", "text in quotes"],
        ["places", "missing; accepted", "at least one entry"],
        ["parts", "missing; accepted", "at least one entry"],
        ["wires", "missing; accepted", "at least one entry"],
    ]


PAYLOADS = [
    "![x](https://a.example/p.png)",
    "[x](/page)",
    "<img src=x>",
    "www.a.example",
    "me@a.example",
    "https://a.example",
    "$x$",
    "`x`",
    "a\\b",
    "a\u202eb",
    "a\x07b",
]


@pytest.mark.parametrize("payload", PAYLOADS)
@pytest.mark.parametrize("key", ["title", "summary", "live_wire"])
def test_text_that_a_screen_could_render_is_refused_and_not_repeated(
    payload: str, key: str
) -> None:
    data = tomllib.loads(BELL) | {key: payload}
    with pytest.raises(CircuitError) as raised:
        circuit_from(data, name="mine")
    (sentence,) = raised.value.problems
    assert "accepted: plain text" in sentence
    for active in ("](", "<", "://", "www.", "@a.", "$", "`", "\u202e", "\x07"):
        assert active not in sentence


@pytest.mark.parametrize("name", ["", "a.b", "<b>", "[a](b)", "x" * 81, "a/b"])
def test_a_name_that_a_circuit_cannot_have_is_told(name: str) -> None:
    (sentence,) = problems(BELL, name=name)
    assert "name of the circuit: found" in sentence
    assert "accepted: letters, digits, spaces, ' ( ) - _, up to 80" in sentence


SAME = [
    pytest.param(lambda text: text + "\n# a comment\n", id="comment"),
    pytest.param(lambda text: edited(text, ("rating_a = 5", "rating_a = 5.0")), id="5 and 5.0"),
    pytest.param(lambda text: edited(text, ("ohm = 12", "ohm=1.2e1")), id="1.2e1"),
    pytest.param(lambda text: edited(text, ('title = "Bell"', "title = 'Bell'")), id="quotes"),
    pytest.param(lambda text: edited(text, ("summary = ", "\n\nsummary =   ")), id="blanks"),
    pytest.param(lambda text: edited(text, ('where = """', 'where = """\n\n')), id="text's rim"),
    pytest.param(
        lambda text: edited(text, ('name = "S1"\nkind = "splice"', 'kind = "splice"\nname = "S1"')),
        id="order of keys",
    ),
    pytest.param(
        lambda text: 'bundles = [{ wires = ["W5", "W7"] }]\n' + text[: text.index("[[bundles]]")],
        id="inline table",
    ),
]


@pytest.mark.parametrize("change", SAME)
def test_formatting_leaves_the_digest_as_it_was(change: Callable[[str], str]) -> None:
    one = circuit_from_text(BELL, name="bell")
    other = circuit_from_text(change(BELL), name="bell")
    assert one == other
    assert hash(one) == hash(other)
    assert len({one, other}) == 1


def _without(data: Data, *keys: str) -> Data:
    return {key: value for key, value in data.items() if key not in keys}


OTHER: list[Any] = [
    pytest.param(lambda d: d | {"title": "Bell"}, id="title"),
    pytest.param(lambda d: d | {"live_wire": "BAT.pos"}, id="live wire"),
    pytest.param(lambda d: _without(d, "views"), id="views"),
    pytest.param(lambda d: _without(d, "bundles"), id="bundles"),
    pytest.param(lambda d: d | {"wires": d["wires"][::-1]}, id="order of wires"),
    pytest.param(lambda d: d | {"hints": [{"part": "bell", "rank": 3}]}, id="hint"),
    pytest.param(
        lambda d: d | {"wires": [d["wires"][0] | {"length_m": 0.6001}, *d["wires"][1:]]},
        id="length of a wire",
    ),
    pytest.param(
        lambda d: d | {"places": [d["places"][0] | {"minutes": 0.6}, *d["places"][1:]]},
        id="minutes to a place",
    ),
]


@pytest.mark.parametrize("change", OTHER)
def test_any_change_of_content_changes_the_digest(change: Callable[[Data], Data]) -> None:
    data = tomllib.loads(BELL)
    one, other = circuit_from(data, name="bell"), circuit_from(change(data), name="bell")
    assert one != other
    assert one.digest != other.digest


def test_the_name_of_a_circuit_is_part_of_its_digest() -> None:
    data = tomllib.loads(BELL)
    assert circuit_from(data, name="one") != circuit_from(data, name="two")


def test_texts_are_stripped_and_numbers_are_floats() -> None:
    circuit = circuit_from_text(BELL, name="bell")
    assert circuit.views.where.startswith("The battery")
    assert circuit.views.where.endswith(".")
    assert isinstance(circuit.wire_by_name["W9"].area_mm2, float)


def test_a_file_and_an_upload_of_its_text_are_the_same_circuit() -> None:
    assert load_circuit(LIBRARY / "call_bell.toml") == circuit_from_text(BELL, name="call_bell")


# Mutations: whatever befalls a file, a circuit comes out of it or a CircuitError.

WORDS: list[Any] = [
    *("", "F1", "C1.1", "BAT.pos", "BODY", "G1", "unit", "IL.1@motor", "RD", "GNYE", "x y", "[x]"),
    *(0, -1, 1, 2.5, 1e300, 10**400, float("nan"), float("inf"), True, None),
    *([], {}, ["a"], [["a", "b"]], [{}], {"name": "x"}, b"raw", {1: 2}),
]


def _spots(data: Any) -> list[tuple[Any, Any]]:
    """Return every container of the data with each of its keys or indices."""
    keys = list(data) if isinstance(data, dict) else range(len(data))
    found = [(data, key) for key in keys]
    for key in keys:
        if isinstance(data[key], dict | list):
            found += _spots(data[key])
    return found


def _mutated(data: Data, rng: Random) -> Data:
    for _ in range(rng.randint(1, 4)):
        holder, key = rng.choice(_spots(data))
        other_holder, other_key = rng.choice(_spots(data))
        match rng.randint(0, 4):
            case 0:
                del holder[key]
            case 1:
                holder[key] = rng.choice(WORDS)
            case 2 if isinstance(holder, list):
                holder.append(holder[key])
            case 3 if not isinstance(other_holder[other_key], dict | list):
                holder[key] = other_holder[other_key]
            case _ if isinstance(holder, dict):
                holder[rng.choice(["name", "nmae", "part", "pins", "x"])] = holder[key]
    return data


TOLD = re.compile(r"mine\.toml: [^\n]+")


def _accepted(build: Callable[[], Any]) -> bool:
    """Say whether a circuit came out; if so the rest of the program can use it."""
    told: tuple[str, ...] = ()
    try:
        circuit = build()
    except CircuitError as error:
        told = error.problems or ("",)
    assert all(map(TOLD.fullmatch, told))
    if told:
        return False
    assert points_of(circuit)
    assert check_circuit(circuit) == ()
    return True


FUZZ = settings(
    max_examples=150, deadline=2000, suppress_health_check=[HealthCheck.too_slow], database=None
)


@FUZZ
@given(st.integers(0, 2**32), st.sampled_from([BELL, STEPS]))
def test_changed_data_give_a_circuit_or_a_circuit_error(seed: int, text: str) -> None:
    data = _mutated(tomllib.loads(text), Random(seed))
    _accepted(lambda: circuit_from(data, name="mine"))


@FUZZ
@given(
    st.sampled_from([BELL, STEPS]),
    st.integers(0, 7000),
    st.integers(0, 60),
    st.one_of(st.text(max_size=20), st.sampled_from(['"', '"""', "[", "{", "a.b", "= nan", "#"])),
)
def test_changed_text_gives_a_circuit_or_a_circuit_error(
    text: str, start: int, length: int, insert: str
) -> None:
    changed = text[:start] + insert + text[start + length :]
    _accepted(lambda: circuit_from_text(changed, name="mine"))


@FUZZ
@given(st.text(max_size=400))
def test_any_text_gives_a_circuit_error(text: str) -> None:
    assert not _accepted(lambda: circuit_from_text(text, name="mine"))


@FUZZ
@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.text(max_size=8) | st.sampled_from(["name", "kind"]), inner)
        ),
        max_leaves=12,
    ),
    st.sampled_from(["places", "parts", "connectors", "wires", "bundles", "hints", "views"]),
)
def test_any_table_gives_a_circuit_or_a_circuit_error(value: Any, table: str) -> None:
    data = tomllib.loads(BELL) | {table: value}
    _accepted(lambda: circuit_from(data, name="mine"))


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("\n".join(f"a{i} = 1" for i in range(25_000)), id="keys"),
        pytest.param("\n".join(f"[a{i}]" for i in range(25_000)), id="tables"),
        pytest.param('x = """' + '\\"' * 120_000, id="escapes"),
        pytest.param("'" * 250_000, id="quotes"),
        pytest.param("a" * 250_000, id="one word"),
        pytest.param("wires = [" + "nan," * 60_000 + "]", id="numbers"),
        pytest.param(
            ("[[parts]]\n" + "".join(f"a{i} = 1\n" for i in range(60))) * 400, id="keys of entries"
        ),
    ],
)
def test_the_worst_texts_are_answered_within_two_seconds(text: str) -> None:
    start = process_time()
    assert problems(text)
    assert process_time() - start < 2

"""Events: their canonical text, their chain and their file."""

import json
import math
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from exercises.events import (
    BadEvents,
    Draft,
    Event,
    NotJson,
    canonical,
    chained,
    check_chain,
    events_from_jsonl,
    events_to_jsonl,
)

ATTEMPT = "Aq1"
ODD_TEXTS = [
    pytest.param("🚐 Türöffner ±0.5 Ω", id="emoji and signs"),
    pytest.param("before\x00after", id="NUL"),
    pytest.param("\ud800 and \udfff", id="lone surrogates"),
    pytest.param("\ud83d\ude90", id="surrogate pair"),
    pytest.param("one\u2028two\u0085three\r\nfour", id="line separators"),
    pytest.param("<b>'; DROP TABLE mark;--\\u0041", id="quotes and backslash"),
    pytest.param("x" * 100_000, id="100 kB"),
]
JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63) + 1, 2**63 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=())),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


def attempt_of(*bodies: dict[str, object]) -> tuple[Event, ...]:
    """An attempt with one reading a body, a second apart."""
    events: list[Event] = []
    for number, body in enumerate(bodies, start=1):
        last = events[-1] if events else None
        draft = Draft("reading", body)
        events.append(chained(ATTEMPT, last, draft, key=f"press {number}", at=1000 * number))
    return tuple(events)


FOUR = attempt_of({"shown": "12.60"}, {"shown": "OL"}, {"shown": "0.21"}, {"shown": "12.58"})


def test_canonical_text_sorts_keys_and_leaves_no_space() -> None:
    assert canonical({"b": [1, 2.5, None], "a": "Ω"}) == '{"a":"Ω","b":[1,2.5,null]}'


@example("\ud83d\ude90")
@given(JSON)
def test_canonical_text_read_back_gives_the_same_text(value: object) -> None:
    text = canonical(value)

    assert canonical(json.loads(text)) == text
    text.encode()  # what UTF-8 refuses, a database refuses


@pytest.mark.parametrize(
    ("value", "place", "found"),
    [
        pytest.param({"volt": math.nan}, "volt", "nan", id="NaN"),
        pytest.param({"a": [1.0, -math.inf]}, "a > no. 2", "-inf", id="infinity"),
        pytest.param({"a": {"b": {1, 2}}}, "a > b", "type set", id="set"),
        pytest.param({3: "x"}, "the value", "the key 3", id="number as key"),
        pytest.param(2**70, "the value", str(2**70), id="beyond 64 bits"),
        pytest.param(b"12", "the value", "type bytes", id="bytes"),
    ],
)
def test_value_that_json_lacks_is_refused_with_its_place(
    value: object, place: str, found: str
) -> None:
    with pytest.raises(NotJson) as refused:
        canonical(value)

    assert str(refused.value).startswith(f"{place}: found ")
    assert found in str(refused.value)
    assert "accepted: text, finite numbers" in str(refused.value)


def test_list_within_itself_is_refused() -> None:
    endless: list[object] = []
    endless.append(endless)

    with pytest.raises(NotJson, match=r"nested too deep; accepted: 50 levels"):
        canonical(endless)


def test_body_without_named_fields_is_refused() -> None:
    with pytest.raises(NotJson, match=r"body: found a value of type list; accepted: an object"):
        chained(ATTEMPT, None, Draft("reading", ["12.6"]), key="k", at=0)  # type: ignore[arg-type]


def test_digest_is_sha256_of_previous_attempt_seq_kind_body_and_time() -> None:
    """Expected by the command line: ``printf '%s' '["","Aq1",1,…]' | sha256sum``."""
    first = chained(ATTEMPT, None, Draft("begun", {"n": 1}), key="any", at=7)

    assert first.digest == "9abfd4d543c11a355374cc993520128cc453708cd1598ccdfc12f801b80e629a"


def test_event_hashes_by_what_is_kept_of_it() -> None:
    assert hash(FOUR[0]) == hash(replace(FOUR[0]))
    assert len({*FOUR, *attempt_of({"shown": "12.60"})}) == 4


def test_whole_chain_holds() -> None:
    check_chain(ATTEMPT, FOUR)
    check_chain(ATTEMPT, ())


@pytest.mark.parametrize(
    ("tampered", "number"),
    [
        pytest.param((replace(FOUR[0], body={"shown": "12.61"}), *FOUR[1:]), 1, id="body"),
        pytest.param((FOUR[0], replace(FOUR[1], at=1), *FOUR[2:]), 2, id="time"),
        pytest.param((*FOUR[:3], replace(FOUR[3], kind="repair")), 4, id="kind"),
        pytest.param((FOUR[0], *FOUR[2:]), 3, id="one dropped"),
        pytest.param((FOUR[1], FOUR[0], *FOUR[2:]), 2, id="two swapped"),
        pytest.param(FOUR[1:], 2, id="first dropped"),
    ],
)
def test_tampered_event_breaks_the_chain(tampered: tuple[Event, ...], number: int) -> None:
    with pytest.raises(BadEvents, match=rf"^event {number}: "):
        check_chain(ATTEMPT, tampered)


def test_events_moved_to_another_attempt_break_the_chain() -> None:
    with pytest.raises(BadEvents, match=r"^event 1: the chain is broken"):
        check_chain("Aq2", FOUR)


def test_file_read_back_gives_the_same_events() -> None:
    assert events_from_jsonl(events_to_jsonl(ATTEMPT, FOUR)) == FOUR
    assert events_from_jsonl(events_to_jsonl(ATTEMPT, ())) == ()


@pytest.mark.parametrize("text", ODD_TEXTS)
def test_file_keeps_odd_text(text: str) -> None:
    events = attempt_of({"note": text})

    file = events_to_jsonl(ATTEMPT, events).encode().decode()

    assert file.count("\n") == 2
    assert events_from_jsonl(file) == events


def test_file_saved_by_an_editor_with_other_line_ends_is_read() -> None:
    file = "\ufeff" + events_to_jsonl(ATTEMPT, FOUR).replace("\n", "\r\n") + "\r\n"

    assert events_from_jsonl(file) == FOUR


LINES = events_to_jsonl(ATTEMPT, FOUR).splitlines()


def with_line(number: int, **changes: object) -> str:
    """The file of FOUR with fields of one line changed; None takes a field away."""
    row = {**json.loads(LINES[number - 1]), **changes}
    line = json.dumps({name: value for name, value in row.items() if value is not None})
    return "\n".join([*LINES[: number - 1], line, *LINES[number:]])


@pytest.mark.parametrize(
    ("file", "sentence"),
    [
        pytest.param("", r"line 1: the file ends after 0 events without its closing", id="empty"),
        pytest.param(
            "\n".join(LINES[:3]),
            r"line 4: the file ends after 3 events without its closing line, so it was cut off",
            id="cut between lines",
        ),
        pytest.param(
            "\n".join(LINES)[: len("\n".join(LINES[:3])) - 30],
            r"line 3: found '\{.*' \(the file may be cut off here\); accepted: one event as JSON",
            id="cut within a line",
        ),
        pytest.param(
            "\n".join([LINES[0], *LINES[2:]]),
            r"line 2: seq is 3, out of order; accepted: 2",
            id="line dropped",
        ),
        pytest.param(
            "\n".join([LINES[1], LINES[0], *LINES[2:]]),
            r"line 1: seq is 2, out of order; accepted: 1",
            id="lines swapped",
        ),
        pytest.param(
            "\n".join([*LINES[:3], LINES[4]]),
            r"line 4: the file holds 3 events; accepted: the 4",
            id="last event dropped",
        ),
        pytest.param(
            with_line(2, body={"shown": "0.00"}),
            r"line 2: the chain is broken: digest is '.*' and .* give '.*'; accepted: events unch",
            id="reading changed",
        ),
        pytest.param(
            with_line(1, body={"shown": math.nan}),
            r"line 1: found .*; accepted: one event as JSON",
            id="NaN",
        ),
        pytest.param(
            with_line(3, at="noon"),
            r"line 3: at is a value of type str; accepted: a whole number",
            id="time as text",
        ),
        pytest.param(
            with_line(3, seq=True), r"line 3: seq is True; accepted: a whole number", id="seq True"
        ),
        pytest.param(
            with_line(4, key=None),
            r"line 4: found the fields .*; accepted: attempt, seq, key, kind, body, at, digest",
            id="field missing",
        ),
        pytest.param(
            with_line(4, volt=1),
            r"line 4: found the fields 'at, .*, volt'; accepted: attempt, seq",
            id="field unknown",
        ),
        pytest.param(
            with_line(2, attempt="Aq2"), r"line 2: the chain is broken", id="other attempt's line"
        ),
        pytest.param(
            "\n".join([LINES[0], "[1, 2]", *LINES[1:]]),
            r"line 2: found a value of type list; accepted: an object, one event",
            id="list",
        ),
        pytest.param(
            "\n".join([LINES[0], "[" * 100_000, *LINES[1:]]),
            r"line 2: found .*; accepted: one event as JSON",
            id="endless nesting",
        ),
        pytest.param(
            "\n".join([*LINES, LINES[0]]),
            r"line 6: found more after the closing line; accepted: nothing",
            id="more after the end",
        ),
        pytest.param(
            with_line(5, digest="0" * 64),
            r"line 5: the closing digest is '0+…'; accepted: that of the last event",
            id="closing digest",
        ),
    ],
)
def test_bad_file_is_refused_by_line_found_and_accepted(file: str, sentence: str) -> None:
    with pytest.raises(BadEvents, match=f"^{sentence}"):
        events_from_jsonl(file)

"""What may be typed as a nickname, a PIN, a login."""

from collections.abc import Callable

import pytest

from exercises.identity import names
from exercises.identity.people import NotAccepted


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("Ada", "Ada"),
        ("  Zoë  van   Dijk ", "Zoë van Dijk"),
        ("D’Arcy-O'Neill", "D’Arcy-O'Neill"),
        ("Zoe\u0308", "Zoë"),
        ("7 of 9", "7 of 9"),
        ("李小龍", "李小龍"),
    ],
)
def test_nicknames_of_many_tongues_are_taken(typed: str, kept: str) -> None:
    assert names.nickname(typed) == kept


@pytest.mark.parametrize(
    "typed",
    [
        "",
        " ",
        "![x](http://outside.invalid/x.png)",
        "<img src=x>",
        "=1+1",
        "-1+1",
        "@SUM(A1)",
        "www.outside.invalid",
        "http://outside.invalid",
        "`a`",
        "$a$",
        ":smile:",
        "a\x00b",
        "a\nb:c",
        "\ud800",
        "Ada\u202e",
        "x" * 41,
    ],
)
def test_nicknames_that_could_be_more_than_text_are_refused(typed: str) -> None:
    with pytest.raises(NotAccepted, match=r"^Nickname: found .*; accepted: up to 40 letters") as no:
        names.nickname(typed)
    assert "\n" not in str(no.value)


def test_one_nickname_in_two_spellings_is_one() -> None:
    assert names.nickname_key("ＡＤＡ D’Arcy") == names.nickname_key("ada d'arcy")


@pytest.mark.parametrize(
    ("check", "typed"),
    [
        (names.pin, "12345"),
        (names.pin, "1" * 6),
        (names.pin, "234567"),
        (names.pin, "987654"),
        (names.pin, "2706190000000"),
        (names.pin, "27o619"),
        (names.pin, "٢٧٠٦١٩"),
        (names.password, "too short"),
        (names.password, "ababababababab"),
        (names.password, "x" * 201),
        (names.login, "a b"),
        (names.login, "=cmd"),
        (names.title, ""),
        (names.title, "a\x07b"),
    ],
)
def test_what_is_too_easy_or_odd_is_refused_in_a_sentence(
    check: Callable[[str], str], typed: str
) -> None:
    with pytest.raises(NotAccepted, match="accepted: ") as refused:
        check(typed)
    if check in {names.pin, names.password}:
        assert typed not in str(refused.value)


def test_codes_are_read_however_they_are_typed() -> None:
    code = names.new_code()
    assert len(code) == 8
    assert set(code) <= set(names.LETTERS)
    assert names.code(f" {names.shown_code(code).lower()} ") == code

"""Nicknames, PINs, logins, passwords and codes: what may be typed, in one spelling.

Names are shown to others, so they hold letters, digits and little else: nothing in them can
make a link, an image or a formula.
"""

import re
import secrets
import unicodedata

from exercises.identity.people import NotAccepted

_NICKNAME = re.compile(r"\w[\w '’-]*")
_PIN = re.compile("[0-9]{6,12}")
_LOGIN = re.compile(r"[a-z0-9][a-z0-9._-]{1,39}")
_LONGEST_NICKNAME = 40
_LONGEST_TITLE = 80
_PASSWORD_LENGTHS = range(10, 201)

LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""Of codes: no 0, O, 1, I or L, which are misread from a board."""

_CODE_LENGTH = 8


def nickname(text: str) -> str:
    """Return a nickname as it is kept and shown.

    >>> nickname("  Ada   L. ".replace(".", ""))
    'Ada L'

    Raises
    ------
    NotAccepted
        If it holds anything but letters, digits, spaces, apostrophes and hyphens.
    """
    found = " ".join(unicodedata.normalize("NFC", text).split())
    if not _NICKNAME.fullmatch(found) or len(found) > _LONGEST_NICKNAME:
        raise NotAccepted(
            f"Nickname: found {found!r:.60}; accepted: up to {_LONGEST_NICKNAME} letters, digits, "
            "spaces, apostrophes and hyphens, a letter or digit first."
        )
    return found


def nickname_key(name: str) -> str:
    """Return what two spellings of one nickname have in common.

    >>> nickname_key("ADA") == nickname_key("ada")
    True
    """
    return unicodedata.normalize("NFKC", name).casefold().replace("’", "'")


def pin(text: str) -> str:
    """Return a PIN as it is sealed.

    Raises
    ------
    NotAccepted
        If it is not 6 to 12 digits, or the first thing that anybody would try.
    """
    found = text.strip()
    if not _PIN.fullmatch(found):
        raise NotAccepted(f"PIN: found {_told(found)}; accepted: 6 to 12 digits.")
    if len(set(found)) == 1 or found in "01234567890123" or found in "3210987654321098765":
        raise NotAccepted("PIN: that one is guessed first; accepted: one that is no row of digits.")
    return found


def _told(secret: str) -> str:
    """Say what is wrong with a secret without repeating it."""
    others = sum(not each.isdecimal() for each in secret)
    return f"{len(secret)} characters" + (f", {others} of them no digit" if others else "")


def login(text: str) -> str:
    """Return an instructor's login as it is kept.

    >>> login(" O.Darrow ")
    'o.darrow'

    Raises
    ------
    NotAccepted
        If it is not 2 to 40 plain letters, digits, dots, hyphens and underscores.
    """
    found = text.strip().lower()
    if not _LOGIN.fullmatch(found):
        raise NotAccepted(
            f"Login: found {found!r:.60}; accepted: 2 to 40 letters a to z, digits, dots, hyphens "
            "and underscores, a letter or digit first."
        )
    return found


def password(text: str) -> str:
    """Return a password that is long enough to be kept.

    Raises
    ------
    NotAccepted
        If it is shorter than 10 or longer than 200 characters, or one character over and over.
    """
    if len(text) not in _PASSWORD_LENGTHS or len(set(text)) < 4:
        raise NotAccepted(
            f"Password: found {len(text)} characters, {len(set(text))} different; accepted: 10 to "
            "200 characters, 4 of them different."
        )
    return text


def title(text: str) -> str:
    """Return the title of a class or a group: one line of any letters.

    Raises
    ------
    NotAccepted
        If it is empty, too long, or holds what cannot be printed.
    """
    found = " ".join(unicodedata.normalize("NFC", text).split())
    if not found or len(found) > _LONGEST_TITLE or not found.isprintable():
        raise NotAccepted(
            f"Title: found {found!r:.60}; accepted: 1 to {_LONGEST_TITLE} printable characters."
        )
    return found


def new_code() -> str:
    """Return a new class code, one of 31⁸."""
    return "".join(secrets.choice(LETTERS) for _ in range(_CODE_LENGTH))


def code(text: str) -> str:
    """Return a code as it is kept, however it was typed.

    >>> code(" abcd-efgh ")
    'ABCDEFGH'
    """
    return "".join(each for each in text.upper() if each in LETTERS)[:40]


def shown_code(kept: str) -> str:
    """Return a code as it is read out: in groups of four.

    >>> shown_code("ABCDEFGH")
    'ABCD-EFGH'
    """
    return "-".join(kept[start : start + 4] for start in range(0, len(kept), 4))

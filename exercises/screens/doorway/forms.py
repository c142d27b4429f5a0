"""The forms of the door as HTML."""

import base64
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path

from exercises.identity.people import Person

_STYLE = Path(__file__).with_name("door.css").read_text(encoding="utf-8")
_STYLE_HASH = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()

POLICY = (
    f"default-src 'none'; style-src 'sha256-{_STYLE_HASH}'; img-src data:; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
"""The pages' content security policy: their own style, their own forms, nothing else."""


@dataclass(frozen=True, slots=True)
class Field:
    """A labelled line to type in. ``kind`` is the type of the input."""

    name: str
    label: str
    hint: str = ""
    kind: str = "text"
    complete: str = "off"
    numeric: bool = False


CODE = Field("code", "Class code", "Your instructor has it: two groups of four.")
NICKNAME = Field("nickname", "Nickname", "Any name the class knows you by.", complete="username")
PIN = Field(
    "pin", "PIN", "6 to 12 digits of your own choice.", "password", "current-password", numeric=True
)
LOGIN = Field("login", "Login", complete="username")
PASSWORD = Field("password", "Password", kind="password", complete="current-password")
NEW_PASSWORD = Field("password", "Password", "10 characters or more.", "password", "new-password")
SETUP = Field("code", "Set-up code", "The server printed it when it was started.")

FIRST, BACK = "first", "back"


def joining(given: Mapping[str, str], problem: str = "") -> str:
    """Return the page for learners."""
    chosen = given.get("been", FIRST)
    been = "".join(
        f'<label class="choice"><input type="radio" name="been" value="{value}"'
        f"{' checked' if value == chosen else ''}> {words}</label>"
        for value, words in (
            (FIRST, "This is my first time in this class"),
            (BACK, "I have been here before"),
        )
    )
    choice = f"<fieldset><legend>Have you been here before?</legend>{been}</fieldset>"
    form = _form("door", (CODE, NICKNAME, PIN), given, "Come in", choice)
    link = '<p><a href="door/instructor">For instructors</a></p>'
    return page("Join your class", form + link, problem)


def signing_in(given: Mapping[str, str], problem: str = "", *, is_new: bool = False) -> str:
    """Return the page for instructors."""
    form = _form("instructor", (LOGIN, PASSWORD), given, "Sign in")
    first = '<p><a href="first">Nobody has an account here yet: make the first</a></p>'
    back = '<p><a href="../door">For learners</a></p>'
    return page("Sign in as an instructor", form + (first if is_new else "") + back, problem)


def first_account(given: Mapping[str, str], problem: str = "") -> str:
    """Return the page for the first instructor."""
    form = _form("first", (SETUP, LOGIN, NEW_PASSWORD), given, "Make the account")
    return page("The first instructor", form, problem)


def known(person: Person) -> str:
    """Return the page for somebody who is signed in."""
    return page(
        "You are signed in",
        f"<p>You are here as <strong>{escape(person.name)}</strong>.</p>"
        '<p><a class="go" href="./">To the lab</a></p>'
        '<form method="post" action="door/out"><button type="submit">Sign out</button></form>',
    )


def told(title: str, sentence: str, *, back: str = "") -> str:
    """Return a page that says one thing."""
    link = f'<p><a class="go" href="{escape(back)}">To the door</a></p>' if back else ""
    return page(title, f"<p>{escape(sentence)}</p>{link}")


def page(title: str, body: str, problem: str = "") -> str:
    """Return a whole page round a body of HTML."""
    said = f'<p class="problem" role="alert">{escape(problem)}</p>' if problem else ""
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<link rel="icon" href="data:,">'
        f"<title>{escape(title)} · Millrace Lab</title><style>{_STYLE}</style></head>"
        f'<body><main><p class="house">Millrace Lab</p><h1>{escape(title)}</h1>'
        f"{said}{body}</main></body></html>\n"
    )


def _form(
    action: str, fields: tuple[Field, ...], given: Mapping[str, str], button: str, more: str = ""
) -> str:
    lines = "".join(_line(field, given) for field in fields)
    return (
        f'<form method="post" action="{action}">{lines}{more}'
        f'<button type="submit">{button}</button></form>'
    )


def _line(field: Field, given: Mapping[str, str]) -> str:
    hint, told_by = "", ""
    if field.hint:
        hint = f'<span class="hint" id="{field.name}-hint">{escape(field.hint)}</span>'
        told_by = f' aria-describedby="{field.name}-hint"'
    # what is secret is typed again
    value = "" if field.kind == "password" else escape(given.get(field.name, ""), quote=True)
    digits = ' inputmode="numeric"' if field.numeric else ""
    return (
        f'<label for="{field.name}">{field.label}</label>{hint}'
        f'<input id="{field.name}" name="{field.name}" type="{field.kind}" value="{value}"'
        f' autocomplete="{field.complete}" maxlength="200" required{digits}{told_by}>'
    )

"""TOML text from strangers: refused before it can cost time, or read into plain data."""

import re
import tomllib
from typing import Any

from circuits.filecheck.draft import made_plain
from circuits.model import CircuitError

MAX_BYTES = 256_000
MAX_DEPTH = 8
MAX_DOTS = 8

_QUOTED_OR_COMMENT = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:"""|\Z)'
    r"|'''(?:[^']|'(?!''))*+(?:'''|\Z)"
    r'|"(?:[^"\\\n]|\\[^\n])*+"?'
    r"|'[^'\n]*+'?"
    r"|#[^\n]*+",
    re.DOTALL,
)
_DOTTED = re.compile(rf"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{MAX_DOTS},}}+")
_BRACKET = re.compile(r"[\[\]{}]")
_AT = re.compile(
    r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end.*)\)$", re.S
)


def text_of(raw: bytes, *, file: str) -> str:
    """Return the text of a file's bytes.

    Raises
    ------
    CircuitError
        If there are more than ``MAX_BYTES`` of them, or they are not UTF-8.
    """
    if len(raw) > MAX_BYTES:
        raise too_large(file, len(raw))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise refused(
            f"{file}: line {line}: found a byte that is not UTF-8; accepted: text saved as UTF-8"
        ) from None


def too_large(file: str, size: int) -> CircuitError:
    """Return the error for a file of too many bytes."""
    return refused(f"{file}: found {size:,} bytes; accepted: up to {MAX_BYTES:,}")


def refused(sentence: str) -> CircuitError:
    """Return the error of one sentence, safe to show on any screen."""
    return CircuitError(made_plain(sentence))


def data_of(text: str, *, file: str) -> dict[str, Any]:
    """Return the data of a TOML text.

    Raises
    ------
    CircuitError
        If it is too long, nested too deep, has too long a dotted name, or is no TOML; the
        line and column are told.
    """
    if len(text) > MAX_BYTES:  # before encoding it, which takes as much memory again
        raise too_large(file, len(text))
    text = text_of(text.encode("utf-8", errors="surrogatepass"), file=file)
    _refuse_deep(text, file)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise refused(f"{file}: {_too_deep('tables and lists')}") from None
    except ValueError as error:
        raise refused(f"{file}: {_syntax(str(error))}") from None


def _refuse_deep(text: str, file: str) -> None:
    bare = _QUOTED_OR_COMMENT.sub(lambda m: "s" + "\n" * m[0].count("\n"), text)
    depth = 0
    for bracket in _BRACKET.finditer(bare):
        depth = depth + 1 if bracket[0] in "[{" else max(depth - 1, 0)
        if depth > MAX_DEPTH:
            line = _line(bare, bracket.start())
            raise refused(f"{file}: line {line}: {_too_deep('brackets')}")
    dotted = _DOTTED.search(bare)
    if dotted:
        raise refused(
            f"{file}: line {_line(bare, dotted.start())}: found a dotted name of more than "
            f"{MAX_DOTS} words; accepted: up to {MAX_DOTS}"
        )


def _too_deep(what: str) -> str:
    return f"found {what} nested more than {MAX_DEPTH} deep; accepted: up to {MAX_DEPTH}"


def _line(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def _syntax(message: str) -> str:
    found = _AT.match(message)
    if not found:
        return f"{_small(message.partition(':')[0])}; accepted: TOML"
    where = f"line {found['line']}, column {found['column']}" if found["line"] else "end of file"
    return f"{where}: {_small(found['what'])}; accepted: TOML"


def _small(message: str) -> str:
    plainer = message.replace(r"character '\n'", "end of line")
    return plainer[:1].lower() + plainer[1:200]

"""Readings as a CSV file that a spreadsheet cannot take for formulas."""

import csv
import io
from collections.abc import Mapping, Sequence

_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_text(rows: Sequence[Mapping[str, str]]) -> bytes:
    """Return rows as CSV in UTF-8 with a byte order mark; text that starts a formula is quoted.

    The rule is OWASP ASVS 1.2.10. Numbers stay numbers.

    >>> csv_text([{"Red": "=1+1", "V": "-0.2"}]).decode("utf-8-sig").splitlines()[1]
    "'=1+1,-0.2"
    """
    if not rows:
        return b""
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\r\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: _harmless(value) for name, value in row.items()})
    return out.getvalue().encode("utf-8-sig")


def _harmless(text: str) -> str:
    if text.lstrip(" ").startswith(_STARTS_FORMULA) and not _is_number(text):
        return f"'{text}"
    return text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True

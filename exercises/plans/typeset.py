"""Sheets as PDF: data into a template, the same pages on every machine.

What is printed goes in as JSON beside the template and is never spliced into it, so no text
can become markup. The letters come from a font that is installed with the lab.
"""

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

import typst

Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = ("a4", "letter")
SIZES_MM: Mapping[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN_MM = 14.0

_HERE = Path(__file__).parent
_HANDLES = re.compile(r'<path class="wire-hit"[^>]*/>|<circle class="hit"[^>]*/>')
_VIEW = re.compile(r'viewBox="\S+ \S+ (\S+) (\S+)"')


def pdf(template: str, data: Mapping[str, Any], *, made: datetime) -> bytes:
    """Return a sheet as PDF, tagged, with its title and page numbers."""
    found: bytes = typst.compile(
        _HERE / f"{template}.typ",
        format="pdf",
        pdf_standards="ua-1",
        timestamp=made.astimezone(UTC).replace(microsecond=0),
        **_common(data),
    )
    return found


def pages(template: str, data: Mapping[str, Any]) -> int:
    """Return how many pages a sheet takes."""
    found = typst.compile(_HERE / f"{template}.typ", format="svg", **_common(data))
    return len(found) if isinstance(found, list) else 1


def _common(data: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "root": _HERE,
        "font_paths": [Path(str(files("ziafont"))) / "fonts"],
        "ignore_system_fonts": True,
        "sys_inputs": {"data": json.dumps(data, ensure_ascii=False, allow_nan=False)},
    }


def printable(svg: str) -> str:
    """Return a drawing without what only a screen needs."""
    return _HANDLES.sub("", svg)


def size_of(svg: str) -> tuple[float, float]:
    """Return the width and height of a drawing in its own units."""
    found = _VIEW.search(svg)
    if found is None:
        raise ValueError("a drawing without a viewBox")
    return float(found[1]), float(found[2])

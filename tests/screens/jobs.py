"""Jobs with a fault of the test's own choosing, begun in a store without the library."""

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from streamlit.testing.v1 import AppTest

from circuits.files import LIBRARY
from exercises.desk import begin
from exercises.files import LibraryExercise
from exercises.store import open_store

LEFT_FEED_OPEN = "W4:open"
LEFT_MOTOR_WIRE_OPEN = "W16:open"


def url(folder: Path) -> str:
    return f"sqlite:///{folder / 'lab.db'}"


def entry(*faults: str, circuit: str = "side_steps", **changed: Any) -> LibraryExercise:
    body = {
        "title": "A job",
        "circuit": circuit,
        "slip": 901,
        "complaint": "Left step does not move any more. Right step and lamps are fine.",
        "level": 1,
        "skill": "supply checks under load",
        "faults": list(faults),
        "shows_expected": True,
        "lesson": "Prove a feed at the far end of its wire.",
        "like_case": "A sister bus had the same.",
        "path": [{"because": "Begin at the far end.", "volts": ["C1.2", "BODY"]}],
    }
    shape = tomllib.loads((LIBRARY / f"{circuit}.toml").read_text(encoding="utf-8"))
    return LibraryExercise("job", body | changed, circuit, shape)


def begun(folder: Path, *faults: str, **changed: Any) -> str:
    """Begin a job in the store of this folder and return its id."""
    store = open_store(url(folder))
    try:
        return begin(store, entry(*faults, **changed), seed=0, key="first press", at=1_800_000_000)
    finally:
        store.close()


def texts(app: AppTest) -> str:
    """Return all plain texts of a screen, a line each."""
    return "\n".join(text.value for text in app.text)


def sent(app: AppTest) -> dict[str, dict[str, Any]]:
    """Return what each component was sent, by its key."""
    return {
        str(node.key): json.loads(node.proto.json)
        for node in _nodes(app.main)
        if getattr(node, "type", "") == "bidi_component"
    }


def _nodes(node: Any) -> Iterator[Any]:
    yield node
    for child in getattr(node, "children", {}).values():
        yield from _nodes(child)


def screen(name: str, *, attempt: str = "", seconds: float = 60, guarded: bool = False) -> AppTest:
    """Return a screen by its module's name, not yet run; ``guarded``: as the pages have it."""
    show = f"guarded({name}.show)()" if guarded else f"{name}.show()"
    app = AppTest.from_string(
        f"from exercises.screens import {name}\n"
        f"from exercises.screens.guard import guarded\n{show}",
        default_timeout=seconds,
    )
    if attempt:
        app.query_params["attempt"] = attempt
    return app

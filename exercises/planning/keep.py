"""Tables kept as files, by content: built ahead, and never while a learner waits.

``kept`` answers at once, with None where there is no table. A file that is of another
circuit or method, cut short or not ours counts as none.
"""

import hashlib
import json
import os
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from circuits.faultkinds import KINDS
from circuits.model import Circuit, Fault
from circuits.settings import setting_to_json
from exercises.planning.allowed import AllowedTest, allowed_settings, allowed_tests
from exercises.planning.table import Cell, Each, Look, Progress, Table, build

METHOD = "2"
"""Version of the electrical model and of what the table keeps: it changes when either does."""

_UNREADABLE = (
    OSError,
    EOFError,
    ValueError,
    LookupError,
    TypeError,
    zipfile.BadZipFile,
    zlib.error,
)


def file_of(folder: Path, circuit: Circuit) -> Path:
    """Return the file of a circuit's table in a folder: another for every content."""
    grids = [(kind.name, kind.grid) for kind in KINDS.values()]
    settings = [setting_to_json(setting) for setting in allowed_settings(circuit)]
    count = len(allowed_tests(circuit))
    content = json.dumps([METHOD, circuit.digest, grids, settings, count])
    digest = hashlib.sha256(content.encode()).hexdigest()
    return folder / f"{circuit.name}-{digest[:16]}.npz"


def kept(folder: Path, circuit: Circuit) -> Table | None:
    """Return the table of a circuit if the folder holds it."""
    try:
        with file_of(folder, circuit).open("rb") as file:
            return _table(circuit, dict(np.load(file, allow_pickle=False)))
    except _UNREADABLE:
        return None


def keep(folder: Path, table: Table) -> Path:
    """Keep a table in a folder, which is made if need be, and return its file.

    Raises
    ------
    OSError
        If it cannot be written; a table kept earlier is left as it is.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = file_of(folder, table.circuit)
    part = path.with_suffix(f".{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            np.savez_compressed(file, **_arrays(table))
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return path


def ready(
    folder: Path, circuit: Circuit, *, each: Each = map, progress: Progress = lambda _: None
) -> Table:
    """Return the table of a circuit, built and kept now if it is not kept yet.

    Raises
    ------
    OSError
        If it cannot be kept.
    """
    table = kept(folder, circuit)
    if table is None:
        folder.mkdir(parents=True, exist_ok=True)  # before the work, should it fail
        table = build(circuit, each=each, progress=progress)
        keep(folder, table)
    return table


def _arrays(table: Table) -> Mapping[str, Any]:
    number = {test: n for n, test in enumerate(allowed_tests(table.circuit))}
    cells = [
        [cell.low.place, cell.low.kind, cell.low.severity, cell.high.severity, sorted(cell.blown)]
        for cell in table.cells
    ]
    looks = {f"alike{n}": look.alike for n, look in enumerate(table.looks)}
    return {
        "cells": np.array(json.dumps(cells)),
        "tests": np.array([number[test] for test in table.tests], dtype=np.int32),
        "low": table.low,
        "high": table.high,
        "looks": np.array([number[AllowedTest(look.setting, None)] for look in table.looks]),
        "of": np.array([look.of for look in table.looks], dtype=np.int16),
        **looks,
    }


def _table(circuit: Circuit, stored: Mapping[str, Any]) -> Table:
    tests = allowed_tests(circuit)
    cells = tuple(
        Cell(Fault(place, kind, low), Fault(place, kind, high), frozenset(blown))
        for place, kind, low, high, blown in json.loads(str(stored["cells"]))
    )
    looks = tuple(
        Look(tests[number].setting, of, stored[f"alike{n}"])
        for n, (number, of) in enumerate(zip(stored["looks"], stored["of"], strict=True))
    )
    columns = tuple(tests[number] for number in stored["tests"])
    low, high = stored["low"], stored["high"]
    if not low.shape == high.shape == (len(columns), len(cells)):
        raise ValueError("the arrays do not fit each other")
    return Table(circuit, cells, columns, low, high, looks)

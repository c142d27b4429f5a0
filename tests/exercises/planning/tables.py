"""Tables built once for all tests, and small ones made by hand."""

import atexit
import os
import shutil
import tempfile
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

import numpy as np

from circuits.files import library_circuit
from circuits.model import AS_FOUND, Fault
from exercises.planning.allowed import allowed_tests
from exercises.planning.keep import ready
from exercises.planning.table import Cell, Table, look_of

CALL_BELL = library_circuit("call_bell")


@lru_cache
def folder() -> Path:
    """Return the folder in which the tables of this run are kept, one for all its workers."""
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID")
    if run is not None:
        shared = Path(tempfile.gettempdir()) / f"tables-{run}"
        atexit.register(shutil.rmtree, shared, ignore_errors=True)
        return shared
    found = tempfile.TemporaryDirectory(prefix="tables")
    _KEPT.append(found)
    return Path(found.name)


_KEPT: list[tempfile.TemporaryDirectory] = []


@lru_cache
def table_of(name: str) -> Table:
    """Return the table of a circuit of the library, built in this run."""
    return ready(folder(), library_circuit(name))


def made(bands: Sequence[Sequence[tuple[int, int]]], places: Sequence[str] = ()) -> Table:
    """Return a table of the call bell with bands of our own: a row a test, a pair a cell.

    ``places`` names the places of the cells, one each where none are given. In all of them
    something is open; nothing is seen.
    """
    count = len(bands[0])
    names = places or [f"place {n}" for n in range(count)]
    tests = [test for test in allowed_tests(CALL_BELL) if test.what is not None][: len(bands)]
    ends = np.array(bands, dtype=np.uint16)
    look = look_of(AS_FOUND, [frozenset()] * count)
    cells = tuple(_cell(names, n) for n in range(count))
    return Table(CALL_BELL, cells, tuple(tests), ends[:, :, 0], ends[:, :, 1], (look,))


def _cell(names: Sequence[str], number: int) -> Cell:
    place, before = names[number], names[:number].count(names[number])
    return Cell(Fault(place, "open", before), Fault(place, "open", before + 1))


def split(outcomes: Sequence[Sequence[int]]) -> Table:
    """Return a table whose tests part their cells sharply: a row a test, a number a cell."""
    return made([[(outcome, outcome) for outcome in row] for row in outcomes])

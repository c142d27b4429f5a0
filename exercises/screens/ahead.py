"""The tables that hints need, built beside the server and never while a learner waits.

``LAB_TABLES`` names the folder that holds them; ``LAB_AHEAD=off`` has none built.
"""

import atexit
import os
from collections import OrderedDict
from collections.abc import Mapping
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

from circuits.files import circuit_names, library_circuit
from circuits.model import Circuit
from exercises.advising import TABLES
from exercises.exercise import Exercise
from exercises.planning.building import Building
from exercises.planning.choice import Plan
from exercises.planning.keep import file_of, kept
from exercises.planning.policy import plan_for
from exercises.planning.table import Table
from exercises.records import Store, StoreError

_MOST_TABLES = 4
_tables: OrderedDict[Path, Table] = OrderedDict()


def folder() -> Path:
    """Return the folder in which tables are kept."""
    named = os.environ.get("LAB_TABLES", "")
    return Path(named) if named else TABLES


@lru_cache
def _building(folder: Path) -> Building:
    found = Building(folder)
    atexit.register(found.stop)
    return found


def building() -> Building | None:
    """Return the tables in the making, None where that is switched off."""
    return None if os.environ.get("LAB_AHEAD", "") == "off" else _building(folder())


def begin() -> None:
    """Begin to build tables unless that is switched off."""
    found = building()
    if found is not None:
        found.start()


def want(store: Store, attempt_id: str, circuit: Circuit, *, anew: bool = False) -> None:
    """Have the table of an attempt's circuit built before others; anew though it is there."""
    found = building()
    if found is None or (found.share(circuit.digest) == 1.0 and not anew):
        return
    if circuit.name in circuit_names() and circuit == library_circuit(circuit.name):
        found.want(circuit.digest, circuit.name)
        return
    with suppress(StoreError):  # the next press tells of a store that cannot be read
        found.want(circuit.digest, circuit.name, store.attempt(attempt_id).circuit_body)


def share(circuit: Circuit) -> float | None:
    """Return how much of a circuit's table is there, None where it is not and nobody builds it."""
    found = building()
    told = None if found is None else found.share(circuit.digest)
    if told is None and file_of(folder(), circuit).is_file():
        return 1.0
    return told


def plan(exercise: Exercise) -> Plan | None:
    """Return the tests that an exercise allows, None while their table is not kept."""
    found = table(exercise.circuit)
    return None if found is None else plan_for(exercise, found)


def table(circuit: Circuit) -> Table | None:
    """Return the table of a circuit, None while it is not kept."""
    file = file_of(folder(), circuit)
    if file not in _tables:
        found = kept(file.parent, circuit)
        if found is None:
            return None
        _tables[file] = found
        if len(_tables) > _MOST_TABLES:
            _tables.popitem(last=False)
    return _tables[file]


def want_of(circuit: Circuit, body: Mapping[str, Any]) -> None:
    """Have the table of a circuit built before others, from its data."""
    found = building()
    if found is not None and share(circuit) != 1.0:
        found.want(circuit.digest, circuit.name, body)

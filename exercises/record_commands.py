"""The commands for the record: backed up, restored, one learner's data out or gone.

They work on the database that ``LAB_DATABASE_URL`` names, as the lab does.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from circuits.commands import tell
from circuits.model import CircuitError

if TYPE_CHECKING:
    from exercises.database import Database


def backup_arguments(sub: argparse.ArgumentParser) -> None:
    """Add the file of a backup."""
    sub.add_argument("file", metavar="FILE.zip", type=Path)


def learner_arguments(sub: argparse.ArgumentParser) -> None:
    """Add the learner."""
    words = "a learner's id or nickname, or local: what was done without signing in"
    sub.add_argument("learner", metavar="LEARNER", help=words)


def export_arguments(sub: argparse.ArgumentParser) -> None:
    """Add the learner and the file to write."""
    learner_arguments(sub)
    sub.add_argument("-o", dest="output", metavar="FILE.zip", type=Path, required=True)


def backup(options: argparse.Namespace) -> int:
    """Write the whole record to one file."""
    from exercises.backup.whole import back_up  # noqa: PLC0415

    rows = _with_database(lambda database: back_up(database, options.file, at=_now_ms()))
    data = {"file": str(options.file), "rows": rows}
    return tell(options, data, [f"{options.file}: {_counted(rows)}"])


def restore(options: argparse.Namespace) -> int:
    """Put a backup into a database without rows."""
    from exercises.backup import whole  # noqa: PLC0415

    rows = _with_database(lambda database: whole.restore(database, options.file))
    data = {"file": str(options.file), "rows": rows}
    return tell(options, data, [f"restored: {_counted(rows)}"])


def erase(options: argparse.Namespace) -> int:
    """Erase one learner with all that they did."""
    from exercises.backup import learners  # noqa: PLC0415

    data = _with_database(lambda database: learners.erase(database, options.learner))
    words = f"erased: {data['learner']}, {data['attempts']} attempts; older backups hold them still"
    return tell(options, data, [words])


def export(options: argparse.Namespace) -> int:
    """Write all that is kept of one learner to a file."""
    from exercises.backup import learners  # noqa: PLC0415

    data = _with_database(
        lambda database: learners.export(database, options.learner, options.output, at=_now_ms())
    )
    data = {"file": str(options.output), **data}
    words = f"{options.output}: {data['learner']}, {data['attempts']} attempts"
    return tell(options, data, [words])


def _with_database(do: Callable[[Database], dict[str, Any]]) -> dict[str, Any]:
    from exercises.backup.archive import BackupError  # noqa: PLC0415
    from exercises.database import open_database  # noqa: PLC0415
    from exercises.records import StoreError  # noqa: PLC0415

    try:
        database = open_database()
        try:
            return do(database)
        finally:
            database.close()
    except (StoreError, BackupError) as error:
        raise CircuitError(str(error)) from error


def _counted(rows: Mapping[str, int]) -> str:
    return ", ".join(f"{rows.get(name, 0)} {words}" for name, words in _WORDS.items())


_WORDS = {
    "class_room": "classes",
    "learner": "learners",
    "attempt": "attempts",
    "attempt_event": "events",
    "mark": "marks",
}


def _now_ms() -> int:
    return time.time_ns() // 1_000_000

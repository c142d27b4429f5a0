"""The file of a backup: a zip of JSON lines with a manifest, written whole and read with doubt."""

import hashlib
import json
import os
import secrets
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from exercises.events import canonical

FORMAT = "millrace lab backup 1"
MANIFEST = "manifest.json"
_LONGEST_LINE = 64_000_000
_LARGEST_MANIFEST = 1_000_000
_OWNER_ONLY = 0o600


class BackupError(Exception):
    """A backup cannot be written or read; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Lines:
    """How many rows of a table there are, and the sha256 of their lines."""

    rows: int
    sha256: str


@dataclass
class Writer:
    """Writes tables into a zip, one after the other."""

    archive: zipfile.ZipFile
    tables: dict[str, Lines] = field(default_factory=dict)

    def write(self, name: str, rows: Iterator[Mapping[str, Any]]) -> None:
        """Write a table's rows."""
        digest, count = hashlib.sha256(), 0
        with self.archive.open(f"{name}.jsonl", "w", force_zip64=True) as out:
            for row in rows:
                line = line_of(row)
                digest.update(line)
                out.write(line)
                count += 1
        self.tables[name] = Lines(count, digest.hexdigest())

    def close(self, version: str, at: int) -> None:
        """Write the manifest."""
        told = {
            "format": FORMAT,
            "version": version,
            "made_at": at,
            "tables": {
                name: {"rows": lines.rows, "sha256": lines.sha256}
                for name, lines in self.tables.items()
            },
        }
        self.archive.writestr(MANIFEST, json.dumps(told, indent=1) + "\n")


def line_of(row: Mapping[str, Any]) -> bytes:
    """Return a row as its line: without empty columns, the others in order of their names."""
    return (canonical({k: v for k, v in row.items() if v is not None}) + "\n").encode()


@contextmanager
def new_file(path: Path) -> Iterator[IO[bytes]]:
    """Give a file that is there under its name once it is whole, for its owner alone.

    Raises
    ------
    BackupError
        If there is a file of that name, or it cannot be written.
    """
    if path.exists():
        raise BackupError(f"{path}: there is a file of that name; accepted: a new name.")
    partial = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        descriptor = os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _OWNER_ONLY)
        try:
            with os.fdopen(descriptor, "wb") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            partial.rename(path)
        finally:
            partial.unlink(missing_ok=True)
    except OSError as error:
        raise BackupError(f"{path}: {error.strerror}.") from error


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads the tables of a zip, each once and to its end."""

    file: str
    archive: zipfile.ZipFile
    version: str
    tables: Mapping[str, Lines]

    def rows(self, name: str) -> Iterator[tuple[int, dict[str, Any]]]:
        """Yield a table's rows with the number of their line.

        Raises
        ------
        BackupError
            At the first line that is no row; at the end, if lines are missing or changed.
        """
        wanted = self.tables[name]
        digest, count = hashlib.sha256(), 0
        where = f"{self.file}, {name}.jsonl"
        with _readable(where), self.archive.open(f"{name}.jsonl") as lines:
            while line := lines.readline(_LONGEST_LINE):
                digest.update(line)
                count += 1
                yield count, _row(line, f"{where}, line {count}")
        if Lines(count, digest.hexdigest()) != wanted:
            raise BackupError(
                f"{where}: found {count} lines, sha256 {digest.hexdigest()[:12]}…; accepted: the "
                f"{wanted.rows} with {wanted.sha256[:12]}… that its manifest tells of."
            )


def _row(line: bytes, where: str) -> dict[str, Any]:
    try:
        row = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise BackupError(f"{where}: found no JSON; accepted: one row of its table.") from error
    if not isinstance(row, dict):
        raise BackupError(f"{where}: found no object; accepted: one row of its table.")
    return row


@contextmanager
def opened(path: Path) -> Iterator[Reader]:
    """Give a reader of a backup.

    Raises
    ------
    BackupError
        If the file cannot be read, or is no backup.
    """
    with _readable(str(path)):
        archive = zipfile.ZipFile(path)
    with archive:
        with _readable(str(path)):
            reader = _reader(path, archive)
        yield reader


def _reader(path: Path, archive: zipfile.ZipFile) -> Reader:
    no_backup = f"{path}: found no backup of this lab; accepted: a file that it has written."
    try:
        with archive.open(MANIFEST) as file:
            told = json.loads(file.read(_LARGEST_MANIFEST))
        tables = {
            name: Lines(int(lines["rows"]), str(lines["sha256"]))
            for name, lines in told["tables"].items()
        }
        found, version = told["format"], str(told["version"])
    except (LookupError, TypeError, ValueError, AttributeError, RecursionError) as error:
        raise BackupError(no_backup) from error
    if found != FORMAT:
        raise BackupError(no_backup)
    return Reader(str(path), archive, version, tables)


@contextmanager
def _readable(where: str) -> Iterator[None]:
    """Say of a damaged file that it is one. NotImplementedError: packed in a way we never do."""
    damaged = (zipfile.BadZipFile, zlib.error, EOFError, KeyError, NotImplementedError)
    try:
        yield
    except damaged as error:
        raise BackupError(
            f"{where}: the file is damaged or no backup; accepted: one as this lab wrote it."
        ) from error
    except OSError as error:
        raise BackupError(f"{where}: {error.strerror or 'it cannot be read'}.") from error
    except RuntimeError as error:
        raise BackupError(f"{where}: it is locked by a password; accepted: without.") from error

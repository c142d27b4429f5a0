"""A PostgreSQL server of the tests' own: in a temporary folder, reached by a socket file."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg
from sqlalchemy import URL

from exercises.store import open_store
from exercises.tables import metadata

ABSENT = "PostgreSQL's server is not installed (Debian: postgresql)"
_SETTINGS = ("fsync=off", "full_page_writes=off", "listen_addresses=", "max_connections=150")
_START_S = 60


def programs() -> Path | None:
    """Return the folder of PostgreSQL's programs, None where there is none."""
    on_path = shutil.which("initdb")
    if on_path:
        return Path(on_path).parent
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


@dataclass
class Postgres:
    """The server: databases on it, empty or with the lab's tables."""

    folder: Path
    made: int = 0

    def url(self, database: str) -> str:
        url = URL.create("postgresql", username="postgres", database=database)
        place = url.update_query_dict({"host": str(self.folder)})
        return place.render_as_string(hide_password=False)

    def run(self, statement: str, database: str = "postgres") -> list[tuple[object, ...]]:
        with psycopg.connect(self.conninfo(database), autocommit=True) as connection:
            found = connection.execute(statement)  # type: ignore[call-overload]
            return found.fetchall() if found.description else []

    def conninfo(self, database: str) -> str:
        return f"host={self.folder} user=postgres dbname={database}"

    def empty(self) -> str:
        """Return the address of a new database without tables."""
        self.made += 1
        self.run(f"CREATE DATABASE empty_{self.made}")
        return self.url(f"empty_{self.made}")

    def clean(self, name: str = "clean") -> str:
        """Return the address of one that is used again: the lab's tables, no rows."""
        if not self.run(f"SELECT 1 FROM pg_database WHERE datname = '{name}'"):
            self.run(f"CREATE DATABASE {name}")
            open_store(self.url(name)).close()
        tables = "; ".join(f"DELETE FROM {table.name}" for table in metadata.sorted_tables)
        # the one way past the triggers: a superuser, for this session
        self.run(f"SET session_replication_role = replica; {tables}", name)
        return self.url(name)


@contextmanager
def serving(bin_folder: Path) -> Iterator[Postgres]:
    """Run a server until the end of the block; it dies with the tests."""
    folder = Path(tempfile.mkdtemp(prefix="lab_pg_"))
    data = folder / "data"
    as_other: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres", "postgres")
        as_other = ["--reuid=postgres", "--regid=postgres", "--clear-groups"]
    user = ["setpriv", *as_other, "--pdeathsig", "INT"]
    options = ["-U", "postgres", "-A", "trust", "--no-sync", "--encoding=UTF8", "--locale=C"]
    subprocess.run(
        [*user, bin_folder / "initdb", "-D", data, *options], check=True, capture_output=True
    )
    settings = [word for each in _SETTINGS for word in ("-c", each)]
    with (folder / "log").open("w") as log:
        server = subprocess.Popen(
            [*user, bin_folder / "postgres", "-D", data, "-k", folder, *settings],
            stdout=log,
            stderr=log,
        )
    try:
        postgres = Postgres(folder)
        _wait(postgres, server)
        yield postgres
    finally:
        server.send_signal(signal.SIGQUIT)  # terminate would wait for its clients
        server.wait(20)
        shutil.rmtree(folder, ignore_errors=True)


def _wait(postgres: Postgres, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + _START_S
    while True:
        try:
            postgres.run("SELECT 1")
            return
        except psycopg.OperationalError:
            log = (postgres.folder / "log").read_text()
            assert server.poll() is None, f"the server ended: {log}"
            assert time.monotonic() < until, f"the server does not answer: {log}"
            time.sleep(0.05)

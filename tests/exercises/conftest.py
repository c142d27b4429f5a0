"""Both databases for tests of what is kept: ``url`` runs a test once on each."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from exercises.store import SqlStore, open_store
from tests import postgres as own
from tests.conftest import FULL
from tests.laid_out import laid_out

BOTH = ("sqlite", "postgresql")


@pytest.fixture(scope="session")
def postgres() -> Iterator[own.Postgres]:
    found = own.programs()
    if found is None:
        pytest.skip(own.ABSENT)
    with own.serving(found) as server:
        yield server


@pytest.fixture(params=BOTH)
def both(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a database without rows, on each server in every run."""
    return _without_rows(request, tmp_path)


@pytest.fixture(params=BOTH if FULL else BOTH[:1])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a database without rows; on PostgreSQL in the full run."""
    return _without_rows(request, tmp_path)


@pytest.fixture(params=BOTH if FULL else BOTH[:1])
def empty(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a database without tables; on PostgreSQL in the full run."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'lab.db'}"
    server: own.Postgres = request.getfixturevalue("postgres")
    return server.empty()


def _without_rows(request: pytest.FixtureRequest, folder: Path) -> str:
    if request.param == "sqlite":
        return laid_out(folder / "lab.db")
    server: own.Postgres = request.getfixturevalue("postgres")
    return server.clean()


@pytest.fixture
def store(url: str) -> Iterator[SqlStore]:
    with closing(open_store(url)) as store:
        yield store

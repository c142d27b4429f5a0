"""Screens run against a store of their own."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from exercises.screens import work
from tests.screens.jobs import url


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("LAB_DATABASE_URL", url(tmp_path))
    work.store.clear()
    yield tmp_path
    work.store.clear()

"""Screens run against a store of their own."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from exercises.screens import house
from tests.laid_out import laid_out
from tests.screens.tuesday import Class, class_of_two


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("LAB_DATABASE_URL", laid_out(tmp_path / "lab.db"))
    monkeypatch.delenv("LAB_CLASS", raising=False)
    house.shut()
    yield tmp_path
    house.shut()


@pytest.fixture
def tuesday(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Class]:
    with class_of_two(tmp_path, monkeypatch) as room:
        yield room

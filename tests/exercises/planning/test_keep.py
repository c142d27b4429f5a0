"""Tables kept as files: what comes back is what was kept, and a bad file is none."""

from dataclasses import replace

import numpy as np
import pytest

from exercises.planning.allowed import allowed_settings
from exercises.planning.keep import file_of, keep, kept, ready
from exercises.planning.table import Table, build
from tests.exercises.planning.tables import CALL_BELL, folder, table_of


def _same(one: Table, other: Table) -> bool:
    return (
        (one.circuit, one.cells, one.tests) == (other.circuit, other.cells, other.tests)
        and np.array_equal(one.low, other.low)
        and np.array_equal(one.high, other.high)
        and len(one.looks) == len(other.looks)
        and all(
            a.setting == b.setting
            and np.array_equal(a.of, b.of)
            and np.array_equal(a.alike, b.alike)
            for a, b in zip(one.looks, other.looks, strict=True)
        )
    )


def test_what_comes_back_is_what_was_kept(tmp_path) -> None:
    table = table_of("call_bell")
    path = keep(tmp_path / "new", table)
    assert path == file_of(tmp_path / "new", CALL_BELL)
    assert [one.name for one in path.parent.iterdir()] == [path.name]
    assert _same(kept(tmp_path / "new", CALL_BELL), table)


def test_where_nothing_is_kept_the_answer_is_none_at_once(tmp_path) -> None:
    assert kept(tmp_path, CALL_BELL) is None
    assert kept(tmp_path / "none", CALL_BELL) is None


def test_another_content_of_the_circuit_has_another_file(tmp_path) -> None:
    other = replace(CALL_BELL, digest="other")
    assert file_of(tmp_path, other) != file_of(tmp_path, CALL_BELL)


@pytest.mark.parametrize(
    "damage",
    [
        lambda _: b"",
        lambda _: b"not a table",
        lambda data: data[: len(data) // 2],
        lambda data: data[:200] + bytes(200) + data[400:],
    ],
    ids=["empty", "text", "cut", "changed"],
)
def test_a_damaged_file_counts_as_none_and_is_made_anew(tmp_path, damage, monkeypatch) -> None:
    table = table_of("call_bell")
    path = keep(tmp_path, table)
    path.write_bytes(damage(path.read_bytes()))
    assert kept(tmp_path, CALL_BELL) is None
    monkeypatch.setattr("exercises.planning.keep.build", lambda *_, **__: table)
    assert ready(tmp_path, CALL_BELL) is table
    assert kept(tmp_path, CALL_BELL) is not None


def test_a_table_that_is_kept_is_not_built_again(monkeypatch) -> None:
    table_of("call_bell")
    monkeypatch.setattr("exercises.planning.keep.build", lambda *_, **__: pytest.fail("built"))
    assert ready(folder(), CALL_BELL).circuit == CALL_BELL


def test_progress_grows_to_the_whole(monkeypatch) -> None:
    few = allowed_settings(CALL_BELL)[:2]
    monkeypatch.setattr("exercises.planning.table.allowed_settings", lambda _: few)
    told: list[float] = []
    build(CALL_BELL, progress=told.append)
    assert told == [0.25, 0.5, 0.75, 1.0]

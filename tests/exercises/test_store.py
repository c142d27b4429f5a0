"""The store of attempts: what is acknowledged is kept, in order, once, unchanged."""

import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from threading import Barrier

import pytest

from exercises.events import check_chain
from exercises.store import (
    Behind,
    Kept,
    NotKept,
    SqlStore,
    open_store,
)
from tests.conftest import FULL
from tests.exercises.stores import PROJECT, READING, begun, kept


@pytest.fixture
def url(both: str) -> str:
    return both


def test_attempt_is_read_back_as_it_was_begun(store: SqlStore) -> None:
    attempt = begun(store, exercise_body={"b": (1, 2), "a": "Ω"}, seed=2**63 - 1)

    row = store.attempt(attempt)

    assert row.exercise_body == {"a": "Ω", "b": [1, 2]}
    assert row.circuit_body == {"wires": [{"name": "W1", "area_mm2": 2.5}]}
    assert (row.exercise_name, row.circuit_name) == ("dead step", "steps")
    assert (row.id, row.seed, row.engine, row.started_at) == (attempt, 2**63 - 1, "1", 1_000)


def test_edited_circuit_leaves_begun_attempts_as_they_were(store: SqlStore) -> None:
    before = begun(store)
    after = begun(store, circuit_body={"wires": []})

    assert store.attempt(before).circuit_body == {"wires": [{"name": "W1", "area_mm2": 2.5}]}
    assert store.attempt(after).circuit_body == {"wires": []}


def test_equal_versions_are_kept_once(store: SqlStore) -> None:
    begun(store, exercise_body={"a": 1, "b": 2})
    begun(store, exercise_body={"b": 2, "a": 1})

    with store.database.reading() as connection:
        for table in ("exercise_version", "circuit_version"):
            assert connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar() == 1


def test_attempt_ids_carry_128_random_bits_and_start_with_a_letter(store: SqlStore) -> None:
    ids = {begun(store) for _ in range(20)}

    assert len(ids) == 20
    assert all(each[0].isalpha() and len(each) == 1 + 22 for each in ids)  # 22 × 6 bits


def test_events_are_numbered_from_one_and_chained(store: SqlStore) -> None:
    attempt = begun(store)
    events = tuple(kept(store, attempt, seen=seen) for seen in range(5))

    assert store.events(attempt) == events
    assert [event.seq for event in events] == [1, 2, 3, 4, 5]
    assert store.events(attempt, after=3) == events[3:]
    assert store.events(attempt, after=5) == ()
    check_chain(attempt, events)


def test_events_survive_closing_and_opening_again(store: SqlStore, url: str) -> None:
    attempt = begun(store)
    event = kept(store, attempt, seen=0)
    store.close()

    with closing(open_store(url)) as again:
        assert again.events(attempt) == (event,)
        assert kept(again, attempt, seen=1).seq == 2


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("🚐 Türöffner ±0.5 Ω", id="emoji and signs"),
        pytest.param("before\x00after", id="NUL"),
        pytest.param("\ud800 and \udfff", id="lone surrogates"),
        pytest.param("'); DROP TABLE attempt_event;--", id="quotes"),
        pytest.param("x" * 100_000, id="100 kB"),
    ],
)
def test_odd_text_is_kept_as_written(store: SqlStore, text: str) -> None:
    attempt = begun(store)

    event = kept(store, attempt, seen=0, shown=text)

    assert event.body == {"shown": text}
    assert store.events(attempt) == (event,)
    check_chain(attempt, store.events(attempt))


def test_attempts_last_added_to_come_first(store: SqlStore) -> None:
    old, quiet, busy = (begun(store, at=at, seed=at) for at in (100, 300, 200))
    kept(store, busy, seen=0)
    kept(store, busy, seen=1)

    rows = store.attempts()

    assert [row.id for row in rows] == [busy, quiet, old]
    assert [(row.last_seq, row.last_at) for row in rows] == [(2, 2_001), (0, 300), (0, 100)]
    assert rows[0].exercise_name == "dead step"
    assert store.attempts(limit=1) == rows[:1]


def test_tab_that_is_behind_gets_the_newer_events_and_writes_nothing(store: SqlStore) -> None:
    attempt = begun(store)
    kept(store, attempt, seen=0)
    second, third = kept(store, attempt, seen=1), kept(store, attempt, seen=2)

    answer = store.append(attempt, seen=1, draft=READING, key="other tab", at=9)

    assert answer == Behind((second, third))
    assert len(store.events(attempt)) == 3


def test_same_press_again_gives_the_same_event(store: SqlStore) -> None:
    attempt = begun(store)
    first = store.append(attempt, seen=0, draft=READING, key="press", at=5)
    assert isinstance(first, Kept)
    kept(store, attempt, seen=1)

    again = store.append(attempt, seen=0, draft=READING, key="press", at=6)

    assert not first.again
    assert again == Kept(first.event, again=True)
    assert len(store.events(attempt)) == 2


def test_same_key_for_another_reading_is_refused(store: SqlStore) -> None:
    attempt = begun(store)
    kept(store, attempt, seen=0, key="press")

    with pytest.raises(NotKept, match=r"press 'press': kept already as event 1 with other content"):
        store.append(attempt, seen=1, draft=READING, key="press", at=6)


def test_same_key_serves_in_two_attempts(store: SqlStore) -> None:
    for attempt in (begun(store), begun(store)):
        assert kept(store, attempt, seen=0, key="press").seq == 1


def test_tab_ahead_of_the_store_is_told_to_load_again(store: SqlStore) -> None:
    attempt = begun(store)

    with pytest.raises(NotKept, match=r"event 3 of this attempt is not kept here"):
        store.append(attempt, seen=3, draft=READING, key="press", at=6)

    assert store.events(attempt) == ()


def test_eight_threads_on_one_attempt_lose_nothing_and_leave_no_gap(store: SqlStore) -> None:
    attempt, presses, start = begun(store), 12, Barrier(8)

    def write(writer: int) -> list[str]:
        start.wait()
        seen, keys = 0, [f"{writer}:{press}" for press in range(presses)]
        for key in keys:
            while isinstance(
                answer := store.append(attempt, seen=seen, draft=READING, key=key, at=1), Behind
            ):
                seen = answer.newer[-1].seq
            seen = answer.event.seq
        return keys

    with ThreadPoolExecutor(8) as pool:
        acknowledged = {key for keys in pool.map(write, range(8)) for key in keys}

    events = store.events(attempt)
    assert [event.seq for event in events] == list(range(1, 8 * presses + 1))
    assert {event.key for event in events} == acknowledged
    check_chain(attempt, events)


KILLS = 200 if FULL else 5


def test_killed_writers_lose_no_acknowledged_event(url: str) -> None:
    store = open_store(url)
    attempt = begun(store)
    killer = subprocess.run(
        [sys.executable, "-m", "tests.exercises.killed_writers", url, attempt, str(KILLS)],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert killer.returncode == 0, killer.stderr
    acknowledged: list[str] = json.loads(killer.stdout)

    events = store.events(attempt)
    there = {f"{event.seq} {event.key}\n" for event in events}
    assert len(acknowledged) >= 2 * KILLS
    assert set(acknowledged) <= there
    # the one event that may be kept without word of it, each time
    assert len(there) <= len(acknowledged) + KILLS
    check_chain(attempt, events)
    print(f"{KILLS} kills, {len(acknowledged)} acknowledged, {len(there)} kept")
    store.close()


def test_correction_is_a_new_mark_beside_the_old(store: SqlStore) -> None:
    attempt = begun(store)
    event = kept(store, attempt, seen=0)
    kept(store, attempt, seen=1)

    first, second = (
        store.keep_mark(
            attempt, 1, event.digest, marker=marker, weights={"proof": 9.9}, columns=[1], at=50
        )
        for marker in ("1", "2")
    )

    assert store.marks(attempt) == (first, second)
    assert first.id < second.id
    assert (first.marker, first.up_to_seq, first.weights) == ("1", 1, {"proof": 9.9})
    assert (first.events_digest, first.columns, first.made_at) == (event.digest, [1], 50)


def test_mark_of_other_events_is_refused(store: SqlStore) -> None:
    attempt = begun(store)
    event = kept(store, attempt, seen=0)
    kept(store, attempt, seen=1)

    for seq, digest in ((2, event.digest), (0, event.digest), (1, "")):
        with pytest.raises(NotKept, match=r"the mark was made of other events"):
            store.keep_mark(attempt, seq, digest, marker="1", weights={}, columns={}, at=9)
    with pytest.raises(NotKept, match=r"event 3 of this attempt is not kept here"):
        store.keep_mark(attempt, 3, event.digest, marker="1", weights={}, columns={}, at=9)

    assert store.marks(attempt) == ()

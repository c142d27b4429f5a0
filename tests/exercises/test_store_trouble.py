"""The store when something cannot be kept, read or changed."""

import math
import resource
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from exercises.events import Draft, check_chain
from exercises.store import (
    Kept,
    NotKept,
    NotRead,
    SqlStore,
    UnknownAttempt,
)
from tests.exercises.stores import READING, begun, kept, opened


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "lab.db"


@contextmanager
def disk_full(store: SqlStore, _file: Path) -> Iterator[None]:
    with store.database.reader.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
    yield
    with store.database.reader.connect() as connection:
        connection.exec_driver_sql("PRAGMA max_page_count=1000000")


@contextmanager
def disk_stops_amid_a_write(_store: SqlStore, file: Path) -> Iterator[None]:
    log = file.with_name(file.name + "-wal").stat().st_size
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (log + 10_000, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def read_only(store: SqlStore, _file: Path) -> Iterator[None]:
    # file permissions do not bind the superuser, who runs tests in containers
    with store.database.reader.connect() as connection:
        connection.exec_driver_sql("PRAGMA query_only=ON")
    yield
    with store.database.reader.connect() as connection:
        connection.exec_driver_sql("PRAGMA query_only=OFF")


@contextmanager
def held_by_another(_store: SqlStore, file: Path) -> Iterator[None]:
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield


@pytest.mark.parametrize(
    ("trouble", "sentence"),
    [
        pytest.param(disk_full, "the disk is full", id="disk full"),
        pytest.param(disk_stops_amid_a_write, "the disk did not take", id="disk stops"),
        pytest.param(read_only, "the database can only be read here", id="read-only"),
        pytest.param(held_by_another, "another program holds the database", id="locked"),
    ],
)
def test_what_cannot_be_kept_is_said_and_the_same_press_works_later(
    file: Path, trouble: Callable[[SqlStore, Path], Iterator[None]], sentence: str
) -> None:
    with closing(opened(file, patience_ms=50)) as store:
        attempt = begun(store)
        first = kept(store, attempt, seen=0)
        long = Draft("note", {"text": "x" * 100_000})

        with trouble(store, file):
            for _ in range(2):
                with pytest.raises(NotKept, match=f"^Nothing was written: {sentence}") as refused:
                    store.append(attempt, seen=1, draft=long, key="press", at=5)
                assert "\n" not in str(refused.value)
            assert store.events(attempt) == (first,)

        answer = store.append(attempt, seen=1, draft=long, key="press", at=6)
        assert isinstance(answer, Kept)
        assert not answer.again
        assert store.events(attempt) == (first, answer.event)
        check_chain(attempt, store.events(attempt))


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        pytest.param(
            {"draft": Draft("reading", {"volt": math.nan})}, r"volt: found nan; accepted", id="NaN"
        ),
        pytest.param({"draft": Draft("", {})}, r"kind is ''; accepted: 1 to 200", id="no kind"),
        pytest.param({"key": "a\x00b"}, r"key is 'a\\x00b'; accepted", id="NUL in key"),
        pytest.param({"key": "\ud800"}, r"key is '\\ud800'; accepted", id="surrogate in key"),
        pytest.param({"at": 2**63}, r"at is \d+; accepted: a whole number from 0", id="far time"),
        pytest.param({"at": 1.5}, r"at is 1.5; accepted: a whole number", id="half a millisecond"),
        pytest.param({"seen": -1}, r"seen is -1; accepted", id="seen below 0"),
        pytest.param({"seen": True}, r"seen is True; accepted", id="seen True"),
    ],
)
def test_press_that_no_database_could_keep_is_refused(
    store: SqlStore, changes: dict[str, object], sentence: str
) -> None:
    attempt = begun(store)
    press = {"seen": 0, "draft": READING, "key": "press", "at": 5, **changes}

    with pytest.raises(NotKept, match=sentence):
        store.append(attempt, **press)  # type: ignore[arg-type]

    assert store.events(attempt) == ()


def test_press_sent_again_with_what_json_lacks_is_refused(store: SqlStore) -> None:
    attempt = begun(store)
    kept(store, attempt, seen=0, key="press")

    with pytest.raises(NotKept, match=r"shown: found nan"):
        store.append(
            attempt, seen=0, draft=Draft("reading", {"shown": math.nan}), key="press", at=5
        )


@pytest.mark.parametrize("changes", [{"circuit_body": {"ohm": math.inf}}, {"seed": -1}])
def test_attempt_that_no_database_could_keep_is_not_begun(
    store: SqlStore, changes: dict[str, object]
) -> None:
    with pytest.raises(NotKept):
        begun(store, **changes)

    assert store.attempts() == ()


@pytest.mark.parametrize("attempt", ["Anone", "", "\ud800", "a\x00b", "x" * 10_000])
def test_unknown_attempt_is_named_in_a_sentence(store: SqlStore, attempt: str) -> None:
    asks: list[Callable[[], object]] = [
        lambda: store.attempt(attempt),
        lambda: store.events(attempt),
        lambda: store.marks(attempt),
        lambda: store.append(attempt, seen=0, draft=READING, key="press", at=5),
        lambda: store.keep_mark(attempt, 0, "", marker="1", weights={}, columns={}, at=5),
    ]
    for ask in asks:
        with pytest.raises(UnknownAttempt, match=r"^attempt '.*: there is none of that id here"):
            ask()


def test_reading_from_a_damaged_file_is_said_in_a_sentence(file: Path) -> None:
    store = opened(file)
    attempt = begun(store)
    store.close()
    with closing(sqlite3.connect(file)) as raw:
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.write_bytes(file.read_bytes()[:4096] + b"\xff" * 60_000)

    with pytest.raises(NotRead, match=r"^The record could not be read: .*damaged"):
        store.events(attempt)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE attempt_event SET body = '{}' WHERE seq = 1",
        "UPDATE mark SET columns = '{}'",
        "UPDATE circuit_version SET body = '{}'",
        "UPDATE exercise_version SET name = 'easier'",
        "DELETE FROM attempt_event WHERE seq = 2",
        "DELETE FROM mark",
        "INSERT INTO attempt_event SELECT attempt_id, seq, key, kind, '{}', at, digest"
        " FROM attempt_event WHERE seq = 1"
        " ON CONFLICT (attempt_id, seq) DO UPDATE SET body = excluded.body",
        pytest.param(
            "REPLACE INTO attempt_event SELECT attempt_id, seq, key, kind, '{}', at, digest"
            " FROM attempt_event",
            id="REPLACE, which PostgreSQL does not know",
        ),
        pytest.param("TRUNCATE mark", id="TRUNCATE, which SQLite does not know"),
        "DELETE FROM exercise_version",
    ],
)
def test_change_of_what_is_kept_is_refused(store: SqlStore, statement: str) -> None:
    attempt = begun(store)
    events = tuple(kept(store, attempt, seen=seen) for seen in range(2))
    mark = store.keep_mark(
        attempt, 2, events[-1].digest, marker="1", weights={}, columns={"proof": 1}, at=9
    )

    with pytest.raises(NotKept), store.database.writing() as connection:
        connection.exec_driver_sql(statement)

    assert store.events(attempt) == events
    assert store.marks(attempt) == (mark,)


def test_attempt_is_erased_with_all_its_events_and_marks(store: SqlStore) -> None:
    gone, stays = begun(store), begun(store)
    for attempt in (gone, stays):
        event = kept(store, attempt, seen=0)
        store.keep_mark(attempt, 1, event.digest, marker="1", weights={}, columns={}, at=9)

    with store.database.writing() as connection:
        connection.exec_driver_sql(f"DELETE FROM attempt WHERE id = '{gone}'")

    with store.database.reading() as connection:
        for table in ("attempt_event", "mark"):
            left = connection.exec_driver_sql(f"SELECT attempt_id FROM {table}").scalars().all()
            assert left == [stays]


def test_event_tampered_with_past_the_triggers_breaks_the_chain(file: Path) -> None:
    store = opened(file)
    attempt = begun(store)
    kept(store, attempt, seen=0)
    kept(store, attempt, seen=1)
    with closing(sqlite3.connect(file)) as raw:
        raw.execute("DROP TRIGGER attempt_event_is_never_changed")
        raw.execute("""UPDATE attempt_event SET body = '{"shown":"0.00"}' WHERE seq = 2""")
        raw.commit()

    with closing(store), pytest.raises(Exception, match=r"^event 2: the chain is broken"):
        check_chain(attempt, store.events(attempt))

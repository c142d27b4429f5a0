"""What the tests of the store share."""

from pathlib import Path

from exercises.events import Draft, Event
from exercises.store import Kept, SqlStore, open_store

PROJECT = Path(__file__).resolve().parents[2]
READING = Draft("reading", {"at": "F1.out", "shown": "12.58"})


def opened(file: Path, patience_ms: int = 15_000) -> SqlStore:
    return open_store(f"sqlite:///{file}", patience_ms=patience_ms)


def begun(store: SqlStore, **changes: object) -> str:
    begin: dict[str, object] = {
        "exercise_name": "dead step",
        "exercise_body": {"complaint": "left step stays in", "minutes": 30},
        "circuit_name": "steps",
        "circuit_body": {"wires": [{"name": "W1", "area_mm2": 2.5}]},
        "seed": 7,
        "engine": "1",
        "at": 1_000,
    }
    return store.begin(**{**begin, **changes})  # type: ignore[arg-type]


def kept(store: SqlStore, attempt: str, *, seen: int, key: str = "", shown: str = "12.58") -> Event:
    draft = Draft("reading", {"shown": shown})
    answer = store.append(
        attempt, seen=seen, draft=draft, key=key or f"press {seen}", at=2_000 + seen
    )
    assert isinstance(answer, Kept)
    return answer.event

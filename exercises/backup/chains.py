"""Whether restored events are attempts from their first on, unchanged."""

import json
from collections.abc import Mapping
from typing import Any

from exercises.backup.archive import BackupError
from exercises.events import Draft, Event, EventsError, chained


class Chains:
    """Checks events as they come by, attempt after attempt."""

    def __init__(self) -> None:
        self._attempt = ""
        self._last: Event | None = None

    def check(self, row: Mapping[str, Any], where: str) -> None:
        """Check that an event follows from the one before it.

        Raises
        ------
        BackupError
            If it was changed, or one before it is missing.
        """
        last = self._last if row["attempt_id"] == self._attempt else None
        try:
            draft = Draft(row["kind"], json.loads(row["body"]))
            event = chained(row["attempt_id"], last, draft, key=row["key"], at=row["at"])
        except (EventsError, ValueError, RecursionError) as error:
            raise BackupError(
                f"{where}: its body is no JSON; accepted: an event as kept."
            ) from error
        if (event.seq, event.digest) != (row["seq"], row["digest"]):
            raise BackupError(
                f"{where}: event {row['seq']} of attempt {row['attempt_id']!r:.40} does not follow "
                "from those before it; accepted: events unchanged since they were kept."
            )
        self._attempt, self._last = row["attempt_id"], event

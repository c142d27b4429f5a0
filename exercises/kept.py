"""What has been worked out and may be asked for again: the latest of it, by what it is of.

One learner's next reading is taken in the same setting, and another learner at the same
exercise takes the same one; both ask for the same vehicles in other company.
"""

import itertools
from collections.abc import Callable, Hashable, Sequence
from threading import Lock
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Made = TypeVar("Made")


class Kept(Generic[Key, Made]):
    """Things made many at a time, of which the latest are kept: at most ``most``."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: dict[Key, Made] = {}
        self._lock = Lock()

    def many(self, keys: Sequence[Key], make: Callable[[list[Key]], Sequence[Made]]) -> list[Made]:
        """Return what belongs to each key; ``make`` is asked once for those that are not kept.

        >>> squares = Kept[int, int](most=2)
        >>> squares.many([2, 3, 2], lambda keys: [key * key for key in keys])
        [4, 9, 4]
        """
        known = {key: self._found[key] for key in dict.fromkeys(keys) if key in self._found}
        new = [key for key in dict.fromkeys(keys) if key not in known]
        if new:
            made = dict(zip(new, make(new), strict=True))
            known |= made
            self._add(made)
        return [known[key] for key in keys]

    def _add(self, made: dict[Key, Made]) -> None:
        with self._lock:
            self._found |= made
            for key in list(itertools.islice(self._found, max(0, len(self._found) - self._most))):
                del self._found[key]

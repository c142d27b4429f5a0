"""Rows of a solved stack, read by name: what each network's volts and amperes are."""

from array import array
from collections.abc import ItemsView, Iterator, Mapping, Sequence, ValuesView
from itertools import compress
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from circuits.lawmath import Array

Number = TypeVar("Number", int, float)


class Row(Mapping[str, Number], Generic[Number]):
    """One network's numbers by name; all networks of a stack share the names.

    ``place`` is where each name's number stands in ``numbers``, ``there`` which of them
    count, all if None.
    """

    __slots__ = ("numbers", "place", "there")

    def __init__(
        self, place: Mapping[str, int], numbers: "array[Number]", there: bytes | None = None
    ) -> None:
        self.place, self.there = place, there
        self.numbers: array[Number] = numbers

    def __getitem__(self, name: str) -> Number:
        place = self.place[name]
        if self.there is not None and not self.there[place]:
            raise KeyError(name)
        return self.numbers[place]

    def get(self, name: str, default: object = None) -> object:  # type: ignore[override]
        """Return the number of this name or the default, without the detour of an error."""
        place = self.place.get(name)
        if place is None or (self.there is not None and not self.there[place]):
            return default
        return self.numbers[place]

    def __iter__(self) -> Iterator[str]:
        return iter(self.place) if self.there is None else compress(self.place, self.there)

    def items(self) -> ItemsView[str, Number]:
        """Return names and numbers."""
        return _Items(self)

    def values(self) -> ValuesView[Number]:
        """Return the numbers."""
        return _Values(self)

    def in_order(self) -> Iterator[Number]:
        """Yield the numbers in the order of their names."""
        return iter(self.numbers) if self.there is None else compress(self.numbers, self.there)

    def __len__(self) -> int:
        return len(self.place) if self.there is None else sum(self.there)

    def __repr__(self) -> str:
        return repr(dict(self))


class _Items(ItemsView[str, Number]):
    _mapping: Row[Number]

    def __iter__(self) -> Iterator[tuple[str, Number]]:
        return zip(self._mapping, self._mapping.in_order(), strict=True)


class _Values(ValuesView[Number]):
    _mapping: Row[Number]

    def __iter__(self) -> Iterator[Number]:
        return self._mapping.in_order()


def rows_of(
    names: Sequence[str], numbers: NDArray[Any], there: NDArray[np.bool_] | None = None
) -> list[Row[Any]]:
    """Return the rows of an array (case, name); ``there`` says which of its numbers count."""
    place = {name: number for number, name in enumerate(names)}
    code = "d" if numbers.dtype.kind == "f" else "q"
    rows = [array(code, row.tobytes()) for row in numbers]
    masks = [None] * len(rows) if there is None else [mask.tobytes() for mask in there]
    return [Row(place, row, mask) for row, mask in zip(rows, masks, strict=True)]


def start_volts(nodes: Sequence[str], known: Sequence[Mapping[str, float]]) -> Array:
    """Return volts (case, node) to begin from, as far as known, 0 where not."""
    start = np.zeros((len(known), len(nodes)))
    alike: dict[int, list[tuple[int, Row[float]]]] = {}
    for case, volts in enumerate(known):
        if isinstance(volts, Row):
            alike.setdefault(id(volts.place), []).append((case, volts))
        else:
            start[case] = [volts.get(node, 0.0) for node in nodes]
    for found in alike.values():
        theirs = found[0][1].place
        shared = [(theirs[node], ours) for ours, node in enumerate(nodes) if node in theirs]
        there, here = (list(side) for side in zip(*shared, strict=True))
        rows = np.array([row.numbers for _, row in found])
        start[np.ix_([case for case, _ in found], here)] = rows[:, there]
    return start

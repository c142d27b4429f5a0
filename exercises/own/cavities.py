"""A connector as it is on somebody's vehicle: how many cavities, and which is which."""

from collections.abc import Mapping
from typing import Any

MOST = 60
SPARE = "Spare"


def cavity_problem(labels: tuple[str, ...], count: int, numbers: tuple[int, ...]) -> str:
    """Return what is wrong with a count of cavities and the number of each label, or empty.

    >>> cavity_problem(("Feed", "Ground"), 4, (3, 3))
    'Ground: found cavity 3, which Feed has; accepted: each cavity once.'
    """
    if not len(labels) <= count <= MOST:
        return f"cavities: found {count}; accepted: {len(labels)} to {MOST}."
    taken: dict[int, str] = {}
    for label, number in zip(labels, numbers, strict=True):
        if not 1 <= number <= count:
            return f"{label}: found cavity {number}; accepted: 1 to {count}."
        if number in taken:
            return (
                f"{label}: found cavity {number}, which {taken[number]} has; "
                "accepted: each cavity once."
            )
        taken[number] = label
    return ""


def rearranged(
    body: Mapping[str, Any], connector: str, count: int, numbers: tuple[int, ...]
) -> dict[str, Any]:
    """Return a circuit's data with a connector's cavities renumbered and spare ones added.

    ``numbers`` holds the new number of each cavity, in their present order; they are right
    (see ``cavity_problem``).
    """
    moved = {f"{connector}.{old}": f"{connector}.{new}" for old, new in enumerate(numbers, 1)}
    changed = {key: _renamed(value, moved) for key, value in body.items()}
    changed["connectors"] = [
        _one(row, count, numbers) if row["name"] == connector else row
        for row in changed["connectors"]
    ]
    return changed


def _one(row: Mapping[str, Any], count: int, numbers: tuple[int, ...]) -> dict[str, Any]:
    places = {new: old for old, new in enumerate(numbers)}
    labels = [
        row["labels"][places[number]] if number in places else f"{SPARE} {number}"
        for number in range(1, count + 1)
    ]
    changed = {**row, "labels": labels}
    if "pins" in row:
        pins = [row["pins"][places[n]] if n in places else "" for n in range(1, count + 1)]
        changed["pins"] = pins
    return changed


def _renamed(value: Any, names: Mapping[str, str]) -> Any:
    """Return data with the terminals renamed, whichever face of the connector is meant."""
    if isinstance(value, str):
        bare, at, face = value.partition("@")
        return names.get(bare, bare) + at + face
    if isinstance(value, Mapping):
        return {key: _renamed(each, names) for key, each in value.items()}
    if isinstance(value, list):
        return [_renamed(each, names) for each in value]
    return value

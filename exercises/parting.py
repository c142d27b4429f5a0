"""Whether a reading could tell two faults apart, from what each may show in it."""

from collections.abc import Iterable

from exercises.candidates import Would


def parted(would: Iterable[Would]) -> bool:
    """Say whether what two different faults may show of a reading has nothing in common."""
    told = [(w.stretch, (w.low.place, w.low.kind)) for w in would if w.stretch is not None]
    if not told:
        return False
    highest = max(told, key=lambda one: one[0][0])
    lowest = min(told, key=lambda one: one[0][1])
    # Were these two of one fault, another fault is apart from one of them or from neither.
    return any(
        (other[1] != highest[1] and other[0][1] < highest[0][0])
        or (other[1] != lowest[1] and other[0][0] > lowest[0][1])
        for other in told
    )

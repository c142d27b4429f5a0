"""What the work costs: minutes on a real vehicle, so that a path can be weighed.

The figures are common practice, no source; places carry their own in the circuit file.
"""

from collections.abc import Iterable

from circuits.model import Circuit, Setting
from circuits.points import find_point

PROBE = 0.5
SWITCH = 0.3
UNMATE = 1.0
PULL = 0.5
ISOLATE = 3.0
JUMPER = 1.5
HELPER = 0.5
NEW_FUSE = 1.0
NEW_BATTERY = 1.0
REPAIR = 10.0
WRONG_PART = 30.0


def places_of(circuit: Circuit, setting: Setting, points: Iterable[str]) -> frozenset[str]:
    """Return the places that one must get at for these points and what is unplugged or out."""
    ends = [end for lead in setting.jumpers for end in (lead.start, lead.end)]
    found = {find_point(circuit, setting, point).place for point in [*points, *ends] if point}
    found |= {circuit.connector_by_name[name].place for name in setting.unmated}
    found |= {circuit.part_by_name[name].place for name in setting.pulled}
    return frozenset(found - {""})


def access_minutes(circuit: Circuit, new: Iterable[str]) -> float:
    """Return the minutes to get at places for the first time."""
    return sum(circuit.place_by_name[name].minutes for name in new)


def setting_minutes(before: Setting, after: Setting) -> float:
    """Return the minutes from one setting to another, access left out."""
    switched = len(set(before.positions) ^ set(after.positions)) > 0
    again = after.moment not in (before.moment, "at_rest")
    return (
        SWITCH * (switched or again)
        + UNMATE * len(before.unmated ^ after.unmated)
        + PULL * len(before.pulled ^ after.pulled)
        + ISOLATE * (before.isolated != after.isolated)
        + JUMPER * len(set(before.jumpers) ^ set(after.jumpers))
        + HELPER * (after.moved not in {"", before.moved})
    )

"""How far sound parts may be from their nominal values, and what that does to a reading.

Every element of a sound vehicle has a spread: so much of its resistance, friction or EMF
either way. What one unknown does to one reading is linear enough to be told by a single
number, its move: the change of the reading with the unknown at its limit. The same
unknown moves every reading of a vehicle, so moves carry what readings have in common.

The limits are common practice, no source, unless a part's own says otherwise.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from random import Random

import numpy as np

from circuits.groups import Group
from circuits.lawmath import KINDS, LAWS, Array, numbers_of
from circuits.laws import Armature, Filament, Law, Ohmic
from circuits.model import Vehicle
from circuits.network import Network
from circuits.newton import Index, Solution
from circuits.spec import CONTACT_OHM, Element, Memory
from circuits.table import Groups

CONTACT_SHARE = 0.5
USUAL_SHARE = 0.10
SHARES = {"controller": 0.20, "fuse": 0.20, "lamp": 0.08, "motor": 0.15, "resistor": 0.05}
"""Either way from nominal, by the trade's name for the part."""

FRICTION_SHARE = 0.25
EMF_VOLT = 0.30
"""A battery rests between about three quarters charged and full (12.45 to 12.65 V and the
surface charge above it: Battery Council table, as reprinted)."""

SOURCE_SHARE = 0.02
"""Of a voltage that electronics hold: a regulator's, a data link's."""


@dataclass(frozen=True, slots=True)
class Spread:
    """One unknown of one element: which field of its law, and how far it goes each way.

    ``amount`` is for the sound part's value, ``nominal``. A fault in series leaves it as it
    is; one that makes the value less, as shorted turns do, makes the amount less with it.
    """

    unknown: str
    field: str
    amount: float
    nominal: float


Spreads = Mapping[str, tuple[Spread, ...]]


def spreads(vehicle: Vehicle, memory: Mapping[str, Memory]) -> Spreads:
    """Return the spreads of a vehicle's elements by name; what a fault adds has none."""
    sound = Vehicle(
        vehicle.circuit, (), vehicle.setting, vehicle.blown, vehicle.celsius, vehicle.ambient
    )
    return _spreads(sound, tuple(sorted(memory.items(), key=lambda pair: pair[0])))


@lru_cache(maxsize=4096)
def _spreads(sound: Vehicle, memory: tuple[tuple[str, Memory], ...]) -> Spreads:
    elements = Network(sound).elements(dict(memory))
    unsure = sound.circuit.unsure_share
    return {e.name: _spread(sort_of(sound, e), e, unsure.get(_owner(e), 0.0)) for e in elements}


def _owner(element: Element) -> str:
    """Return the name of the part or wire that an element belongs to."""
    return element.name.partition(".")[0]


def sort_of(vehicle: Vehicle, element: Element) -> str:
    """Return the trade's name for what an element belongs to."""
    part = vehicle.circuit.part_by_name.get(_owner(element))
    return part.spec.sort if part else "wire"


def _spread(sort: str, element: Element, unsure: float) -> tuple[Spread, ...]:
    values = {name: getattr(element.law, name) for name, _ in _limits(sort, element.law)}
    return tuple(
        Spread(f"{element.name}:{name}", name, max(usual, unsure * abs(values[name])), values[name])
        for name, usual in _limits(sort, element.law)
        if usual > 0
    )


def _limits(sort: str, law: Law) -> tuple[tuple[str, float], ...]:
    share = SHARES.get(sort, USUAL_SHARE)
    match law:
        case Ohmic(ohm, 0.0):
            return (("ohm", ohm * (CONTACT_SHARE if ohm <= 2 * CONTACT_OHM else share)),)
        case Ohmic(ohm, _) if sort == "battery":
            return (("ohm", ohm * CONTACT_SHARE), ("emf", EMF_VOLT))
        case Ohmic(ohm, emf):
            return (("ohm", ohm * share), ("emf", abs(emf) * SOURCE_SHARE))
        case Filament(hot_ohm=ohm):
            return (("hot_ohm", ohm * share),)
        case Armature(ohm=ohm, friction_nm=friction):
            return (("ohm", ohm * share), ("friction_nm", friction * FRICTION_SHARE))
        case _:
            return ()


def drawn(vehicle: Vehicle, random: Random, *, share: float = 1.0) -> Vehicle:
    """Return a vehicle whose parts lie somewhere within their spreads, evenly drawn.

    ``share`` narrows the spreads; the draw goes by the names of the sound vehicle's
    elements in every state, so that one part is the same in every setting.
    """
    return replace(vehicle, scatter=_Draw(random.getrandbits(64), share).pairs(vehicle))


def _unknowns(vehicle: Vehicle) -> list[str]:
    return sorted({s.unknown for found in _all_spreads(vehicle) for s in found})


@dataclass(frozen=True, slots=True)
class _Draw:
    seed: int
    share: float

    def pairs(self, vehicle: Vehicle) -> tuple[tuple[str, float], ...]:
        random = Random(self.seed)
        return tuple((n, self.share * random.uniform(-1, 1)) for n in _unknowns(vehicle))


def _all_spreads(vehicle: Vehicle) -> list[tuple[Spread, ...]]:
    """Return the spreads of every element that any discrete state can make."""
    found = list(spreads(vehicle, {}).values())
    flags = {
        part.name: frozenset(part.spec.memory_flags)
        for part in vehicle.circuit.parts
        if part.spec.memory_flags and "blown" not in part.spec.memory_flags
    }
    return [*found, *spreads(vehicle, flags).values()]


def elements_of(network: Network, memory: Mapping[str, Memory]) -> tuple[Element, ...]:
    """Return a network's elements with the vehicle's own scatter in them."""
    return tuple(itertools.chain.from_iterable(groups_of(network, memory)))


def groups_of(network: Network, memory: Mapping[str, Memory]) -> tuple[Group, ...]:
    """Return a network's elements in groups, with the vehicle's own scatter in them."""
    groups, vehicle = network.groups(memory), network.vehicle
    if not vehicle.scatter:
        return groups
    known = spreads(vehicle, memory)
    return _moved_groups(vehicle.scatter, _Same(known)).groups(groups)


@dataclass(frozen=True, slots=True, eq=False)
class _MovedGroups:
    """Groups with one scatter in them; what two vehicles share stays one object."""

    place: Mapping[str, float]
    known: Spreads
    moved: frozenset[str]
    _found: dict[int, Group] = field(default_factory=dict)
    _kept: list[Group] = field(default_factory=list)
    """The groups as they were: the id of one that is gone would be another's."""

    def groups(self, groups: Sequence[Group]) -> tuple[Group, ...]:
        found = self._found
        known = [found.get(id(group)) for group in groups]
        return tuple(
            [
                self._move(group) if moved is None else moved
                for group, moved in zip(groups, known, strict=True)
            ]
        )

    def _move(self, group: Group) -> Group:
        moved = group
        if any(e.name in self.moved for e in group):
            moved = tuple(_moved(e, self.known.get(e.name, ()), self.place) for e in group)
        self._kept.append(group)
        self._found[id(group)] = moved
        return moved


@dataclass(frozen=True, slots=True)
class _Same:
    """A table of spreads that equals only itself."""

    table: Spreads

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.table is other.table

    def __hash__(self) -> int:
        return id(self.table)


@lru_cache(maxsize=128)
def _moved_groups(scatter: tuple[tuple[str, float], ...], known: _Same) -> _MovedGroups:
    names = frozenset(unknown.rpartition(":")[0] for unknown, _ in scatter)
    return _MovedGroups(dict(scatter), known.table, names)


def _moved(element: Element, found: Sequence[Spread], place: Mapping[str, float]) -> Element:
    law = element.law
    for spread in found:
        law = _shift(law, spread, place.get(spread.unknown, 0.0))
    return element if law is element.law else replace(element, law=law)


def _shift(law: Law, spread: Spread, by: float) -> Law:
    if by == 0.0 or not hasattr(law, spread.field):
        return law
    value = getattr(law, spread.field)
    amount = spread.amount * min(1.0, abs(value / spread.nominal))
    return replace(law, **{spread.field: value + by * amount})


@dataclass(frozen=True, slots=True)
class Injections:
    """What each unknown would push through its element at the solved volts.

    Attributes
    ----------
    unknowns : their names; one comes again where a fault puts its element between other
        nodes, and no case has it twice.
    column : the element of each, as a column of the stack.
    ampere : (case, unknown), the change of current at fixed volts, at the limit (half of
        that from one limit to the other).
    """

    unknowns: tuple[str, ...]
    column: Index
    ampere: Array


def injections(solution: Solution, cases: Sequence[Groups], known: Sequence[Spreads]) -> Injections:
    """Return what the unknowns of each case of a solved stack would inject."""
    seen = _Pushes({key: number for number, key in enumerate(solution.elements)})
    rows: list[int] = []
    entries: list[int] = []
    for case, (groups, table) in enumerate(zip(cases, known, strict=True)):
        before = len(entries)
        for group in groups:
            entries += seen.entries(group, table)
        rows += [case] * (len(entries) - before)
    columns = np.array([column for _, column in seen.names], dtype=np.intp)
    unknowns = tuple(unknown for unknown, _ in seen.names)
    which = (np.array(rows, dtype=np.intp), np.array(entries, dtype=np.intp))
    return Injections(unknowns, columns, _pushed(solution, columns, seen.found, which))


@dataclass(frozen=True, slots=True)
class _Ends:
    """An unknown's number, the code of its law, and the law's numbers at both its limits."""

    number: int
    kind: int
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Pushes:
    """What was looked at so far: each group and element once with each table of spreads."""

    columns: Mapping[tuple[str, str, str], int]
    names: dict[tuple[str, int], int] = field(default_factory=dict)
    found: list[_Ends] = field(default_factory=list)
    _known: dict[tuple[int, int], list[int]] = field(default_factory=dict)

    def entries(self, group: Sequence[Element], table: Spreads) -> list[int]:
        """Return the places in ``found`` of all that a group's elements have."""
        known = self._known.get((id(group), id(table)))
        if known is None:
            known = [entry for element in group for entry in self._of_element(element, table)]
            self._known[(id(group), id(table))] = known
        return known

    def _of_element(self, element: Element, table: Spreads) -> list[int]:
        key = (id(element), id(table))
        if key not in self._known:
            before = len(self.found)
            self.found.extend(_ends(element, table, self.columns, self.names))
            self._known[key] = list(range(before, len(self.found)))
        return self._known[key]


def _ends(
    element: Element,
    table: Spreads,
    columns: Mapping[tuple[str, str, str], int],
    names: dict[tuple[str, int], int],
) -> Iterator[_Ends]:
    column = columns.get((element.name, element.a, element.b))
    for spread in table.get(element.name, ()):
        if column is None or not hasattr(element.law, spread.field):
            continue
        number = names.setdefault((spread.unknown, column), len(names))
        low, high = (numbers_of(_shift(element.law, spread, by)) for by in (-1.0, 1.0))
        yield _Ends(number, KINDS.index(type(element.law)), low, high)


def _pushed(
    solution: Solution, column: Index, found: Sequence[_Ends], which: tuple[Index, Index]
) -> Array:
    index = {node: number for number, node in enumerate(solution.nodes)}
    a = np.array([index[end] for _, end, _ in solution.elements], dtype=np.intp)[column]
    b = np.array([index[end] for _, _, end in solution.elements], dtype=np.intp)[column]
    across = solution.volt[:, a] - solution.volt[:, b]
    pushed = np.zeros(across.shape)
    cases, entries = which
    number = np.array([ends.number for ends in found], dtype=np.intp)[entries]
    kinds = np.array([ends.kind for ends in found], dtype=np.intp)[entries]
    lows, highs = (
        np.array([getattr(ends, end) for ends in found]).reshape(-1, 5).T for end in ("low", "high")
    )
    for kind, law in enumerate(LAWS):
        mine = np.flatnonzero(kinds == kind)
        if mine.size:
            rows, columns = cases[mine], number[mine]
            volt = across[rows, columns]
            low = law(volt, lows[:, entries[mine]])[0]
            high = law(volt, highs[:, entries[mine]])[0]
            pushed[rows, columns] = (high - low) / 2
    return pushed

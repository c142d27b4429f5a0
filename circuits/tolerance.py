"""How far sound parts may be from their nominal values, and what that does to a reading.

Every element of a sound vehicle has a spread: so much of its resistance, friction or EMF
either way. What one unknown does to one reading is linear enough to be told by a single
number, its move: the change of the reading with the unknown at its limit. The same
unknown moves every reading of a vehicle, so moves carry what readings have in common.

The limits are common practice, no source, unless a part's own says otherwise.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from random import Random

import numpy as np

from circuits.lawmath import KINDS, LAWS, Array, numbers_of
from circuits.laws import Armature, Filament, Law, Ohmic
from circuits.model import Vehicle
from circuits.network import Network
from circuits.newton import Index, Solution
from circuits.spec import CONTACT_OHM, Element, Memory

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
    sound = replace(vehicle, faults=(), scatter=())
    return _spreads(sound, tuple(sorted(memory.items(), key=lambda pair: pair[0])))


@lru_cache(maxsize=4096)
def _spreads(sound: Vehicle, memory: tuple[tuple[str, Memory], ...]) -> Spreads:
    elements = Network(sound).elements(dict(memory))
    return {e.name: _spread(sort_of(sound, e), e) for e in elements}


def sort_of(vehicle: Vehicle, element: Element) -> str:
    """Return the trade's name for what an element belongs to."""
    part = vehicle.circuit.part_by_name.get(element.name.partition(".")[0])
    return part.spec.sort if part else "wire"


def _spread(sort: str, element: Element) -> tuple[Spread, ...]:
    return tuple(
        Spread(f"{element.name}:{name}", name, amount, getattr(element.law, name))
        for name, amount in _limits(sort, element.law)
        if amount > 0
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


@dataclass(frozen=True, slots=True)
class _Draw:
    seed: int
    share: float

    def pairs(self, vehicle: Vehicle) -> tuple[tuple[str, float], ...]:
        names = sorted({s.unknown for found in _all_spreads(vehicle) for s in found})
        random = Random(self.seed)
        return tuple((name, self.share * random.uniform(-1, 1)) for name in names)


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
    elements = network.elements(memory)
    vehicle = network.vehicle
    if not vehicle.scatter:
        return elements
    place, known = dict(vehicle.scatter), spreads(vehicle, memory)
    return tuple(_moved(e, known.get(e.name, ()), place) for e in elements)


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


def injections(
    solution: Solution, cases: Sequence[Sequence[Element]], known: Sequence[Spreads]
) -> Injections:
    """Return what the unknowns of each case of a solved stack would inject."""
    columns = {key: number for number, key in enumerate(solution.elements)}
    names: dict[tuple[str, int], int] = {}
    # Most elements are the same object in every case: each is looked at once.
    told: dict[tuple[int, int], list[_Ends]] = {}
    entries: list[tuple[int, _Ends]] = []
    for case, (elements, table) in enumerate(zip(cases, known, strict=True)):
        for element in elements:
            key = (id(element), id(table))
            if key not in told:
                told[key] = list(_ends(element, table, columns, names))
            entries += [(case, ends) for ends in told[key]]
    columns_of = np.array([column for _, column in names], dtype=np.intp)
    unknowns = tuple(unknown for unknown, _ in names)
    return Injections(unknowns, columns_of, _pushed(solution, columns_of, entries))


@dataclass(frozen=True, slots=True)
class _Ends:
    """An unknown's number, the code of its law, and the law's numbers at both its limits."""

    number: int
    kind: int
    low: tuple[float, ...]
    high: tuple[float, ...]


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


def _pushed(solution: Solution, column: Index, entries: Sequence[tuple[int, _Ends]]) -> Array:
    index = {node: number for number, node in enumerate(solution.nodes)}
    a = np.array([index[end] for _, end, _ in solution.elements], dtype=np.intp)[column]
    b = np.array([index[end] for _, _, end in solution.elements], dtype=np.intp)[column]
    across = solution.volt[:, a] - solution.volt[:, b]
    pushed = np.zeros(across.shape)
    for kind, law in enumerate(LAWS):
        mine = [(case, ends) for case, ends in entries if ends.kind == kind]
        if mine:
            rows = np.array([case for case, _ in mine])
            numbers = np.array([ends.number for _, ends in mine])
            volt = across[rows, numbers]
            low = law(volt, np.array([ends.low for _, ends in mine]).T)[0]
            high = law(volt, np.array([ends.high for _, ends in mine]).T)[0]
            pushed[rows, numbers] = (high - low) / 2
    return pushed

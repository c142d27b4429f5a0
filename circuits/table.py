"""The elements of many networks as one table: a column for each element, a case each network.

Most elements are the same object in most networks, and so are the groups in which they come:
each group is looked at once, and of each network only the groups in which it differs from the
first one.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from circuits.elimination import Index
from circuits.lawmath import KINDS, Array, conducts, numbers_of
from circuits.spec import BODY, Element

Groups = Sequence[Sequence[Element]]
"""A network's elements in groups; groups that several networks share are one object."""

_Key = tuple[str, str, str, int]


@dataclass(frozen=True, slots=True)
class Table:
    """Networks over the same nodes and elements.

    Attributes
    ----------
    nodes, elements : their names; an element's with its ends. Node 0 is the body.
    a, b : the ends of the elements, by number of the node.
    laws : the elements of each law, in the order of ``circuits.lawmath.LAWS``.
    present : (case, element), whether the network has the element.
    numbers : (5, element, case), the parameters; a resistance that is absent conducts 0.
    """

    nodes: tuple[str, ...]
    elements: tuple[tuple[str, str, str], ...]
    a: Index
    b: Index
    laws: tuple[slice, ...]
    present: NDArray[np.bool_]
    numbers: Array


_CODES = {kind: code for code, kind in enumerate(KINDS)}


@dataclass(frozen=True, slots=True)
class _Seen:
    """What was looked at so far: nodes and columns by key, entries (column, parameters)."""

    node: dict[str, int] = field(default_factory=dict)
    column: dict[_Key, int] = field(default_factory=dict)
    columns: list[int] = field(default_factory=list)
    numbers: list[tuple[float, ...]] = field(default_factory=list)
    groups: dict[int, list[int]] = field(default_factory=dict)

    def entries(self, group: Sequence[Element]) -> list[int]:
        """Return the numbers of the entries that a group's elements made."""
        known = self.groups.get(id(group))
        if known is not None:
            return known
        # Run for every element of every group: names are looked up once, not at each turn.
        node, column, columns, numbers = self.node, self.column, self.columns, self.numbers
        found = self.groups[id(group)] = []
        for element in group:
            name, a, b, law = element.name, element.a, element.b, element.law
            if not conducts(law):
                continue
            node.setdefault(a, len(node))
            node.setdefault(b, len(node))
            found.append(len(columns))
            columns.append(column.setdefault((name, a, b, _CODES[type(law)]), len(column)))
            numbers.append(numbers_of(law))
        return found


def tabled(cases: Sequence[Groups], nodes: Sequence[str] = ()) -> Table:
    """Return the table of networks, in which these nodes come first."""
    seen = _Seen()
    for node in (BODY, *nodes):
        seen.node.setdefault(node, len(seen.node))
    first = [entry for group in cases[0] for entry in seen.entries(group)]
    gone, come = _differences(cases, seen)
    kinds = np.array([kind for *_, kind in seen.column], dtype=np.intp)
    order = np.argsort(kinds, kind="stable")
    column = np.argsort(order)[np.array(seen.columns, dtype=np.intp)]
    values = np.array(seen.numbers).reshape(-1, 5).T
    present = np.zeros((len(cases), kinds.size), dtype=bool)
    # Ones where an element is absent: any number that divides.
    numbers = np.ones((5, kinds.size, len(cases)))
    present[:, column[first]] = True
    numbers[:, column[first], :] = values[:, first, None]
    present[gone[0], column[gone[1]]] = False
    present[come[0], column[come[1]]] = True
    numbers[:, column[come[1]], come[0]] = values[:, come[1]]
    keys = list(seen.column)
    elements = tuple(keys[n][:3] for n in order.tolist())
    bounds = np.searchsorted(kinds[order], np.arange(len(KINDS) + 1)).tolist()
    laws = tuple(slice(*pair) for pair in itertools.pairwise(bounds))
    numbers[0, laws[0]] *= present.T[laws[0]]
    a, b = (np.array([seen.node[key[end]] for key in elements], dtype=np.intp) for end in (1, 2))
    return Table(tuple(seen.node), elements, a, b, laws, present, numbers)


def _differences(
    cases: Sequence[Groups], seen: _Seen
) -> tuple[tuple[Index, Index], tuple[Index, Index]]:
    """Return ``(case, entry)`` of what cases lack of the first one, and of what they have
    besides."""
    gone: list[tuple[int, int]] = []
    come: list[tuple[int, int]] = []
    for case, groups in enumerate(cases):
        if groups is cases[0]:
            continue
        for usual, own in itertools.zip_longest(cases[0], groups, fillvalue=()):
            if own is not usual:
                gone += [(case, entry) for entry in seen.entries(usual)]
                come += [(case, entry) for entry in seen.entries(own)]
    return _sides(gone), _sides(come)


def _sides(pairs: Sequence[tuple[int, int]]) -> tuple[Index, Index]:
    both = np.array(pairs, dtype=np.intp).reshape(-1, 2)
    return both[:, 0], both[:, 1]

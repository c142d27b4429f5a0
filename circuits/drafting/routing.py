"""Routes: the wires' paths through the channels between the ranks.

A wire runs along, across and along again in each channel; the pieces across lie in lanes
(after Hashimoto and Stevens, *Wire routing by optimizing channel assignment*, 1971, from
memory). Wires that share a port share a lane, and the branch gets a dot.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from circuits.drafting.drawn import Point
from circuits.drafting.ranks import End, Grid, Link
from circuits.drafting.rows import Rows

LANE = 12
"""From one lane to the next."""
CLASH = 1000
"""What two wires on one row cost, in crossings."""


@dataclass(frozen=True, slots=True)
class Bus:
    """The links of a channel that hang together by a shared port, and their lane.

    ``near`` and ``far`` are the rows on the channel's left and right.
    """

    links: tuple[Link, ...]
    near: frozenset[int]
    far: frozenset[int]

    @property
    def low(self) -> int:
        """The least row."""
        return min(self.near | self.far)

    @property
    def high(self) -> int:
        """The greatest row."""
        return max(self.near | self.far)

    @property
    def straight(self) -> bool:
        """Whether no piece across is needed."""
        return self.low == self.high


@dataclass(frozen=True, slots=True)
class Channel:
    """The buses of one channel with their lanes, counted from its left."""

    buses: tuple[Bus, ...]
    lane: Mapping[int, int]
    """Lane by the index of a bus that is not straight."""
    clashes: tuple[tuple[End, End], ...]

    @property
    def lanes(self) -> int:
        """How many lanes there are."""
        return max(self.lane.values(), default=-1) + 1


def route(grid: Grid, rows: Rows) -> tuple[Channel, ...]:
    """Return the lanes of every channel, from the one before rank 0 to the last."""
    return tuple(
        _channel(grid, rows, tuple(grid.by_channel.get(number, ())))
        for number in range(len(grid.order) + 1)
    )


def _channel(grid: Grid, rows: Rows, links: tuple[Link, ...]) -> Channel:
    buses = tuple(_bus(grid, rows, group) for group in _groups(links))
    bent = [n for n, bus in enumerate(buses) if not bus.straight]
    order = _ordered(buses, bent)
    lane: dict[int, int] = {}
    for number in order:
        earlier = [lane[m] + 1 for m in lane if _bound(buses[m], buses[number])]
        lane[number] = max(earlier, default=0)
    clashes = tuple(
        pair
        for place, left in enumerate(order)
        for right in order[place + 1 :]
        for pair in _clashing(grid, rows, buses[left], buses[right])
    )
    return Channel(buses, lane, clashes)


def _groups(links: tuple[Link, ...]) -> list[tuple[Link, ...]]:
    """Return the links grouped by the ports that they share."""
    groups: list[tuple[set[End], list[Link]]] = []
    for link in links:
        ends, members = set(link.ends), [link]
        for group in [g for g in groups if g[0] & ends]:
            ends |= group[0]
            members = group[1] + members
            groups.remove(group)
        groups.append((ends, members))
    return [tuple(members) for _, members in groups]


def _level(grid: Grid, rows: Rows, end: End) -> int:
    return rows.of(grid.blocks[end[0]], end[1])


def _bus(grid: Grid, rows: Rows, links: tuple[Link, ...]) -> Bus:
    sided = [
        (side, _level(grid, rows, end))
        for link in links
        for end, side in zip(link.ends, link.sides, strict=True)
    ]
    return Bus(
        links,
        frozenset(row for side, row in sided if side > 0),
        frozenset(row for side, row in sided if side < 0),
    )


def _cost(left: Bus, right: Bus) -> int:
    """Return crossings and clashes of two buses, the first in a lane left of the second."""
    crossed = sum(right.low < row < right.high for row in left.far)
    crossed += sum(left.low < row < left.high for row in right.near)
    return crossed + CLASH * len(left.far & right.near)


def _bound(left: Bus, right: Bus) -> bool:
    """Whether two buses may not share a lane, nor change places for nothing."""
    apart = left.high + LANE <= right.low or right.high + LANE <= left.low
    return not apart


def _ordered(buses: tuple[Bus, ...], bent: list[int]) -> list[int]:
    """Return the bent buses in a sequence of lanes with few crossings."""
    order: list[int] = []
    for number in bent:
        trials = [[*order[:k], number, *order[k:]] for k in range(len(order) + 1)]
        order = min(trials, key=lambda trial: _total(buses, trial))
    improved = True
    while improved:
        improved = False
        for number in list(order):
            rest = [n for n in order if n != number]
            trials = [[*rest[:k], number, *rest[k:]] for k in range(len(order))]
            best = min(trials, key=lambda trial: _total(buses, trial))
            if _total(buses, best) < _total(buses, order):
                order, improved = best, True
    return order


def _total(buses: tuple[Bus, ...], order: list[int]) -> int:
    return sum(
        _cost(buses[left], buses[right])
        for place, left in enumerate(order)
        for right in order[place + 1 :]
    )


def _clashing(grid: Grid, rows: Rows, left: Bus, right: Bus) -> list[tuple[End, End]]:
    """Return pairs of ends on one row that would run along each other."""
    shared = left.far & right.near
    if not shared:
        return []
    far = {_level(grid, rows, e): e for k in left.links for e, s in _sided(k) if s < 0}
    near = {_level(grid, rows, e): e for k in right.links for e, s in _sided(k) if s > 0}
    return [(far[row], near[row]) for row in sorted(shared)]


def _sided(link: Link) -> list[tuple[End, int]]:
    return list(zip(link.ends, link.sides, strict=True))


def dots_of(channel: Channel, lanes: Sequence[float]) -> list[Point]:
    """Return where a bus branches, in (along, across)."""
    found = []
    for number, bus in enumerate(channel.buses):
        if bus.straight:
            continue
        for row in sorted(bus.near | bus.far):
            arms = (row in bus.near) + (row in bus.far) + (row > bus.low) + (row < bus.high)
            if arms > 2:
                found.append((lanes[channel.lane[number]], float(row)))
    return found

"""The allowed tests of a circuit: every setting and reading that a tester would think of.

Not every combination. A tester works each switch, in the vehicle as found and with the
rest of it working, and watches; measures from each point to the body and to the battery,
and across each wire, contact and part; unplugs one connector or pulls one fuse; and takes
the battery off before the ohms.
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from circuits.instruments import Instrument, Measurement
from circuits.model import AS_FOUND, Circuit, Connector, Setting, Vehicle
from circuits.operate import solve_many
from circuits.parts.supply import Battery, Fuse
from circuits.points import TestPoint, exposed_points
from circuits.settings import has_mover, setting_from, switches
from circuits.spec import BODY, Moment, join
from exercises import minutes
from exercises.exercise import Exercise

MOST_COMBINATIONS = 64
"""Most combinations of switch positions that are tried for the one in which most works."""

FLOWS_AMPERE = 1e-3
"""A wire with more than this is at work (common practice, no source)."""

MOST_PAIRED = 6
"""Most cavities of a connector, and terminals of a part, that are paired each with each."""


COMES_AND_GOES = frozenset({"lifting_brush", "spread"})
"""Kinds of fault that come and go by themselves when what has them is tapped or wiggled."""


@dataclass(frozen=True, slots=True)
class AllowedTest:
    """A test: how the vehicle is set, and what is measured; None where it is only watched."""

    setting: Setting
    what: Measurement | None

    @property
    def instrument(self) -> str:
        """The instrument, empty where the vehicle is only watched."""
        return self.what.instrument if self.what else ""


@lru_cache(maxsize=64)
def working(circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """Return the positions in which most of a sound vehicle's wires carry current.

    Of several such, those in which they carry most.
    """
    names = [(name, spec.positions, spec.rests) for name, spec in switches(circuit)]
    if math.prod(len(positions) for _, positions, _ in names) > MOST_COMBINATIONS:
        names = [(name, (rests, positions[-1]), rests) for name, positions, rests in names]
    choices = itertools.product(*([(name, p) for p in positions] for name, positions, _ in names))
    found = list(itertools.islice(choices, MOST_COMBINATIONS))
    settings = [setting_from(circuit, positions=dict(choice)) for choice in found]
    states = solve_many([Vehicle(circuit, (), setting) for setting in settings])
    wires = [wire.name for wire in circuit.wires]

    def busy(number: int) -> tuple[int, float, int]:
        amperes = [abs(states[number].ampere.get(wire, 0.0)) for wire in wires]
        flows = sum(ampere > FLOWS_AMPERE for ampere in amperes)
        return flows, round(sum(amperes), 1), -len(settings[number].positions)

    return settings[max(range(len(found)), key=busy)].positions


@lru_cache(maxsize=64)
def allowed_settings(circuit: Circuit) -> tuple[Setting, ...]:
    """Return the settings in which a tester takes readings, as found first."""
    works = dict(working(circuit))
    at_work = setting_from(circuit, positions=works)
    found = [AS_FOUND, at_work, *_positions(circuit, {}), *_positions(circuit, works)]
    found += _moments(circuit, at_work)
    fuses = [part.name for part in circuit.parts if isinstance(part.spec, Fuse)]
    for name in circuit.connector_by_name:
        found.append(replace(at_work, unmated=frozenset({name})))
    for name in fuses:
        found.append(replace(AS_FOUND, pulled=frozenset({name})))
    apart = replace(AS_FOUND, isolated=True)
    found.append(apart)
    found += [replace(apart, unmated=frozenset({name})) for name in circuit.connector_by_name]
    found += [replace(apart, pulled=frozenset({name})) for name in fuses]
    found.append(replace(apart, positions=at_work.positions))
    found += _switched(circuit, apart)
    found.append(replace(at_work, warm=True))
    found += [replace(at_work, moved=name) for name in _wiggled(circuit)]
    return tuple(dict.fromkeys(found))


def _positions(circuit: Circuit, others: Mapping[str, str]) -> Iterator[Setting]:
    """Yield each position of each switch, the other switches as given."""
    for name, spec in switches(circuit):
        for position in spec.positions:
            yield setting_from(circuit, positions={**others, name: position})


def _switched(circuit: Circuit, apart: Setting) -> Iterator[Setting]:
    """Yield each switch unplugged and put into each position, for the ohms of its contacts."""
    for name, spec in switches(circuit):
        for connector, position in itertools.product(circuit.plugged_in(name), spec.positions):
            positions = setting_from(circuit, positions={name: position}).positions
            yield replace(apart, positions=positions, unmated=frozenset({connector.name}))


def _moments(circuit: Circuit, at_work: Setting) -> Iterator[Setting]:
    """Yield the moments of an operation: its start, and the way back after it."""
    if has_mover(circuit):
        moments: tuple[tuple[Setting, Moment], ...] = (
            (at_work, "just_operated"),
            (AS_FOUND, "moving"),
        )
        for setting, moment in moments:
            yield replace(setting, moment=moment)


def _wiggled(circuit: Circuit) -> Iterator[str]:
    """Yield what a second person can wiggle or tap: connectors, and parts that have faults."""
    yield from circuit.connector_by_name
    for part in circuit.parts:
        if part.spec.sites():
            yield part.name


@lru_cache(maxsize=64)
def allowed_tests(circuit: Circuit) -> tuple[AllowedTest, ...]:
    """Return every test that a tester would think of, by setting, watching first."""
    return tuple(
        test for setting in allowed_settings(circuit) for test in tests_in(circuit, setting)
    )


def tests_in(circuit: Circuit, setting: Setting) -> Iterator[AllowedTest]:
    """Yield the tests of one setting: watching, volts or ohms between points, the clamp."""
    if not setting.isolated:
        yield AllowedTest(setting, None)
    pairs = _Pairs(circuit, setting)
    instrument: Instrument = "ohms" if setting.isolated else "volts"
    for red, black in pairs.found():
        # An ohmmeter's leads are zeroed before small ohms are told from none.
        yield AllowedTest(setting, Measurement(instrument, red, black, zeroed=instrument == "ohms"))
    if not setting.isolated and not setting.unmated:
        for wire in circuit.wires:
            if not setting.moved or setting.moved in _ends_at(wire.start, wire.end):
                yield AllowedTest(setting, Measurement("clamp", wire=wire.name))


def _ends_at(*terminals: str) -> tuple[str, ...]:
    return tuple(terminal.partition(".")[0] for terminal in terminals)


class _Pairs:
    """The pairs of points between which a tester measures in one setting."""

    def __init__(self, circuit: Circuit, setting: Setting) -> None:
        self.circuit, self.setting = circuit, setting
        self.points = exposed_points(circuit, setting)
        self.at: dict[str, TestPoint] = {}
        for point in self.points:
            self.at.setdefault(point.node, point)

    def found(self) -> Iterator[tuple[str, str]]:
        """Yield pairs of point names, each pair of nodes once."""
        done: set[frozenset[str]] = set()
        for red, black in self._wanted():
            a, b = self._reached(red), self._reached(black)
            if a is None or b is None or a.node == b.node:
                continue
            nodes = frozenset((a.node, b.node))
            if nodes in done or not self._concerns(a, b):
                continue
            done.add(nodes)
            yield a.name, b.name

    def _wanted(self) -> Iterator[tuple[str, str]]:
        grounds = [BODY]
        if not self.setting.isolated:
            batteries = (p.name for p in self.circuit.parts if isinstance(p.spec, Battery))
            grounds += [join(name, "pos") for name in itertools.islice(batteries, 1)]
        for ground in grounds:
            yield from ((point.node, ground) for point in self.points)
        for wire in self.circuit.wires:
            yield self.circuit.node(wire.start), self.circuit.node(wire.end)
        for part in self.circuit.parts:
            nodes = [self.circuit.node(join(part.name, t)) for t in part.spec.terminals()]
            yield from _each_with_each(nodes)
        for connector in self.circuit.connectors:
            yield from self._of_connector(connector)

    def _of_connector(self, connector: Connector) -> Iterator[tuple[str, str]]:
        """Yield across each contact, and between the cavities of each face."""
        faces = [
            [connector.face(n, face) for n in connector.cavities()] for face in connector.faces
        ]
        if connector.inline and connector.name not in self.setting.unmated:
            yield from zip(*faces, strict=True)
        for nodes in faces:
            yield from _each_with_each(nodes)

    def _reached(self, node: str) -> TestPoint | None:
        """Return the point at a node, or else behind the mated contact in front of it."""
        point = self.at.get(node)
        if point is None and "@" in node:
            cavity, _, _ = node.partition("@")
            name = cavity.partition(".")[0]
            connector = self.circuit.connector_by_name.get(name)
            if connector is not None and name not in self.setting.unmated:
                point = self.at.get(f"{cavity}@{connector.faces[0]}")
        return point

    def _concerns(self, *points: TestPoint) -> bool:
        """Say whether a pair is worth a helper: what is wiggled, or next to it."""
        moved = self.setting.moved
        return not moved or any(moved in _ends_at(point.name) for point in points)


def _each_with_each(nodes: list[str]) -> Iterator[tuple[str, str]]:
    if len(nodes) <= MOST_PAIRED:
        return itertools.combinations(nodes, 2)
    return itertools.pairwise(nodes)


def permitted(exercise: Exercise, test: AllowedTest) -> bool:
    """Say whether the rules of an exercise allow a test, and its slip gives reason for it.

    Nobody warms a vehicle, or taps what is no connector, without a hint that it matters.
    """
    what = test.what
    if what is not None and what.instrument not in exercise.instruments:
        return False
    if test.setting.warm and "warm" not in exercise.conditions:
        return False
    if "moved" not in exercise.conditions and not worth_moving(
        exercise.circuit, test.setting.moved
    ):
        return False
    return not places_of(exercise.circuit, test) & set(exercise.closed_places)


def worth_moving(circuit: Circuit, moved: str) -> bool:
    """Say whether it is worth tapping or wiggling something, without a hint that it matters."""
    part = circuit.part_by_name.get(moved)
    if part is None:
        return True
    return any(COMES_AND_GOES & set(site.kinds) for site in part.spec.sites())


def places_of(circuit: Circuit, test: AllowedTest) -> frozenset[str]:
    """Return the places that one must get at for a test."""
    points: Iterable[str] = (test.what.red, test.what.black) if test.what else ()
    return minutes.places_of(circuit, test.setting, points)

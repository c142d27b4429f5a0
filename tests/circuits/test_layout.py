"""A layout is legible: nothing lies on anything, and it never moves."""

from itertools import combinations, pairwise

import pytest

from circuits.drafting.flow import wired_node
from circuits.files import circuit_names, library_circuit
from circuits.layout import INTO, Layout, Placed, crossings, lay_out
from circuits.model import Circuit
from circuits.points import test_points as points_of
from tests.circuits.sketches import BUILT, random_circuit

LIBRARY = tuple(library_circuit(name) for name in circuit_names())
RANDOM = tuple(random_circuit(seed) for seed in range(12))
EVERY = [
    pytest.param(circuit, direction, id=f"{circuit.name}-{direction}")
    for circuit in (*LIBRARY, *BUILT, *RANDOM)
    for direction in ("across", "down")
]
MOST_CROSSINGS = {"call_bell": 0, "cranking": 1, "rear_lamps": 7, "side_steps": 3}
"""What the drawings have, in either direction; raise it only after looking at the drawing."""
DOT = 4.3


def rect(layout, low, high):
    """Return left, top, right and bottom of two corners in (along, across)."""
    (a, b), (c, d) = layout.xy(*low), layout.xy(*high)
    return min(a, c), min(b, d), max(a, c), max(b, d)


def room(layout: Layout, placed: Placed):
    """Return the room of a block."""
    return rect(layout, (placed.start, placed.low), (placed.end, placed.high))


def core(layout: Layout, placed: Placed):
    """Return a block's room without the edge into which its wires go."""
    inset = [INTO + 0.5 if placed.block.shell(side) else 0.5 for side in (-1, 1)]
    high = placed.rows[0] if placed.block.wired else placed.high - 0.5
    return rect(layout, (placed.start + inset[0], placed.low + 0.5), (placed.end - inset[1], high))


def overlap(one, other):
    """Say whether two boxes have an area in common."""
    return min(one[2], other[2]) > max(one[0], other[0]) + 1e-6 and (
        min(one[3], other[3]) > max(one[1], other[1]) + 1e-6
    )


def hit(piece, box):
    """Say whether a straight piece runs through the inside of a box."""
    (x1, y1), (x2, y2) = piece
    return (
        max(x1, x2) > box[0]
        and min(x1, x2) < box[2]
        and max(y1, y2) > box[1]
        and min(y1, y2) < box[3]
    )


def pieces(layout):
    """Return every straight piece of every wire."""
    return [(t.wire, piece) for t in layout.traces for piece in pairwise(t.path)]


def common(one, other):
    """Return the length on which two pieces lie on each other."""
    for axis in (0, 1):
        fixed = {p[1 - axis] for p in (*one, *other)}
        if len(fixed) == 1:
            (a, b), (c, d) = (sorted(p[axis] for p in piece) for piece in (one, other))
            return min(b, d) - max(a, c)
    return 0.0


@pytest.mark.parametrize(("circuit", "direction"), EVERY)
class TestEveryDrawing:
    def test_no_two_parts_overlap(self, circuit, direction):
        layout = lay_out(circuit, direction)

        for one, other in combinations(layout.placed, 2):
            assert not overlap(room(layout, one), room(layout, other)), (one, other)

    def test_no_wire_crosses_a_part(self, circuit, direction):
        layout = lay_out(circuit, direction)

        for placed in layout.placed:
            for wire, piece in pieces(layout):
                assert not hit(piece, core(layout, placed)), (wire, placed.block.name)

    def test_wires_run_along_each_other_only_from_a_port_they_share(self, circuit, direction):
        layout = lay_out(circuit, direction)
        ends = {
            w.name: {wired_node(circuit, w.start), wired_node(circuit, w.end)}
            for w in circuit.wires
        }

        for (wire, piece), (other, against) in combinations(pieces(layout), 2):
            if wire != other and not ends[wire] & ends[other]:
                assert common(piece, against) <= 0, (wire, other)

    def test_no_wire_turns_on_another(self, circuit, direction):
        """A corner on a foreign wire would look like a joint."""
        layout = lay_out(circuit, direction)
        ends = {
            w.name: {wired_node(circuit, w.start), wired_node(circuit, w.end)}
            for w in circuit.wires
        }

        for trace in layout.traces:
            for wire, (a, b) in pieces(layout):
                if wire == trace.wire or ends[wire] & ends[trace.wire]:
                    continue
                for x, y in trace.path:
                    touches = common((a, b), ((x, y), (x, y))) >= 0 and (
                        min(a[0], b[0]) <= x <= max(a[0], b[0])
                        and min(a[1], b[1]) <= y <= max(a[1], b[1])
                    )
                    assert not touches, (trace.wire, wire, (x, y))

    def test_every_label_is_free_of_wires_labels_and_other_parts(self, circuit, direction):
        layout = lay_out(circuit, direction)

        for one, other in combinations(layout.labels, 2):
            assert not overlap(one.box, other.box), (one, other)
        for label in layout.labels:
            for wire, piece in pieces(layout):
                assert not hit(piece, label.box), (label, wire)
            for placed in layout.placed:
                belongs = label.owner in (placed.block.name, "BODY") or any(
                    label.owner == p.connector for p in placed.block.ports
                )
                hung = {t for w in placed.block.wired for t in (w.name, w.start, w.end)}
                if not belongs and label.owner not in hung:
                    assert not overlap(label.box, room(layout, placed)), (label, placed)

    def test_no_label_lies_under_a_handle(self, circuit, direction):
        layout = lay_out(circuit, direction)

        for label in layout.labels:
            for name, (x, y) in layout.handles.items():
                ring = (x - DOT, y - DOT, x + DOT, y + DOT)
                assert not overlap(label.box, ring), (label, name)

    def test_every_wire_carries_its_letters(self, circuit, direction):
        layout = lay_out(circuit, direction)

        lettered = {label.owner for label in layout.labels if label.kind == "wire"}
        assert lettered == {wire.name for wire in circuit.wires}

    def test_every_wire_begins_and_ends_at_its_terminals(self, circuit, direction):
        layout = lay_out(circuit, direction)

        for trace in layout.traces:
            wire = circuit.wire_by_name[trace.wire]
            ends = {wired_node(circuit, wire.start), wired_node(circuit, wire.end)}
            for node in ends:
                x, y = layout.handles[node]
                near = min(abs(x - a) + abs(y - b) for a, b in (trace.path[0], trace.path[-1]))
                assert near < INTO, (wire, node)

    def test_every_test_point_has_a_place(self, circuit, direction):
        layout = lay_out(circuit, direction)

        assert set(layout.handles) == {point.name for point in points_of(circuit)}

    def test_wires_run_straight_and_square(self, circuit, direction):
        for _, (a, b) in pieces(lay_out(circuit, direction)):
            assert (a[0] == b[0]) != (a[1] == b[1])


@pytest.mark.parametrize("direction", ["across", "down"])
@pytest.mark.parametrize("name", circuit_names())
def test_library_circuits_cross_no_more_than_they_did(name, direction):
    circuit = library_circuit(name)

    count = crossings(lay_out(circuit, direction))

    print(f"{name} {direction}: {count} crossings")
    assert count <= MOST_CROSSINGS.get(name, len(circuit.wires) // 2)


def test_two_wires_that_cross_are_counted():
    """Two feeds change places before a controller whose cavities keep their order."""
    layout = lay_out(library_circuit("side_steps"), "across")

    assert crossings(layout) > 0


@pytest.mark.parametrize("direction", ["across", "down"])
def test_controller_cavities_keep_their_order(direction):
    layout = lay_out(library_circuit("side_steps"), direction)

    for connector, count in (("C1", 6), ("C2", 4)):
        row = [layout.handles[f"{connector}.{n}"] for n in range(1, count + 1)]
        assert row == sorted(row)
        assert len({p[0 if direction == "across" else 1] for p in row}) == 1


def test_in_line_cavities_may_change_places_to_save_a_crossing():
    crossed = next(c for c in BUILT if c.name == "crossed_in_line")

    assert crossings(lay_out(crossed, "across")) == 0


@pytest.mark.parametrize("direction", ["across", "down"])
def test_feed_comes_before_load(direction):
    circuit = library_circuit("side_steps")
    handles = lay_out(circuit, direction).handles
    axis = 0 if direction == "across" else 1

    path = ["BAT.pos", "F3.in", "F3.out", "key.in", "key.out", "C3.1", "C3.3", "C1.1", "C2.1"]
    places = [handles[name][axis] for name in path]
    assert places == sorted(places)


def test_a_circuit_written_from_load_to_feed_still_has_its_feed_first():
    backwards = next(c for c in BUILT if c.name == "written_backwards")
    handles = lay_out(backwards, "across").handles

    assert handles["BAT.pos"][0] < handles["F1.in"][0] < handles["L1.a"][0] < handles["G1"][0]


def test_hints_pin_rank_and_row():
    hinted = next(c for c in BUILT if c.name == "hinted")
    placed = {p.block.name: p for p in lay_out(hinted, "across").placed}

    assert placed["L1"].start > placed["L2"].start
    assert placed["L1"].rows[0] - placed["F2"].rows[0] == 4 * 30


def test_layout_of_equal_circuits_is_one():
    again: Circuit = random_circuit(3)

    assert lay_out(again, "down") is lay_out(random_circuit(3), "down")


@pytest.mark.parametrize(("circuit", "direction"), EVERY)
def test_no_lead_inside_a_switch_runs_along_another(circuit, direction):
    """A terminal is level with a contact only if the contact is its own."""
    for placed in lay_out(circuit, direction).placed:
        if not placed.block.contacts:
            continue
        contacts = circuit.part_by_name[placed.block.name].spec.contacts
        for row, contact in zip(placed.block.contacts, contacts, strict=True):
            level = {p.pin for p in placed.block.ports if p.row == row and p.pin}
            assert level <= {contact.a, contact.b}

"""A connector's face shows each cavity as it is seen, with a handle for a lead."""

import re
from itertools import combinations
from math import hypot
from xml.etree import ElementTree as ET

import pytest

from circuits.faces import draw_face
from circuits.files import library_circuit
from circuits.model import CircuitError, Setting
from circuits.points import exposed_points
from tests.circuits.sketches import BUILT

SVG = "{http://www.w3.org/2000/svg}"
STEPS, BELL = library_circuit("side_steps"), library_circuit("call_bell")
PLUGGED = next(c for c in BUILT if c.name == "plugged_load_and_spare")
CONNECTORS = [
    pytest.param(circuit, connector.name, id=f"{circuit.name}-{connector.name}")
    for circuit in (STEPS, BELL, PLUGGED)
    for connector in circuit.connectors
]


def handles(svg):
    """Return the place of each handle by name; a name may not come twice."""
    found = {}
    for node in ET.fromstring(svg).iter(f"{SVG}g"):
        if node.get("data-tp"):
            assert node.get("data-tp") not in found
            where = re.fullmatch(r"translate\((\S+) (\S+)\)", node.get("transform")).groups()
            found[node.get("data-tp")] = tuple(map(float, where))
    return found


def words(svg):
    """Return all text of a drawing."""
    return [node.text for node in ET.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize(("circuit", "name"), CONNECTORS)
@pytest.mark.parametrize("mated", [True, False])
def test_every_exposed_point_of_a_connector_has_one_handle(circuit, name, mated):
    setting = Setting(unmated=frozenset() if mated else frozenset({name}))

    found = handles(draw_face(circuit, name, setting))

    exposed = {p.name for p in exposed_points(circuit, setting)}
    assert set(found) == {p for p in exposed if p.partition(".")[0] == name}


@pytest.mark.parametrize(("circuit", "name"), CONNECTORS)
def test_cavities_are_wide_apart_and_inside_the_view(circuit, name):
    svg = draw_face(circuit, name, Setting(unmated=frozenset({name})))
    left, top, width, height = map(float, ET.fromstring(svg).get("viewBox").split())

    for x, y in handles(svg).values():
        assert left < x < left + width
        assert top < y < top + height
    for a, b in combinations(handles(svg).values(), 2):
        assert hypot(a[0] - b[0], a[1] - b[1]) >= 50


def test_a_mated_connector_shows_its_wire_side():
    svg = draw_face(STEPS, "C1")

    assert {"Mated", "seen from the wire side"} <= set(words(svg))
    assert handles(svg)["C1.1"][0] < handles(svg)["C1.3"][0]


def test_an_unmated_harness_face_is_turned_over_and_the_part_s_is_not():
    found = handles(draw_face(STEPS, "C1", Setting(unmated=frozenset({"C1"}))))

    assert found["C1.1@harness"][0] > found["C1.3@harness"][0]
    assert found["C1.1@unit"][0] < found["C1.3@unit"][0]
    assert found["C1.1@harness"][0] < found["C1.1@unit"][0]


def test_captions_say_what_one_is_looking_at():
    unmated = words(draw_face(STEPS, "IL", Setting(unmated=frozenset({"IL"}))))
    mated = words(draw_face(STEPS, "IL"))

    assert {"Harness side", "Motor side"} <= set(unmated) & set(mated)
    assert unmated.count("unmated, looking into its face") == 2
    assert mated.count("mated, seen from its wires") == 2


def test_colour_letters_stand_beside_the_colour_and_a_spare_is_empty():
    found = words(draw_face(STEPS, "C1"))

    assert {"GN", "BU", "VT", "OG", "BK"} <= set(found)
    assert found.count("empty") == 1


def test_a_part_s_own_face_shows_pins_and_spares():
    found = words(draw_face(STEPS, "C1", Setting(unmated=frozenset({"C1"}))))

    assert found.count("pin") == 5
    assert found.count("empty") == 2


def test_print_names_no_variable():
    assert "var(" not in draw_face(STEPS, "C1", theme="print")


def test_a_connector_that_is_not_there_is_refused_with_the_nearest():
    with pytest.raises(CircuitError, match=r"connector 'CC1': side_steps has none such.*'C1'"):
        draw_face(STEPS, "CC1")

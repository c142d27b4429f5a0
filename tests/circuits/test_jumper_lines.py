"""Jumper leads and closed places on the drawing, in both directions and both themes."""

import math
from xml.etree import ElementTree as ET

import pytest

from circuits.drafting.shapes import Direction
from circuits.drawing import draw
from circuits.jumper_lines import placed_jumpers
from circuits.layout import lay_out
from circuits.model import Jumper, Setting
from circuits.palette import Theme
from circuits.points import exposed_points
from circuits.settings import setting_from, with_exposed_jumpers
from tests.circuits.benches import STEPS

SVG = "{http://www.w3.org/2000/svg}"
DIRECTIONS: tuple[Direction, ...] = ("across", "down")
LEADS = [("BAT.pos", "C2.1@harness"), ("BODY", "C2.2@harness")]
DRIVEN = setting_from(STEPS, unmated=["C2"], jumpers=LEADS, moment="moving")


def _jumpers(svg: str) -> list[ET.Element]:
    return [g for g in ET.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "jumper"]


@pytest.mark.parametrize("theme", ["screen", "print"])
@pytest.mark.parametrize("direction", DIRECTIONS)
def test_each_jumper_is_a_dashed_curve_from_clip_to_clip_with_its_fuse_named(
    direction: Direction, theme: Theme
) -> None:
    svg = draw(STEPS, DRIVEN, theme=theme, direction=direction)
    handles = lay_out(STEPS, direction).handles
    found = _jumpers(svg)
    assert len(found) == len(LEADS)
    for number, (drawn, (start, end)) in enumerate(zip(found, LEADS, strict=True), start=1):
        lead = next(p for p in drawn.iter(f"{SVG}path") if p.get("class") == "lead")
        path = lead.get("d", "")
        assert path.startswith("M{:.1f} {:.1f}Q".format(*handles[start]))
        assert path.endswith(" {:.1f} {:.1f}".format(*handles[end]))
        assert lead.get("stroke-dasharray")
        assert [t.text for t in drawn.iter(f"{SVG}text")] == [f"J{number} 10 A"]


def test_a_drawing_without_jumpers_has_none() -> None:
    assert _jumpers(draw(STEPS, setting_from(STEPS, unmated=["C2"]))) == []


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_fuse_and_name_of_any_jumper_stay_on_the_sheet(direction: Direction) -> None:
    layout, unmated = lay_out(STEPS, direction), Setting(unmated=frozenset({"C2"}))
    left, top, width, height = layout.view
    names = [point.name for point in exposed_points(STEPS, unmated)]
    for name in names[1:]:
        (line,) = placed_jumpers([Jumper("BODY", name)], layout)
        for box in line.boxes():
            assert left <= box[0] <= box[2] <= left + width, name
            assert top <= box[1] <= box[3] <= top + height, name


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_two_jumpers_do_not_lie_on_each_other(direction: Direction) -> None:
    one, other = placed_jumpers(DRIVEN.jumpers, lay_out(STEPS, direction))
    assert math.dist(one.at, other.at) > 30


def test_positions_do_not_move_with_a_jumper() -> None:
    apart = setting_from(STEPS, unmated=["C2"], moment="moving")
    without, with_leads = draw(STEPS, apart), draw(STEPS, DRIVEN)
    start, end = with_leads.index('<g class="jumper"'), with_leads.rindex('<text class="title"')
    assert without.startswith(with_leads[:start])
    assert without.endswith(with_leads[end:])


def test_what_lies_in_a_closed_place_is_dimmed_and_says_so() -> None:
    root = ET.fromstring(draw(STEPS, closed=("left_sill",)))
    groups = {g.get("data-tp") or g.get("data-part"): g for g in root.iter(f"{SVG}g")}
    for name in ("IL.1@harness", "left_motor", "IL"):
        assert "closed" in str(groups[name].get("class")).split(), name
        assert groups[name].get("opacity"), name
    assert str(groups["IL.1@harness"].get("aria-label")).endswith(", closed in this job")
    for name in ("IR.1@harness", "right_motor", "F1.out"):
        assert groups[name].get("opacity") is None, name


def test_a_jumper_comes_off_with_the_face_that_it_is_clipped_to() -> None:
    mated = Setting(jumpers=(*DRIVEN.jumpers, Jumper("F1.in", "F1.out")))
    assert with_exposed_jumpers(STEPS, mated).jumpers == (Jumper("F1.in", "F1.out"),)
    assert with_exposed_jumpers(STEPS, DRIVEN) == DRIVEN

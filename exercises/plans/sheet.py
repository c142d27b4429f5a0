"""The sheet of a plan: its steps, drawing and faces as the data that the template prints."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from circuits.cautions import CAUTIONS
from circuits.drawing import Direction, draw
from circuits.faces import draw_face
from circuits.model import AS_FOUND, Circuit, Setting
from exercises.plans.plan import PrintedPlan
from exercises.plans.steps import Step
from exercises.plans.typeset import MARGIN_MM, SIZES_MM, Paper, pages, pdf, printable, size_of

MOST_PAGES = 3
FIRST_CAUTIONS = ("service_information", "no_restraint")
FACE_MM_PER_UNIT = 0.20
HEAD_MM, GAP_MM = 14.0, 5.0
"""What the heading of the drawing's page takes, and what lies between two pictures."""

LEAST_FACES_MM = 45.0
"""The room that is left for faces beside a drawing."""

LARGEST_MM_PER_UNIT = 0.26

_UNIT = re.compile(r"(\d) (m?V|[kM]?Ω|m?A)\b")

HOW = (
    "Take the tests in order, as long as each shows what is expected. Where one does not, stop: "
    "the line below it names what that points to, the likeliest first. Write down what you "
    "read, with its unit. Zero the meter on its leads before ohms, or take their ohms off. "
    "“OL” means beyond the meter's range."
)
LIMITS = (
    "Bands are for a sound circuit as drawn, with parts within their tolerances, wires up to "
    "45 % longer or shorter than drawn, {battery}, and a meter whose accuracy nobody knows. The "
    "plan takes one fault at a time that is there all the time. It knows the circuit drawn here "
    "and nothing else of your vehicle: if wires, colours or cavities differ, stop and go by the "
    "vehicle's own diagram. Where you are not sure, or are not licensed for it, stop and ask "
    "somebody who is."
)


def plan_pdf(plan: PrintedPlan, *, paper: Paper, made: datetime) -> bytes:
    """Return a plan as PDF of at most three pages.

    Steps at the end are left out where it would take more.
    """
    data = plan_data(plan, paper=paper, on=made.date())
    while len(plan.steps) > 1 and pages("plan", data) > MOST_PAGES:
        plan = shortened(plan)
        data = plan_data(plan, paper=paper, on=made.date())
    return pdf("plan", data, made=made)


def shortened(plan: PrintedPlan) -> PrintedPlan:
    """Return a plan without its last step."""
    *steps, _ = plan.steps
    return replace(plan, steps=tuple(steps), unseen=steps[-1].left)


def plan_data(plan: PrintedPlan, *, paper: Paper, on: date) -> dict[str, Any]:
    """Return what the template prints of a plan."""
    circuit = plan.circuit
    return {
        "paper": paper,
        "title": f"Test plan: {circuit.title}",
        "foot": f"{circuit.title}, plan made {on:%d %B %Y}. Millrace Lab",
        "complaint": complaint_words(plan),
        "start": start_words(plan),
        "cautions": [CAUTIONS[name] for name in FIRST_CAUTIONS],
        "how": HOW,
        "steps": list(_steps(plan)),
        "after": after_words(plan),
        **_pictures(plan, paper),
        "limits": limits_words(plan),
    }


def unbroken(text: str) -> str:
    """Return a text whose values stay on one line with their units."""
    return _UNIT.sub("\\1\u00a0\\2", text)


def complaint_words(plan: PrintedPlan) -> str:
    """Return what the plan is for, in a sentence."""
    if not plan.complaint:
        return "General health check: nothing is complained of."
    told = "; ".join(symptom.sentence(plan.circuit) for symptom in plan.complaint)
    return f"Complaint: {told}."


def start_words(plan: PrintedPlan) -> str:
    """Return how many faults are possible, and how long the list takes."""
    what = "would do this" if plan.complaint else "are possible, or none at all"
    whole = f"All {len(plan.steps)} tests: about {plan.minutes:.0f} minutes"
    return f"{plan.start} single faults {what}. {whole}."


def after_words(plan: PrintedPlan) -> str:
    """Return what is left where everything on the list was as expected."""
    left = f"{plan.unseen} of {plan.start} faults would not have shown"
    if plan.complaint:
        return (
            f"All as expected, and still the complaint: {left}, or it comes and goes. Bring the "
            "readings back to the lab: it names the next test."
        )
    return f"All as expected: {left} in these tests, most of them slight ones."


def limits_words(plan: PrintedPlan) -> str:
    """Return what the bands take for granted, and what the lab does not know."""
    battery = "a battery between three quarters charged and full"
    if plan.battery_volt is not None:
        battery = f"a battery that rests at {plan.battery_volt:.2f} V"
    return LIMITS.format(battery=battery)


def _steps(plan: PrintedPlan) -> Iterator[dict[str, Any]]:
    before = ""
    for step in plan.steps:
        yield _step_data(step, new_setting=step.vehicle != before)
        before = step.vehicle


def _step_data(step: Step, *, new_setting: bool) -> dict[str, Any]:
    points = [*step.points, "", ""]
    return {
        "no": step.no,
        "setting": step.vehicle if new_setting else "",
        "cautions": [CAUTIONS[name] for name in step.cautions],
        "watch": step.test.what is None,
        "red": {"name": step.red, "words": points[0]},
        "black": {"name": step.black, "words": points[1]},
        "dial": step.dial,
        "range": step.range,
        "expected": unbroken(step.expected),
        "means": [
            {"answer": told[0].upper() + told[1:], "points": words} for told, words in step.means
        ],
    }


def _pictures(plan: PrintedPlan, paper: Paper) -> dict[str, Any]:
    """Return the drawing, whichever way up it comes out larger, and the faces it leaves room for.

    Faces stand beside a narrow drawing and below a wide one.
    """
    circuit = plan.circuit
    wide, high = (size - 2 * MARGIN_MM for size in SIZES_MM[paper])
    faces = list(_faces(plan))
    below = HEAD_MM + (max(face["height_mm"] for face in faces) + GAP_MM if faces else 0.0)
    across = _drawn(circuit, "across", wide, high - below)
    down = _drawn(circuit, "down", wide - (LEAST_FACES_MM if faces else 0.0), high - HEAD_MM)
    beside = down["scale"] > across["scale"]
    chosen = down if beside else across
    room = (
        wide - chosen["width_mm"] - GAP_MM
        if beside
        else (wide - 2 * GAP_MM) / min(3, len(faces) or 1)
    )
    tall = high - HEAD_MM if beside else high
    return {
        "diagram": {**chosen, "alt": f"Diagram: {circuit.title}", "beside": beside},
        "faces": _fitted(faces, room, tall / max(1, len(faces)) if beside else tall),
    }


def picture(circuit: Circuit, paper: Paper) -> dict[str, Any]:
    """Return the drawing alone, whichever way up it comes out larger on a page."""
    wide, high = (size - 2 * MARGIN_MM for size in SIZES_MM[paper])
    ways: tuple[Direction, ...] = ("across", "down")
    found = [_drawn(circuit, way, wide, high - HEAD_MM) for way in ways]
    chosen = max(found, key=lambda one: float(one["scale"]))
    return {**chosen, "alt": f"Diagram: {circuit.title}"}


def _drawn(circuit: Circuit, direction: Direction, wide: float, high: float) -> dict[str, Any]:
    svg = printable(draw(circuit, theme="print", direction=direction))
    units = size_of(svg)
    scale = min(wide / units[0], high / units[1], LARGEST_MM_PER_UNIT)
    return {"svg": svg, "scale": scale, "width_mm": round(scale * units[0], 1)}


def _fitted(faces: list[dict[str, Any]], room: float, tall: float) -> list[dict[str, Any]]:
    """Return faces no wider and no higher than there is room for."""
    found = []
    for face in faces:
        by = min(1.0, room / face["width_mm"], (tall - GAP_MM) / face["height_mm"])
        found.append({**face, "width_mm": round(by * face["width_mm"], 1)})
    return found


def _faces(plan: PrintedPlan) -> Iterator[dict[str, Any]]:
    """Yield the faces of the connectors that a step probes, as they are then."""
    for name, setting in faces_probed(plan):
        svg = printable(draw_face(plan.circuit, name, setting, theme="print"))
        width, height = (FACE_MM_PER_UNIT * units for units in size_of(svg))
        state = "unplugged" if setting.unmated else "plugged together"
        alt = f"Connector {name}, {state}"
        yield {"svg": svg, "alt": alt, "width_mm": width, "height_mm": height}


def faces_probed(plan: PrintedPlan) -> tuple[tuple[str, Setting], ...]:
    """Return the connectors that steps probe, each unmated or mated as they are then."""
    found: dict[tuple[str, Setting], None] = {}
    for step in plan.steps:
        what = step.test.what
        for point in (what.red, what.black) if what else ():
            name = point.partition(".")[0]
            if name in plan.circuit.connector_by_name:
                apart = name in step.test.setting.unmated
                unmated = frozenset({name} if apart else ())
                found[name, replace(AS_FOUND, unmated=unmated)] = None
    return tuple(found)

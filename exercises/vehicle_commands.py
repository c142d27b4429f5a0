"""The commands for a real vehicle: a plan to print.

What solves and what prints is imported by the command that needs it.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from circuits.arguments import circuit_argument, circuit_named
from circuits.commands import tell
from circuits.model import Circuit, CircuitError
from exercises import advising

if TYPE_CHECKING:
    from exercises.plans.plan import PrintedPlan
    from exercises.plans.steps import Step


def plan_arguments(sub: argparse.ArgumentParser) -> None:
    """Add what a plan is for and where it goes."""
    circuit_argument(sub)
    words = "what it does not do, as --complaints names it; may be given again"
    sub.add_argument("--complaint", metavar="NAME", action="append", default=[], help=words)
    sub.add_argument("--complaints", action="store_true", help="list what can be complained of")
    sub.add_argument("--clamp", action="store_true", help="there is a DC clamp meter too")
    words = "what the battery rests at, measured on the day"
    sub.add_argument("--battery", metavar="VOLT", type=float, help=words)
    sub.add_argument("--paper", choices=("a4", "letter"), default="a4", help="default: a4")
    sub.add_argument("-o", dest="output", metavar="PLAN.pdf", type=Path, help="the file to write")
    advising.tables_argument(sub)


def plan(options: argparse.Namespace) -> int:
    """Print a plan as a file, or what can be complained of."""
    circuit = circuit_named(options.circuit)
    if options.complaints:
        data = complaints_data(circuit)
        return tell(options, data, complaints_lines(data))
    if options.output is None and not options.json:
        raise CircuitError("plan: no file named; accepted: -o PLAN.pdf, or --json")
    made = _plan_of(circuit, options)
    if options.output is not None:
        _write(made, options)
    data = plan_data(made) | {"file": None if options.output is None else str(options.output)}
    return tell(options, data, plan_lines(data))


def complaints_data(circuit: Circuit) -> dict[str, Any]:
    """Return what can be complained of."""
    from exercises.plans.symptoms import symptoms  # noqa: PLC0415

    rows = [
        {"name": one.name, "words": one.sentence(circuit), "sound": one.sound}
        for one in symptoms(circuit)
    ]
    return {"circuit": circuit.name, "complaints": rows}


def complaints_lines(data: Mapping[str, Any]) -> Iterable[str]:
    """Yield a line a complaint."""
    for row in data["complaints"]:
        yield f"{row['name']}\n    {row['words']}"


def _plan_of(circuit: Circuit, options: argparse.Namespace) -> PrintedPlan:
    from exercises.plans.order import METER  # noqa: PLC0415
    from exercises.plans.plan import printed_plan, vehicle_circuit  # noqa: PLC0415
    from exercises.plans.symptoms import symptom_named  # noqa: PLC0415

    complaint = [symptom_named(circuit, name) for name in options.complaint]
    vehicle_circuit(circuit, options.battery)  # refused before the table is built
    instruments = (*METER, "clamp") if options.clamp else METER
    table = advising.table_for(circuit, options.tables)
    return printed_plan(table, complaint, instruments=instruments, battery_volt=options.battery)


def _write(made: PrintedPlan, options: argparse.Namespace) -> None:
    from exercises.plans.sheet import plan_pdf  # noqa: PLC0415

    now = datetime.now(UTC)  # noqa: TID251 - the rim
    options.output.write_bytes(plan_pdf(made, paper=options.paper, made=now))


def plan_data(made: PrintedPlan) -> dict[str, Any]:
    """Return a plan as data."""
    return {
        "circuit": made.circuit.name,
        "complaint": [one.name for one in made.complaint],
        "battery_volt": made.battery_volt,
        "faults": made.start,
        "unseen": made.unseen,
        "minutes": round(made.minutes, 1),
        "steps": [_step_data(step) for step in made.steps],
    }


def _step_data(step: Step) -> dict[str, Any]:
    from circuits.cautions import sentences  # noqa: PLC0415
    from circuits.settings import setting_to_json  # noqa: PLC0415

    return {
        "no": step.no,
        "setting": setting_to_json(step.test.setting),
        "vehicle": step.vehicle,
        "dial": step.dial,
        "range": step.range,
        "red": step.red,
        "black": step.black,
        "expected": step.expected,
        "means": dict(step.means),
        "cautions": list(sentences(step.cautions)),
        "minutes": round(step.minutes, 1),
        "left": step.left,
    }


def plan_lines(data: Mapping[str, Any]) -> Iterable[str]:
    """Yield a plan as lines."""
    for step in data["steps"]:
        leads = f"{step['red']} to {step['black']}" if step["black"] else step["red"]
        yield f"{step['no']}. {step['vehicle']}: {step['dial']} {leads}".rstrip()
        yield f"   expected: {step['expected']}"
        yield from (f"   {answer}: {words}" for answer, words in step["means"].items())
    yield f"{data['faults']} faults to begin with, {data['unseen']} would not show"
    if data["file"]:
        yield f"written: {data['file']}"

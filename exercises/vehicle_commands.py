"""The commands for a real vehicle: a plan to print, and what a case comes to.

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
    from exercises.cases.case import Case
    from exercises.cases.verdict import Verdict
    from exercises.planning.choice import Choice
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


def case_arguments(sub: argparse.ArgumentParser) -> None:
    """Add a case's file, and where its report goes."""
    sub.add_argument("file", metavar="CASE.jsonl", type=Path)
    sub.add_argument("--paper", choices=("a4", "letter"), default="a4", help="default: a4")
    sub.add_argument("-o", dest="output", metavar="REPORT.pdf", type=Path, help="a report to write")
    advising.tables_argument(sub)


def case(options: argparse.Namespace) -> int:
    """Tell what a case comes to, from the file that the screen gives."""
    from exercises.cases.case import CaseError, folded  # noqa: PLC0415
    from exercises.cases.notebook import case_events  # noqa: PLC0415
    from exercises.cases.report import report_pdf  # noqa: PLC0415
    from exercises.cases.verdict import verdict  # noqa: PLC0415
    from exercises.cases.weighing import next_test, weighed  # noqa: PLC0415

    try:
        events = case_events(_text_of(options.file))
    except CaseError as error:
        raise CircuitError(f"{options.file.name}: {error}") from error
    found = folded(events)
    left = weighed(found)
    choice = None
    if left.misfit is None:
        choice = next_test(found, advising.table_for(found.circuit, options.tables))
    told = verdict(found, left, choice)
    if options.output is not None:
        now = datetime.now(UTC)  # noqa: TID251 - the rim
        digest = events[-1].digest
        made = report_pdf(found, told, paper=options.paper, digest=digest, made=now)
        options.output.write_bytes(made)
    data = case_data(found, told, choice)
    return tell(options, data, case_lines(data))


def _text_of(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CircuitError(
            f"{path.name}: byte {error.start + 1} is not UTF-8; accepted: text saved as UTF-8"
        ) from None


def case_data(found: Case, told: Verdict, choice: Choice | None) -> dict[str, Any]:
    """Return what a case comes to as data."""
    from exercises.cases.case import answer_words  # noqa: PLC0415
    from exercises.planning.hints import test_words  # noqa: PLC0415

    return {
        "circuit": found.circuit.name,
        "complaint": [one.name for one in found.complaint],
        "answers": [
            {"no": one.no, "words": answer_words(found, one), "dropped": one.dropped}
            for one in found.answers
        ],
        "verdict": told.heading,
        "left": [{"words": words, "share": round(share, 4)} for words, share in told.candidates],
        "next": None if choice is None else test_words(found.circuit, choice.test),
        "where": list(told.stretch),
        "repair": list(told.repair),
        "confirm": list(told.confirm),
        "wear": list(told.wear),
        "unproved": list(told.unproved),
    }


def case_lines(data: Mapping[str, Any]) -> Iterable[str]:
    """Yield what a case comes to as lines."""
    yield data["verdict"]
    for row in data["left"]:
        yield f"  {100 * row['share']:.0f} %  {row['words']}"
    if data["next"]:
        yield f"next: {data['next']}"
    for name in ("where", "repair", "confirm", "wear", "unproved"):
        yield from (f"{name}: {line}" for line in data[name])

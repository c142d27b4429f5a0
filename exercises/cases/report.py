"""The report of a case as a sheet: what was asked, read and concluded."""

from datetime import date, datetime
from typing import Any

from circuits.cautions import CAUTIONS
from exercises.cases.case import Answer, Case, seen_words
from exercises.cases.verdict import Verdict
from exercises.plans.sheet import picture, unbroken
from exercises.plans.steps import expected_words
from exercises.plans.symptoms import set_words
from exercises.plans.typeset import Paper, pdf

MOST_CANDIDATES = 12


def report_pdf(case: Case, found: Verdict, *, paper: Paper, digest: str, made: datetime) -> bytes:
    """Return the report of a case as PDF; ``digest`` is that of its last event."""
    return pdf(
        "report", report_data(case, found, paper=paper, digest=digest, on=made.date()), made=made
    )


def report_data(
    case: Case, found: Verdict, *, paper: Paper, digest: str, on: date
) -> dict[str, Any]:
    """Return what the template prints of a case."""
    circuit = case.circuit
    return {
        "paper": paper,
        "title": f"Report: {circuit.title}",
        "foot": f"{circuit.title}, report made {on:%d %B %Y}, record {digest[:12]}. Millrace Lab",
        "complaint": complaint_words(case),
        "day": day_words(case),
        "cautions": [CAUTIONS["service_information"]],
        "heading": found.heading,
        "candidates": [
            {"words": words, "share": f"{100 * share:.0f} %"}
            for words, share in found.candidates[:MOST_CANDIDATES]
        ],
        "more": max(0, len(found.candidates) - MOST_CANDIDATES),
        "answers": [_answer(case, answer) for answer in case.answers],
        "parts": [
            {"title": title, "lines": [unbroken(line) for line in lines]}
            for title, lines in (
                ("Where", found.stretch),
                ("Repair", found.repair),
                ("Proof that it is cured", found.confirm),
                ("What the wear does", found.wear),
                ("Test further, or repair now", found.choice),
                ("What remains unproved", found.unproved),
                ("How each answer told", found.reasoning),
            )
            if lines
        ],
        "diagram": picture(circuit, paper),
    }


def complaint_words(case: Case) -> str:
    """Return what was complained of, in a sentence."""
    told = "; ".join(symptom.sentence(case.circuit) for symptom in case.complaint)
    return f"Complaint: {told}." if told else "General health check: nothing is complained of."


def day_words(case: Case) -> str:
    """Return the battery, the leads and the meter of the day, in a sentence."""
    day = case.day
    if day is None:
        return "Battery, leads and meter were not asked."
    meter = (
        "of unknown accuracy" if day.per_cent is None else f"good to {day.per_cent:g} % on volts"
    )
    return f"Battery at rest {day.battery_volt:g} V, leads {day.lead_ohm:g} Ω, meter {meter}."


def _answer(case: Case, answer: Answer) -> dict[str, Any]:
    evidence = answer.evidence
    what, shown = evidence.what, evidence.shown
    watched = seen_words(case.circuit, evidence)
    return {
        "no": answer.no,
        "setting": set_words(case.circuit, evidence.setting),
        "where": what.where() if what else "watched",
        "expected": unbroken(expected_words(case.vehicle(), answer.test)),
        "found": unbroken(shown.text) if shown else watched,
        "dropped": answer.dropped,
    }

"""The report of an attempt on paper: readings, reasoning, marks and the rule behind each.

An auditor can follow it: it names the record that it is made of, and nothing in it is not in
that record.
"""

from datetime import datetime
from typing import Any

from exercises.attempt import Attempt
from exercises.debrief import Debrief
from exercises.plans.sheet import unbroken
from exercises.plans.typeset import Paper, pdf
from exercises.reports.marked import Marked


def attempt_pdf(
    one: Marked, attempt: Attempt, told: Debrief, *, paper: Paper, made: datetime
) -> bytes:
    """Return the report of a closed attempt as PDF."""
    return pdf("attempt", attempt_data(one, attempt, told, paper=paper, made=made), made=made)


def attempt_data(
    one: Marked, attempt: Attempt, told: Debrief, *, paper: Paper, made: datetime
) -> dict[str, Any]:
    """Return what the template prints of a closed attempt."""
    named = [words for words in (one.who.learner, one.who.group) if words]
    return {
        "paper": paper,
        "title": f"Report: {one.circuit}, slip {one.slip}",
        "foot": f"Attempt {one.who.attempt_id}, record {one.digest[:16]}, rules {one.marker}. "
        f"Made {made:%d %B %Y}. Millrace Lab",
        "who": ", ".join(named) or "No name was given",
        "complaint": unbroken(attempt.exercise.complaint),
        "verdict": "Evidenced" if one.evidenced else "Not evidenced",
        "fault": f"It was: {told.fault}.",
        "cure": told.cure,
        "marks": [
            {
                "name": column.name.capitalize(),
                "score": f"{100 * column.score:.0f}",
                "rule": column.rule,
                "evidence": list(column.evidence),
            }
            for column in told.mark.columns
        ],
        "readings": [_reading(attempt, number) for number in range(len(attempt.entries))],
        "reasoning": [
            {"no": row.no, "done": row.done, "showed": row.showed, "left": row.left}
            for row in told.own_path
        ],
        "cautions": list(told.cautions),
        "hints": list(told.hints),
    }


def _reading(attempt: Attempt, number: int) -> dict[str, str]:
    entry = attempt.entries[number]
    return {
        "no": str(entry.no),
        "setting": entry.setting_words,
        "what": f"{entry.what.instrument}, {entry.where}",
        "shown": entry.shown.text,
        "minutes": f"{entry.minutes:.1f}",
    }

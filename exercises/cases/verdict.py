"""The verdict of a case: what it is, where, how sure, what to do, and what proves it cured."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from circuits.faultkinds import KINDS, REPAIRS
from circuits.faults import end_words, place_title
from circuits.model import Circuit, Fault
from exercises import minutes
from exercises.cases.case import Case, answer_words
from exercises.cases.wear import wear_words
from exercises.cases.weighing import Weighed, resting_on
from exercises.diagnosis import repairs_at
from exercises.evidence import NO_FAULT
from exercises.explaining.learned import explained
from exercises.planning.choice import Choice
from exercises.plans.expected import band_of
from exercises.plans.steps import expected_words
from exercises.plans.symptoms import question_of, switch_words

HARNESS = "harness"
_KINDS_OF_PLACE = {
    "motor": "motor",
    "switch": "switch",
    "relay": "relay",
    "fuse": "fuse",
    "lamp": "lamp",
    "battery": "supply",
    "ground point": HARNESS,
    "splice": HARNESS,
}
"""What the parts of the trade are called in a verdict; any other goes by its own name."""

MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a case comes to.

    Attributes
    ----------
    heading : one line: motor, harness, switch, and where.
    candidates : ``(words, share)`` of the faults that are left, likeliest first.
    stretch : where along the circuit, one line a candidate that lies in the harness.
    reasoning : what each answer told, sentences.
    unproved : what remains open.
    repair, confirm : what to do, and the tests that show that it is cured.
    choice : whether another test or a new part is cheaper.
    wear : what a worn motor does to the rest, where one is left.
    """

    heading: str
    candidates: tuple[tuple[str, float], ...]
    stretch: tuple[str, ...]
    reasoning: tuple[str, ...]
    unproved: tuple[str, ...]
    repair: tuple[str, ...]
    confirm: tuple[str, ...]
    choice: tuple[str, ...]
    wear: tuple[str, ...]


def verdict(case: Case, found: Weighed, choice: Choice | None) -> Verdict:
    """Return the verdict of a case as it stands; ``choice`` is the next test that would help."""
    circuit = case.circuit
    faults = [fault for fault, _ in found.left]
    return Verdict(
        heading=heading(circuit, found),
        candidates=tuple((fault_words(circuit, f), share) for f, share in found.left),
        stretch=tuple(dict.fromkeys(_stretches(circuit, faults[:MOST_NAMED]))),
        reasoning=tuple(reasoning(case)),
        unproved=tuple(_unproved(case, found, choice)),
        repair=tuple(dict.fromkeys(_repairs(circuit, faults[:MOST_NAMED]))),
        confirm=tuple(_confirm(case)) if faults else (),
        choice=tuple(_choice(found, choice)),
        wear=tuple(wear_words(case, faults)),
    )


def fault_words(circuit: Circuit, fault: Fault) -> str:
    """Return a fault in words, how bad left out."""
    if fault.kind == NO_FAULT.kind:
        return "No fault: it works as designed"
    return f"{place_title(circuit, fault.place)}: {KINDS[fault.kind].words}"


def heading(circuit: Circuit, found: Weighed) -> str:
    """Return the verdict in a line: what it is, on which side, how sure."""
    if found.misfit is not None:
        return "Nothing fits yet."
    shares: dict[str, float] = {}
    for fault, share in found.left:
        what = what_it_is(circuit, fault)
        shares[what] = shares.get(what, 0.0) + share
    if len(shares) == 1:
        return f"It is the {next(iter(shares))}." if NO_FAULT.kind not in shares else _NONE
    ranked = sorted(shares.items(), key=lambda pair: -pair[1])
    told = ", ".join(
        f"{what.replace(NO_FAULT.kind, 'no fault')} {100 * s:.0f} %" for what, s in ranked
    )
    return f"Not told apart yet: {told}."


_NONE = "No fault is left: the circuit works as designed."


def what_it_is(circuit: Circuit, fault: Fault) -> str:
    """Return what a fault is of: ``left motor``, ``harness, right side``, ``Step controller``."""
    if fault.kind == NO_FAULT.kind:
        return NO_FAULT.kind
    part = circuit.part_by_name.get(fault.place.partition(".")[0])
    side = _side(circuit, fault)
    if part is None:
        return f"{HARNESS}{side}"
    kind = _KINDS_OF_PLACE.get(part.spec.sort, part.spec.sort)
    return f"{HARNESS}{side}" if kind == HARNESS else f"{kind} ({part.title})"


def _side(circuit: Circuit, fault: Fault) -> str:
    """Return on which side of the vehicle a fault lies, empty where it is on neither."""
    ends = fault.place.split("+")
    words = " ".join(end_words(one) for end in ends for one in _ends_of(circuit, end))
    words += f" {place_title(circuit, fault.place)} {' '.join(_titles(circuit, words))}"
    sides = {side for side in ("left", "right") if side in words.lower()}
    return f", {sides.pop()} side" if len(sides) == 1 else ""


def _ends_of(circuit: Circuit, place: str) -> tuple[str, ...]:
    wire = circuit.wire_by_name.get(place)
    return (wire.start, wire.end) if wire else (place,)


def _titles(circuit: Circuit, words: str) -> Iterator[str]:
    """Yield the titles of what stands in some words: parts, connectors, cavities."""
    for word in words.split():
        name, _, cavity = word.partition(".")
        if name in circuit.part_by_name:
            yield circuit.part_by_name[name].title
        if name in circuit.connector_by_name:
            connector = circuit.connector_by_name[name]
            yield connector.title
            if cavity.isdigit():
                yield connector.labels[int(cavity) - 1]


def _stretches(circuit: Circuit, faults: Sequence[Fault]) -> Iterator[str]:
    """Yield where a fault of the harness lies: which stretch between which ends."""
    for fault in faults:
        for end in fault.place.split("+"):
            wire = circuit.wire_by_name.get(end)
            if wire is not None:
                ends = " and ".join(end_words(one) for one in (wire.start, wire.end))
                yield f"{wire.label} runs {wire.length_m:g} m or so, between {ends}"
            elif end.partition(".")[0] in circuit.connector_by_name:
                connector = circuit.connector_by_name[end.partition(".")[0]]
                place = circuit.place_by_name[connector.place].title
                yield f"{end_words(end)} is in the {connector.title.lower()}, {place}"


def reasoning(case: Case) -> Iterator[str]:
    """Yield what each answer told, sentences with the figures."""
    for learned in explained([question_of(case.circuit)], case.evidence()):
        yield " ".join(learned.told)


def _unproved(case: Case, found: Weighed, choice: Choice | None) -> Iterator[str]:
    if found.misfit is not None:
        yield found.misfit.words
        return
    for answer in resting_on(case):
        yield (
            f"It rests on answer {answer.no} alone ({answer_words(case, answer)}). Take it again "
            "before you repair anything."
        )
    if len(found.left) > 1:
        tests = "the next test tells more" if choice else "no test of this lab parts them"
        yield f"{len(found.left)} faults still fit, and {tests}."
    yield (
        "One fault that is there all the time is taken for granted, on a circuit as drawn. What "
        "comes and goes, and what is not on the diagram, this lab does not know."
    )


def _repairs(circuit: Circuit, faults: Sequence[Fault]) -> Iterator[str]:
    for fault in faults:
        if fault.kind == NO_FAULT.kind:
            yield REPAIRS["none"].capitalize()
            continue
        can = repairs_at(circuit, fault.place)
        words = [REPAIRS[cure] for cure in KINDS[fault.kind].cures if cure in can]
        yield f"{place_title(circuit, fault.place)}: {', or '.join(words)}"


def _confirm(case: Case) -> Iterator[str]:
    """Yield the tests that show that it is cured: the complaint, and what read otherwise."""
    for symptom in case.complaint:
        yield f"With {switch_words(case.circuit, symptom.setting)} expect: {symptom.sound}."
    for answer in case.standing:
        if answer.evidence.what is not None and not _is_as_expected(case, answer.no):
            expected = expected_words(case.vehicle(), answer.test)
            yield f"Test {answer.no} again ({answer_words(case, answer)}): expect {expected}."


def _is_as_expected(case: Case, no: int) -> bool:
    answer = case.answers[no - 1]
    shown, band = answer.evidence.shown, band_of(case.vehicle(), answer.test)
    if shown is None or shown.value is None:
        return band.is_open
    return band.low <= shown.value <= band.high


def _choice(found: Weighed, choice: Choice | None) -> Iterator[str]:
    """Yield whether it is cheaper to test further or to repair now."""
    if choice is None or not found.left:
        return
    share = found.left[0][1]
    guess = (1 - share) * minutes.WRONG_PART
    yield (
        f"The next test takes about {max(choice.minutes, 0.5):.1f} minutes. Repairing the "
        f"likeliest now is wrong in {100 * (1 - share):.0f} of 100 such cases, and a wrong part "
        f"costs about {minutes.WRONG_PART:.0f} minutes, {guess:.0f} on average."
    )
    yield "Test further." if guess > choice.minutes else "Repairing now is the cheaper bet."

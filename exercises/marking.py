"""Marks: five separate columns, each with the evidence for it, and one verdict.

*Diagnosis*: is it what was named. *Proof*: was it the only fault left. *Economy*: minutes
against a good path. *Care*: cautions kept. *Confirmation*: cured, and shown. A lucky guess
is visibly a guess: economy counts only as far as the diagnosis was proved.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import permutations

from circuits.cautions import CAUTIONS
from circuits.faultkinds import KINDS
from circuits.faults import describe, share_a_cure
from circuits.instruments import read
from circuits.model import Circuit, Fault
from exercises.attempt import Attempt
from exercises.diagnosis import NO_FAULT_WORDS
from exercises.entries import Entry, Named
from exercises.evidence import NO_FAULT, fits
from exercises.goodpath import GoodPath, good_path
from exercises.narrowing import question_for, questions, still_possible

MARKER = "1"
"""Version of the rules below; it is kept with every mark."""

COLUMNS = ("diagnosis", "proof", "economy", "care", "confirmation")
SAME_PART, SAME_KIND_THERE = 0.6, 0.8
PROOF_STEPS = ((0, 1.0), (1, 0.7), (3, 0.5), (10, 0.2))
"""Most rivals left at naming, and what that is worth."""

ALLOWANCE = 1.25
SLIPS = {
    "ohms_live": 0.25,
    "amps_across_supply": 0.25,
    "held_at_stop": 0.25,
    "jumper_blew": 0.25,
    "hot_conductor": 0.0,
    "isolate_first": 0.05,
}
WRONG_REPAIR_SLIP = 0.10
EVIDENCED = {"diagnosis": 1.0, "proof": 0.7, "care": 0.75}


@dataclass(frozen=True, slots=True)
class Column:
    """One mark: its score from 0 to 1, the rule it follows and the evidence for it."""

    name: str
    score: float
    rule: str
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """The marks of an attempt and the verdict."""

    columns: tuple[Column, ...]
    evidenced: bool
    up_to: int
    marker: str = MARKER

    def score(self, name: str) -> float:
        """Return the score of a column."""
        return next(column.score for column in self.columns if column.name == name)


def mark(attempt: Attempt) -> Mark:
    """Return the marks of an attempt as it stands."""
    good = good_path(attempt.exercise)
    proof = _proof(attempt, good)
    columns = (
        _diagnosis(attempt, good),
        proof,
        _economy(attempt, proof, good),
        _care(attempt),
        _confirmation(attempt),
    )
    scores = {column.name: column.score for column in columns}
    evidenced = all(scores[name] >= least for name, least in EVIDENCED.items())
    return Mark(columns, evidenced, attempt.last)


def final_names(attempt: Attempt) -> tuple[Named, ...]:
    """Return the namings that count: the last of as many spots as there are faults."""
    latest_first: dict[tuple[str, str], Named] = {}
    for named in reversed(attempt.named):
        latest_first.setdefault(_spot(named.fault), named)
    return tuple(latest_first.values())[: len(_truth(attempt))][::-1]


def words_for(circuit: Circuit, fault: Fault, *, how_bad: bool = False) -> str:
    """Return a fault in words, with its severity only where asked for."""
    if fault == NO_FAULT or fault.kind == NO_FAULT.kind:
        return NO_FAULT_WORDS
    words = describe(circuit, fault)
    unit = KINDS[fault.kind].unit
    return words if how_bad or not unit else words.rpartition(" (")[0]


def _spot(fault: Fault) -> tuple[str, str]:
    return (fault.place, fault.kind)


def _spots(faults: Iterable[Fault]) -> set[tuple[str, str]]:
    return {_spot(fault) for fault in faults}


def _diagnosis(attempt: Attempt, good: GoodPath) -> Column:
    rule = (
        "What was named against what it was: place and kind 1, right part and kind 0.8, "
        "right part 0.6; 0 after asking to be shown. A fault that no allowed test tells from the "
        "true one counts as it. Of two faults each counts half."
    )
    circuit, names = attempt.circuit, final_names(attempt)
    was = "; ".join(words_for(circuit, fault, how_bad=True) for fault in _truth(attempt))
    if attempt.gave_up:
        return Column("diagnosis", 0.0, rule, ("The good path was asked for.", f"It was: {was}."))
    if not names:
        return Column("diagnosis", 0.0, rule, ("No fault was named.", f"It was: {was}."))
    said = "; ".join(words_for(circuit, named.fault) for named in names)
    score = _matched([named.fault for named in names], _truth(attempt), good)
    return Column("diagnosis", score, rule, (f"Named: {said}.", f"It was: {was}."))


def _matched(named: list[Fault], truth: tuple[Fault, ...], good: GoodPath) -> float:
    """Return the mean closeness of the names to the faults, paired as they fit best."""
    names = [*named, *[None] * (len(truth) - len(named))]
    return max(
        sum(_closeness(n, t, good) for n, t in zip(order, truth, strict=True) if n is not None)
        for order in permutations(names, len(truth))
    ) / len(truth)


def _truth(attempt: Attempt) -> tuple[Fault, ...]:
    return attempt.exercise.faults or (NO_FAULT,)


def _alike(truth: Fault, good: GoodPath) -> set[tuple[str, str]]:
    """Return what counts as the true fault: whatever no allowed test tells from it.

    Where nothing is at fault the good path leaves faults too slight to show. They are no
    rivals of *no fault*, but naming one of them is not the finding either. Of two faults
    each has its own place in what the path leaves.
    """
    if truth == NO_FAULT:
        return set()
    return _spots(f for f in good.group if not good.several or share_a_cure(f, truth))


def _closeness(named: Fault, truth: Fault, good: GoodPath) -> float:
    if _spot(named) in {_spot(truth)} | _alike(truth, good):
        return 1.0
    if _part(named) != _part(truth):
        return 0.0
    return SAME_KIND_THERE if named.kind == truth.kind else SAME_PART


def _part(fault: Fault) -> str:
    """Return the thing to be repaired: a part with all its sites, a wire, a connector."""
    return fault.place.partition(".")[0]


def _proof(attempt: Attempt, good: GoodPath) -> Column:
    rule = (
        "Faults still possible besides the one named, when it was named: none 1, one 0.7, "
        "two or three 0.5, up to ten 0.2, more 0. Naming what the readings had ruled out: 0. "
        "Of two faults each counts half."
    )
    names = final_names(attempt)
    if not names:
        return Column("proof", 0.0, rule, ("Nothing was named, so nothing was proved.",))
    proofs = [_proved(attempt, named, good) for named in names]
    score = sum(score for score, _ in proofs) / len(_truth(attempt))
    return Column("proof", score, rule, tuple(sentence for _, sentence in proofs))


def _proved(attempt: Attempt, named: Named, good: GoodPath) -> tuple[float, str]:
    """Return how far one naming was proved, and the sentence that says so."""
    exercise, spot = attempt.exercise, _spot(named.fault)
    meant = [t for t in _truth(attempt) if _closeness(named.fault, t, good) == 1.0]
    asked = questions(exercise)
    if good.several and meant:
        asked = (asked[0], question_for(exercise, meant[0]))
    left = still_possible(asked, attempt.evidence[: named.evidence])
    if spot not in _spots(left):
        return 0.0, "The readings had already ruled out what was named."
    same = (_alike(meant[0], good) if good.several else _spots(good.group)) if meant else set()
    rivals = [fault for fault in left if _spot(fault) not in same | {spot}]
    score = next((worth for most, worth in PROOF_STEPS if len(rivals) <= most), 0.0)
    return score, _rivals_told(attempt, rivals, named)


def _rivals_told(attempt: Attempt, rivals: list[Fault], named: Named) -> str:
    circuit, readings = attempt.circuit, named.readings
    after = f"After {readings} reading{'s' * (readings != 1)}"
    if not rivals and _spot(named.fault) == _spot(NO_FAULT):
        return "It was worked in every position, and did in each what it is made to do."
    if not rivals:
        return f"{after} nothing else could explain what was seen and measured."
    shown = "; ".join(words_for(circuit, fault) for fault in rivals[:6])
    more = f"; and {len(rivals) - 6} more" if len(rivals) > 6 else ""
    if len(rivals) == 1:
        return f"{after} one other fault was still possible: {shown}."
    return f"{after} {len(rivals)} other faults were still possible: {shown}{more}."


def _economy(attempt: Attempt, proof: Column, good: GoodPath) -> Column:
    rule = (
        "1.25 times the minutes of a good path over the minutes spent up to naming, wrong "
        "repairs included; at most 1; times the mark for proof."
    )
    spent = _minutes_to_name(attempt)
    ratio = min(1.0, ALLOWANCE * good.minutes / spent) if spent > 0 else 1.0
    told = f"{spent:.1f} minutes spent; a good path takes {good.minutes:.1f}."
    return Column("economy", ratio * proof.score, rule, (told,))


def _minutes_to_name(attempt: Attempt) -> float:
    """Return the minutes up to the last naming, with those of repairs that cured nothing."""
    return attempt.named[-1].minutes if attempt.named else attempt.minutes


def _care(attempt: Attempt) -> Column:
    rule = (
        "Starts at 1. Ohms on a live circuit, amps across a supply, a motor held at its stop "
        "or a jumper across a short cost 0.25 each time; ohms with the battery connected "
        "0.05; a repair of something sound 0.1."
    )
    told, lost = [], 0.0
    for name in dict.fromkeys(attempt.slips):
        times, cost = attempt.slips.count(name), SLIPS.get(name, 0.0)
        if cost:
            lost += times * cost
            told.append(f"{times} times: {CAUTIONS[name]}" if times > 1 else CAUTIONS[name])
    wrong = [repair for repair in attempt.repairs if not repair.cured]
    if wrong:
        lost += WRONG_REPAIR_SLIP * len(wrong)
        told.append(f"{len(wrong)} repair{'s' * (len(wrong) > 1)} of something that was sound.")
    return Column("care", max(0.0, 1 - lost), rule, tuple(told) or ("Every caution was kept.",))


def _confirmation(attempt: Attempt) -> Column:
    rule = (
        "Cured, and a reading that was wrong before repeated and now right: 1. Cured and "
        "only the vehicle worked or something else measured: 0.5. Else 0."
    )
    if not attempt.repairs:
        return Column("confirmation", 0.0, rule, ("No repair was chosen.",))
    cure = next((repair for repair in reversed(attempt.repairs) if repair.cured), None)
    if cure is None or not attempt.cured:
        return Column("confirmation", 0.0, rule, (_not_cured(attempt),))
    until, after = attempt.entries[: cure.readings], attempt.entries[cure.readings :]
    for entry in after:
        before = _wrong_before(attempt, entry, until)
        if before is not None:
            told = f"{entry.where}: {before.shown.text} before, {entry.shown.text} after."
            return Column("confirmation", 1.0, rule, (told,))
    if not attempt.exercise.faults and after:
        told = "It worked as designed, and was measured once more after the finding."
        return Column("confirmation", 1.0, rule, (told,))
    told = "The vehicle was worked again, but no reading that had been wrong was repeated."
    return Column("confirmation", 0.5, rule, (told,))


def _not_cured(attempt: Attempt) -> str:
    if not attempt.exercise.faults:
        return "Something was repaired, and nothing was at fault."
    if any(repair.cured for repair in attempt.repairs):
        return "One fault is cured, another is still there."
    return "The fault is still there."


def _wrong_before(attempt: Attempt, entry: Entry, until: Iterable[Entry]) -> Entry | None:
    """Return an entry from before the repair that this one repeats and puts right."""
    sound = read(attempt.exercise.healthy().with_setting(entry.setting), entry.what)
    if not fits(entry.shown, sound, sound):
        return None
    for before in until:
        same = (before.setting, before.what) == (entry.setting, entry.what)
        if same and not fits(before.shown, sound, sound):
            return before
    return None

"""What each reading ruled out, and why: what a fault would have shown, and what was shown.

Kept apart are the faults that are ruled out, those that may now only be less or more bad,
and readings that told nothing: some could have, others never could.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

from circuits.cautions import sentences
from circuits.model import Fault
from circuits.settings import setting_words
from exercises.candidates import Candidates, Would, stretch_of
from exercises.evidence import NO_FAULT, USELESS, Evidence
from exercises.explaining.bands import Stretch, band_words, merged
from exercises.explaining.howbad import narrowed_words
from exercises.explaining.names import fault_names
from exercises.explaining.telling import Learned, Ruled
from exercises.explaining.watching import Spot, Watched
from exercises.narrowing import Question, foretold, narrowed
from exercises.parting import parted
from exercises.trial import Trial, trials

Reason = tuple[str, tuple[Fault, ...]]
"""Why faults are ruled out, and the faults."""

MOST_JOINED = 6
"""Most earlier readings that are tried to find the one with which a reading does not go."""


def explained(asked: Sequence[Question], evidence: Iterable[Evidence]) -> Iterator[Learned]:
    """Yield what each piece of evidence taught, in order."""
    pieces = tuple(evidence)
    for count in range(1, len(pieces) + 1):
        yield _Step(asked, pieces[:count]).learned()


class _Step:
    """One piece of evidence, with what was possible before it and after it."""

    def __init__(self, asked: Sequence[Question], pieces: tuple[Evidence, ...]) -> None:
        self.asked, self.pieces, self.piece = asked, pieces, pieces[-1]
        self.circuit = asked[0].circuit
        self.before = [narrowed(question, pieces[:-1]) for question in asked]
        self.after = [narrowed(question, pieces) for question in asked]
        self.no = sum(piece.shown is not None for piece in pieces) if self.piece.what else 0

    def learned(self) -> Learned:
        left = _left(self.after)
        would = self._would()
        gone = tuple(fault for spot, fault in _left(self.before).items() if spot not in left)
        seen = Watched(self.circuit, self.piece, would)
        found, sound = self._found(seen)
        ruled = tuple(
            Ruled(faults, fault_names(self.circuit, faults), reason)
            for reason, faults in self._ruled(gone, would, seen)
        )
        narrowed = tuple(narrowed_words(self.circuit, self.before, self.after))
        return Learned(
            self.no,
            setting_words(self.circuit, self.piece.setting),
            found,
            sound,
            len(_left(self.before)),
            len(left),
            ruled,
            narrowed,
            "" if gone else self._silent(would),
        )

    def _would(self) -> dict[Spot, list[Would]]:
        if self.piece.reading is None and self.piece.seen is None:
            return {}
        found: dict[Spot, list[Would]] = {}
        for question in self.asked:
            for would in foretold(question, self.pieces):
                found.setdefault((would.low.place, would.low.kind), []).append(would)
        return found

    def _found(self, seen: Watched) -> tuple[str, str]:
        """Return what was seen or read, and what a sound vehicle does or shows."""
        what, shown = self.piece.what, self.piece.shown
        if what is None or shown is None:
            return seen.differing()
        sound = Trial(NO_FAULT, frozenset())
        piece = replace(self.piece, repaired=())
        if self.piece.reading is None:
            return f"{what.instrument} {what.where()}", ""
        shows = trials(self.circuit, piece, [sound])[NO_FAULT]
        band = stretch_of(piece, [shows], fits=True)
        read = "was" if shown.unit == "%" else "read"
        found = f"{what.instrument} {what.where()} {read} {shown.text}"
        return found, band_words(piece, [band])

    def _ruled(
        self, gone: Sequence[Fault], would: Mapping[Spot, list[Would]], seen: Watched
    ) -> Iterator[Reason]:
        alone = [f for f in gone if not any(one.fits for one in would[_spot(f)])]
        if self.piece.seen is not None:
            for words, faults in seen.groups(alone):
                saw = f"you would have seen {words}" if words else "it would have done less"
                yield saw, faults
        else:
            yield from _by_band(self.piece, alone, would)
        yield from self._joined([fault for fault in gone if fault not in alone])

    def _joined(self, faults: Sequence[Fault]) -> Iterator[Reason]:
        """Yield the faults that would allow this, but not together with what was read before."""
        left = list(faults)
        for no, piece in self._readings()[-MOST_JOINED:][::-1]:
            if not left:
                return
            stay = {spot for question in self.asked for spot in self._both(question, left, piece)}
            out = [fault for fault in left if _spot(fault) not in stay]
            if out:
                reason = f"no one vehicle gives both this and reading {no}"
                yield reason, tuple(out)
            left = [fault for fault in left if fault not in out]
        if left:
            yield "no one vehicle gives this and all that was read before", tuple(left)

    def _readings(self) -> list[tuple[int, Evidence]]:
        taken = [piece for piece in self.pieces if piece.shown is not None]
        return [(n, p) for n, p in enumerate(taken[:-1], start=1) if p.reading is not None]

    def _both(self, question: Question, faults: Sequence[Fault], piece: Evidence) -> set[Spot]:
        """Return which of some faults give this and one earlier reading."""
        only = question.candidates(tuple(faults))
        for each in (piece, self.piece):
            only.weigh(each)
        return set(_left([only]))

    def _silent(self, would: Mapping[Spot, list[Would]]) -> str:
        names = self.piece.shown.caution_names if self.piece.shown else ()
        useless = tuple(name for name in names if name in USELESS)
        if useless:
            return f"It tells nothing of the vehicle. {sentences(useless)[0]}"
        again = self._taken_before()
        if again:
            return f"Nothing is ruled out: it is reading {again} over again."
        count = len(would)
        if count < 2:
            return "Nothing was left to be ruled out."
        if _parts(would):
            return (
                f"Nothing is ruled out, though it might have been: had it come out otherwise, "
                f"some of the {count} would have gone."
            )
        return f"Nothing is ruled out, and nothing could have been: {self._alike(would)}."

    def _alike(self, would: Mapping[Spot, list[Would]]) -> str:
        every = "both" if len(would) == 2 else f"all {len(would)}"
        stretches = [one.stretch for each in would.values() for one in each if one.stretch]
        if not stretches:
            return f"{every} that are left do the same here"
        low, high = max(low for low, _ in stretches), min(high for _, high in stretches)
        return f"{every} that are left may show {band_words(self.piece, [(low, high)])} here"

    def _taken_before(self) -> int:
        if self.piece.what is None:
            return 0
        same = (self.piece.setting, self.piece.what, self.piece.repaired, self.piece.celsius)
        for no, piece in self._readings():
            if (piece.setting, piece.what, piece.repaired, piece.celsius) == same:
                return no
        return 0


def _by_band(
    piece: Evidence, faults: Sequence[Fault], would: Mapping[Spot, Sequence[Would]]
) -> Iterator[Reason]:
    """Yield the faults that would have shown something else, those together that overlap."""
    lamp = piece.shown is not None and piece.shown.unit == "%"
    read = "the lamp would have been" if lamp else "it would have read"
    told = sorted((merged(_stretches(would[_spot(fault)])), n) for n, fault in enumerate(faults))
    groups: list[tuple[tuple[Stretch, ...], list[Fault]]] = []
    for stretches, number in told:
        known = groups[-1][0] if groups else ()
        both = merged((*known, *stretches))
        if known and len(both) == len(known) == len(stretches):
            groups[-1] = (both, [*groups[-1][1], faults[number]])
        else:
            groups.append((stretches, [faults[number]]))
    worded: dict[str, list[Fault]] = {}
    for stretches, group in groups:
        worded.setdefault(f"{read} {band_words(piece, stretches)}", []).extend(group)
    for words, out in sorted(worded.items(), key=lambda pair: -len(pair[1])):
        yield words, tuple(fault for fault in faults if fault in out)


def _stretches(would: Iterable[Would]) -> list[Stretch]:
    return [one.stretch for one in would if one.stretch is not None]


def _parts(would: Mapping[Spot, list[Would]]) -> bool:
    """Say whether some outcome would have ruled out one of these faults."""
    every = [one for each in would.values() for one in each]
    if parted(every):
        return True
    looks = {one.seen for one in every}
    return any(_unlike(one, other) for one, other in combinations(looks, 2))


def _unlike(one: frozenset[Spot], other: frozenset[Spot]) -> bool:
    return any(not {pair for pair in one if pair[0] == part} & other for part, _ in one)


def _spot(fault: Fault) -> Spot:
    return (fault.place, fault.kind)


def _left(asked: Iterable[Candidates]) -> dict[Spot, Fault]:
    return {_spot(fault): fault for candidates in asked for fault in candidates.left()}

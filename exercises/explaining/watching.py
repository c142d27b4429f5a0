"""The words of what a vehicle was seen to do, and of what other faults would have made it do."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from circuits.behaviour import observe
from circuits.model import Circuit, Fault, Vehicle
from exercises.candidates import Would
from exercises.evidence import Evidence

Spot = tuple[str, str]


class Watched:
    """What was seen at one moment, with the words for it."""

    def __init__(
        self, circuit: Circuit, piece: Evidence, would: Mapping[Spot, Sequence[Would]]
    ) -> None:
        self.circuit, self.piece, self.would = circuit, piece, would
        self._words: dict[Spot, str] = {}
        self._order = {part.name: number for number, part in enumerate(circuit.parts)}
        self._sound = {one.part: one for one in observe(Vehicle(circuit, (), piece.setting))}
        fitting = next((one for each in would.values() for one in each if one.fits), None)
        self._learn(fitting.vehicles if fitting else ())
        self._learn([Vehicle(circuit, (), piece.setting)])

    def _learn(self, vehicles: Iterable[Vehicle]) -> None:
        for vehicle in vehicles:
            for seen in observe(vehicle):
                self._words.setdefault((seen.part, seen.code), seen.words)

    def _say(self, pairs: Iterable[Spot]) -> str:
        return "; ".join(f"“{self._word(pair)}”" for pair in sorted(pairs, key=self._place))

    def _word(self, pair: Spot) -> str:
        part, code = pair
        return self._words.get(pair) or f"{self.circuit.part_by_name[part].title}: {code}"

    def _place(self, pair: Spot) -> tuple[int, str]:
        return self._order.get(pair[0], 0), pair[1]

    def differing(self) -> tuple[str, str]:
        """Return what was seen of the parts that a sound vehicle shows otherwise, and what it
        shows of them; the second empty where it did the same."""
        usual = {(part, one.code) for part, one in self._sound.items()}
        seen = sorted(self.piece.seen or (), key=self._place)
        other = [pair for pair in seen if pair not in usual]
        if not other:
            return "it did what a sound vehicle does", ""
        sound = [self._sound[part].words for part, _ in other if part in self._sound]
        return self._say(other), "; ".join(f"“{words}”" for words in dict.fromkeys(sound))

    def groups(self, faults: Sequence[Fault]) -> Iterator[tuple[str, tuple[Fault, ...]]]:
        """Yield faults by what else would have been seen with them, most of them first."""
        found: dict[frozenset[Spot], list[Fault]] = {}
        for fault in faults:
            found.setdefault(self._otherwise(fault), []).append(fault)
        worded: dict[str, list[Fault]] = {}
        for pairs, group in found.items():
            if not pairs <= self._words.keys():  # one vehicle of the group has the words for all
                self._learn(self.would[group[0].place, group[0].kind][0].vehicles)
            worded.setdefault(self._say(pairs), []).extend(group)
        for words, group in sorted(worded.items(), key=lambda pair: -len(pair[1])):
            yield words, tuple(group)

    def _otherwise(self, fault: Fault) -> frozenset[Spot]:
        """Return what would have been seen of the parts that did something else."""
        would = self.would[fault.place, fault.kind]
        seen = self.piece.seen or frozenset()
        missing = {part for one in would for part, _ in seen - one.seen}
        return frozenset(pair for pair in would[0].seen - seen if pair[0] in missing)

"""The same exercise on the other side of the vehicle, for those whose texts name no side."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from circuits.faults import fault_places
from circuits.instruments import Measurement
from circuits.model import Circuit, Fault, Jumper, Setting
from exercises.exercise import Exercise, Step

_WORD = re.compile(r"[A-Za-z]\w*(?:\.\w+)?")


class Mirror:
    """The names of a circuit's other side."""

    def __init__(self, circuit: Circuit) -> None:
        self._places = {place.name for place in fault_places(circuit)}
        self._other = dict(circuit.mirror) | {b: a for a, b in circuit.mirror}

    def name(self, name: str) -> str:
        """Return the other side's name: of a part, wire, place, test point or position."""
        bare, at, face = name.partition("@")
        if bare in self._other:
            return self._other[bare] + at + face
        head, dot, tail = bare.partition(".")
        return self._other.get(head, head) + dot + self._other.get(tail, tail) + at + face

    def place(self, place: str) -> str:
        """Return the other side's name of a place where a fault can sit."""
        parts = [self.name(part) for part in place.split("+")]
        either = ("+".join(parts), "+".join(reversed(parts)))
        return next((name for name in either if name in self._places), "")

    def fault(self, fault: Fault) -> Fault:
        """Return the fault on the other side."""
        return replace(fault, place=self.place(fault.place))

    def setting(self, setting: Setting) -> Setting:
        """Return the setting with everything done on the other side."""
        return replace(
            setting,
            positions=tuple(sorted((self.name(s), self.name(p)) for s, p in setting.positions)),
            unmated=frozenset(self.name(name) for name in setting.unmated),
            pulled=frozenset(self.name(name) for name in setting.pulled),
            jumpers=tuple(Jumper(self.name(j.start), self.name(j.end)) for j in setting.jumpers),
            moved=self.name(setting.moved) if setting.moved else "",
        )

    def step(self, step: Step) -> Step:
        """Return the step on the other side."""
        repaired = step.repaired and (self.place(step.repaired[0]), step.repaired[1])
        what = self._measurement(step.measurement) if step.measurement else None
        return Step(self.setting(step.setting), what, step.because, repaired)

    def _measurement(self, what: Measurement) -> Measurement:
        red, black, wire = (self.name(name) for name in (what.red, what.black, what.wire))
        return replace(what, red=red, black=black, wire=wire)


def mirrored(exercise: Exercise) -> Exercise:
    """Return an exercise with everything on the other side but its texts."""
    mirror = Mirror(exercise.circuit)
    return replace(
        exercise,
        faults=tuple(mirror.fault(fault) for fault in exercise.faults),
        also=tuple(tuple(mirror.fault(fault) for fault in faults) for faults in exercise.also),
        path=tuple(mirror.step(step) for step in exercise.path),
        closed_places=tuple(mirror.name(place) for place in exercise.closed_places),
    )


def sides_named(circuit: Circuit, texts: Iterable[str]) -> Iterator[str]:
    """Yield what texts say that is of one side only: its names, and its words."""
    mirror = Mirror(circuit)
    for text in texts:
        for word in _WORD.findall(text):
            if mirror.name(word) != word or word.lower() in {"left", "right"}:
                yield word

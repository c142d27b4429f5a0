"""What an attempt keeps of single acts: readings, namings, repairs, hints."""

from dataclasses import dataclass
from typing import Literal

from circuits.instruments import Measurement
from circuits.model import Fault, Setting
from exercises.shown import Shown

Stage = Literal["probing", "repaired", "closed"]


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the log: a reading, with everything it was taken under.

    ``expected`` is what the learner said that a sound vehicle shows, empty where that was not
    asked; ``expected_right`` whether it does, None where it cannot be said; ``sound`` what it
    does show, in words.
    """

    no: int
    setting: Setting
    setting_words: str
    what: Measurement
    shown: Shown
    minutes: float
    stage: Stage
    expected: str = ""
    expected_right: bool | None = None
    sound: str = ""

    @property
    def where(self) -> str:
        """Where the leads were."""
        return self.what.where()


@dataclass(frozen=True, slots=True)
class Named:
    """The fault that the learner named, why, and what had been read and spent by then."""

    fault: Fault
    because: str
    readings: int
    evidence: int
    minutes: float


@dataclass(frozen=True, slots=True)
class Hinted:
    """A hint as it was given, and how much had been read, learned and named by then."""

    depth: int
    words: str
    readings: int
    evidence: int
    names: int


@dataclass(frozen=True, slots=True)
class Repair:
    """A repair that the learner chose; ``cured`` tells whether it put the fault right.

    ``readings`` and ``names`` count what had been read and named by then.
    """

    place: str
    name: str
    cured: bool
    readings: int
    names: int

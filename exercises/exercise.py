"""An exercise: a circuit with a hidden fault, a complaint, and the rules of the job."""

from dataclasses import dataclass

from circuits.instruments import INSTRUMENTS, Instrument, Measurement
from circuits.model import Circuit, Fault, Setting, Vehicle
from circuits.points import TestPoint, exposed_points


@dataclass(frozen=True, slots=True)
class Step:
    """One test of a good path: how the vehicle is set, what is measured, and why.

    ``measurement`` is None for a step that only works the vehicle and watches it. ``repaired``
    is the place and the repair of a fault that is put right before the step.
    """

    setting: Setting
    measurement: Measurement | None
    because: str
    repaired: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Exercise:
    """An exercise as read from its file.

    Attributes
    ----------
    slip : number of the complaint slip.
    complaint : what the slip says, as the technician wrote it.
    level : 1, a first lesson, to 4.
    skill : what it trains, in trade words.
    faults : the hidden faults; empty when the vehicle works as designed.
    instruments : those the learner may use.
    closed_places : places of the circuit that may not be reached.
    shows_expected : whether the log tells what a healthy vehicle would have shown.
    asks_suspects : whether the learner lists what could be wrong before the first reading.
    asks_expected : whether the learner says before a reading what a sound vehicle shows.
    hints : the deepest hint that may be taken, 0 for none.
    path : a good path, from the complaint to the proof.
    lesson : what to take from it, told in the debrief.
    like_case : a short story of a like fault, told in the debrief.
    conditions : those under which a fault may show, as the slip tells (see ``Fault.when``).
    severity, also : what a variant draws from: severities of the first fault, other faults.
    either_side : whether a variant may be of the other side of the vehicle.
    low_meter : whether a variant may begin with a meter whose own battery is low.
    scatter : where the vehicle's parts lie within their tolerances (see ``Vehicle``).
    """

    name: str
    title: str
    circuit: Circuit
    slip: int
    complaint: str
    level: int
    skill: str
    faults: tuple[Fault, ...]
    path: tuple[Step, ...]
    lesson: str
    like_case: str
    instruments: tuple[Instrument, ...] = INSTRUMENTS
    closed_places: tuple[str, ...] = ()
    shows_expected: bool = False
    asks_suspects: bool = False
    asks_expected: bool = False
    hints: int = 3
    severity: tuple[float, float] | None = None
    also: tuple[tuple[Fault, ...], ...] = ()
    conditions: tuple[str, ...] = ()
    either_side: bool = False
    low_meter: bool = False
    scatter: tuple[tuple[str, float], ...] = ()

    def vehicle(self) -> Vehicle:
        """Return the vehicle with its hidden faults, as found."""
        return Vehicle(self.circuit, self.faults, scatter=self.scatter)

    def healthy(self) -> Vehicle:
        """Return the same vehicle without a fault."""
        return Vehicle(self.circuit, scatter=self.scatter)

    def points(self, setting: Setting) -> tuple[TestPoint, ...]:
        """Return the test points that the rules and the setting let a probe touch."""
        exposed = exposed_points(self.circuit, setting)
        return tuple(point for point in exposed if point.place not in self.closed_places)

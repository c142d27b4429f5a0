"""A plan for a real vehicle: what it is for, its steps, and what it cannot tell."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from circuits.model import Circuit, CircuitError
from exercises.candidates import Candidates
from exercises.narrowing import narrowed
from exercises.planning.live import everything, live_of
from exercises.planning.table import Table
from exercises.plans.expected import with_battery
from exercises.plans.order import METER, healthy_walk, plan_of
from exercises.plans.steps import Step, steps_of
from exercises.plans.symptoms import Symptom, check_in_bounds, loose_wires, question_of


@dataclass(frozen=True, slots=True)
class PrintedPlan:
    """A plan as it is printed.

    Attributes
    ----------
    complaint : the symptoms that it is for, none for a general health check.
    battery_volt : rest volts that its bands are for, None for the usual battery.
    start : how many single faults fit the complaint.
    unseen : the faults that a vehicle may have with all steps as expected.
    """

    circuit: Circuit
    complaint: tuple[Symptom, ...]
    steps: tuple[Step, ...]
    battery_volt: float | None
    start: int
    unseen: int

    @property
    def minutes(self) -> float:
        """What all steps cost together."""
        return sum(step.minutes for step in self.steps)


def printed_plan(
    table: Table,
    complaint: Sequence[Symptom] = (),
    *,
    instruments: Collection[str] = METER,
    battery_volt: float | None = None,
) -> PrintedPlan:
    """Return the plan of a circuit for a complaint, for a health check without one.

    Raises
    ------
    CircuitError
        If no single fault does all that is complained of, the battery is no good, or nobody
        should measure on this circuit.
    """
    circuit = table.circuit
    check_in_bounds(circuit)
    plan = plan_of(table, instruments)
    live = everything(table)
    if complaint:
        live = live_of(table, [complained(circuit, complaint)])
    walked = healthy_walk(plan, live)
    shown = vehicle_circuit(circuit, battery_volt)
    left = walked[-1].left if walked else len(live.spots)
    return PrintedPlan(
        circuit, tuple(complaint), steps_of(shown, walked), battery_volt, len(live.spots), left
    )


def vehicle_circuit(circuit: Circuit, battery_volt: float | None) -> Circuit:
    """Return the circuit that printed bands are for: wires not measured, a battery as told."""
    loose = loose_wires(circuit)
    return loose if battery_volt is None else with_battery(loose, battery_volt)


def complained(circuit: Circuit, complaint: Sequence[Symptom]) -> Candidates:
    """Return the faults that do all that is complained of.

    Raises
    ------
    CircuitError
        If no single fault does.
    """
    found = narrowed(question_of(circuit), tuple(one.evidence() for one in complaint))
    if not found.left():
        names = ", ".join(symptom.name for symptom in complaint)
        raise CircuitError(
            f"complaint {names}: no single fault does all of it; accepted: what one fault does, "
            "the others in a plan of their own"
        )
    return found

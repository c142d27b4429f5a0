"""Vehicles that nobody knows, measured and judged: ``python -m tests.exercises.blind_trials``.

    python -m tests.exercises.blind_trials [--vehicles 200] [--tables FOLDER] [CIRCUIT ...]

Each has one fault at a severity of its own, wires up to 40 % longer or shorter than drawn, a
battery between 11.8 and 13.2 V, contacts and parts anywhere within their tolerances, a meter
with leads and an error of its own that nobody knows, and one reading in twenty taken with a
lead on the wrong point. Whoever measures follows the next best test, types what the display
shows, and takes an answer again when the case says that it is odd.
"""

import argparse
import math
import tempfile
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

from circuits.behaviour import observe
from circuits.consequences import blown_fuses
from circuits.faultkinds import KINDS
from circuits.faults import all_faults
from circuits.files import circuit_names, library_circuit
from circuits.instruments import Measurement, read
from circuits.meter import show
from circuits.model import AS_FOUND, Circuit, Fault, Vehicle
from circuits.operate import solve
from circuits.parts.supply import Battery
from circuits.points import exposed_points
from circuits.tolerance import drawn
from exercises.cases.case import Answer, Case
from exercises.cases.day import Day
from exercises.cases.typed import typed
from exercises.cases.weighing import Misfit, next_test, resting_on, weighed
from exercises.evidence import Evidence
from exercises.planning.allowed import AllowedTest
from exercises.planning.keep import ready
from exercises.planning.table import Table
from exercises.plans.symptoms import Symptom, symptoms

WIRES, BATTERY, SLIPS = 0.4, (11.8, 13.2), 0.05
GAIN_PER_CENT, LEADS_OHM = 2.0, (0.1, 0.5)
"""How far the unknown meter may be off, and its leads."""

MOST_ANSWERS = 40


@dataclass(frozen=True)
class Blind:
    """A vehicle and the meter used on it."""

    vehicle: Vehicle
    fault: Fault
    complaint: Symptom
    gain: float
    lead_ohm: float


@dataclass(frozen=True)
class Outcome:
    """What became of one vehicle: the place of the truth in the verdict, None if it is not."""

    blind: Blind
    answers: int
    slips: int
    rank: int | None
    left: tuple[tuple[Fault, float], ...]


def blind_vehicle(circuit: Circuit, random: Random) -> Blind | None:
    """Return a vehicle whose fault is seen in one of the circuit's complaints."""
    fault = random.choice(all_faults(circuit))
    grid = KINDS[fault.kind].grid
    if grid:
        fault = replace(fault, severity=_between(random, min(grid), max(grid)))
    vehicle = drawn(Vehicle(_off_nominal(circuit, random)), random)
    vehicle = replace(vehicle, faults=(fault,))
    known = list(symptoms(circuit))
    random.shuffle(known)
    for symptom in known:
        if (symptom.part, symptom.code) in _seen(vehicle, symptom.setting):
            gain = 1 + random.uniform(-GAIN_PER_CENT, GAIN_PER_CENT) / 100
            return Blind(vehicle, fault, symptom, gain, round(random.uniform(*LEADS_OHM), 1))
    return None


def _between(random: Random, low: float, high: float) -> float:
    if low > 0:
        return math.exp(random.uniform(math.log(low), math.log(high)))
    return random.uniform(low, high)


def _off_nominal(circuit: Circuit, random: Random) -> Circuit:
    volt = round(random.uniform(*BATTERY), 2)
    wires = tuple(
        replace(w, length_m=w.length_m * random.uniform(1 - WIRES, 1 + WIRES))
        for w in circuit.wires
    )
    parts = tuple(
        replace(p, spec=replace(p.spec, volt=volt)) if isinstance(p.spec, Battery) else p
        for p in circuit.parts
    )
    digest = f"{circuit.digest} {random.random()}"
    return replace(circuit, wires=wires, parts=parts, digest=digest)


def _seen(vehicle: Vehicle, setting) -> frozenset[tuple[str, str]]:
    return frozenset((one.part, one.code) for one in observe(vehicle.with_setting(setting)))


class Tester:
    """Somebody with a meter at one vehicle."""

    def __init__(self, blind: Blind, circuit: Circuit, random: Random) -> None:
        self.blind, self.random, self.vehicle = blind, random, blind.vehicle
        self.slips = 0
        self.case = Case(circuit, (blind.complaint,), self._day())
        self._work(blind.complaint.setting)

    def _work(self, setting) -> None:
        """Set the vehicle; what blows on the way stays blown."""
        vehicle = self.vehicle.with_setting(setting)
        self.vehicle = vehicle.with_blown(blown_fuses(vehicle, solve(vehicle)))

    def _day(self) -> Day:
        battery = next(p.name for p in self.vehicle.circuit.parts if isinstance(p.spec, Battery))
        sound = replace(self.vehicle, setting=AS_FOUND)
        volt = self._display(read(sound, Measurement("volts", f"{battery}.pos", f"{battery}.neg")))
        reading = typed("volts", f"{volt} V")
        assert reading.value is not None
        return Day(self.blind.lead_ohm, reading.value, reading.step)

    def _display(self, reading, *, leads: float = 0.0) -> str:
        if reading.exact is None:
            return "OL"
        ohms = reading.unit == "Ω"
        function = {"V": "volts", "Ω": "ohms", "A": "clamp"}[reading.unit]
        value = reading.exact * self.blind.gain + leads
        return show(function, max(value, 0.0) if ohms else value).display

    def answer(self, test: AllowedTest) -> None:
        """Take a test and write down what it showed."""
        self._work(test.setting)
        if test.what is None:
            evidence = Evidence(test.setting, seen=_seen(self.vehicle, test.setting))
        else:
            what = test.what
            if self.random.random() < SLIPS:
                what = self._slipped(test)
            leads = self.blind.lead_ohm if test.what.instrument == "ohms" else 0.0
            text = self._display(read(self.vehicle, what), leads=leads)
            day = self.case.day
            assert day is not None
            reading = typed(test.instrument, text.replace("m", " mV") if "m" in text else text)
            evidence = Evidence(test.setting, test.what, day.shown(test.what, reading))
        answer = Answer(len(self.case.answers) + 1, evidence)
        self.case = replace(self.case, answers=(*self.case.answers, answer))

    def _slipped(self, test: AllowedTest) -> Measurement:
        """Return the measurement with the red lead on another point."""
        what = test.what
        assert what is not None
        points = [p.name for p in exposed_points(self.vehicle.circuit, test.setting)]
        others = [name for name in points if name not in (what.red, what.black)]
        if what.instrument == "clamp" or not others:
            return what
        self.slips += 1
        return replace(what, red=self.random.choice(others))

    def check(self, misfit: Misfit) -> None:
        """Take again what is odd; take back what most others of the same test are against."""
        if misfit.again is not None:
            self.answer(misfit.again)
            return
        answers = (replace(a, dropped=a.dropped or a.no in misfit.odd) for a in self.case.answers)
        self.case = replace(self.case, answers=tuple(answers))


def judged(blind: Blind, table: Table, random: Random) -> Outcome:
    """Return what following the case to its end makes of a vehicle."""
    tester = Tester(blind, table.circuit, random)
    found = weighed(tester.case)
    while len(tester.case.answers) < MOST_ANSWERS:
        if found.misfit is not None:
            if not found.misfit.odd:
                break
            tester.check(found.misfit)
        else:
            test = _next(tester.case, table)
            if test is None:
                break
            tester.answer(test)
        found = weighed(tester.case)
    ranks = [n for n, (fault, _) in enumerate(found.left) if same_component(fault, blind.fault)]
    rank = ranks[0] if ranks else None
    return Outcome(blind, len(tester.case.answers), tester.slips, rank, found.left)


def _next(case: Case, table: Table) -> AllowedTest | None:
    """Return the next best test; once none helps, what the verdict rests on alone, again."""
    choice = next_test(case, table)
    if choice is not None and not choice.doubtful:
        return choice.test
    rests = resting_on(case)
    return rests[0].test if rests else None


def same_component(one: Fault, other: Fault) -> bool:
    """Say whether two faults are in one part, wire or connector."""
    return bool(_components(one) & _components(other))


def _components(fault: Fault) -> set[str]:
    return {end.partition(".")[0] for end in fault.place.split("+")}


def outcomes(table: Table, seeds: Iterable[int]) -> list[Outcome]:
    """Return what becomes of a vehicle for each seed; those with no complaint are left out."""
    found = []
    for seed in seeds:
        random = Random(f"{table.circuit.name} {seed}")
        blind = blind_vehicle(table.circuit, random)
        if blind is not None:
            found.append(judged(blind, table, random))
    return found


def _line(name: str, found: Sequence[Outcome]) -> str:
    ranks = Counter(min(o.rank, 2) if o.rank is not None else None for o in found)
    first, second = ranks[0], ranks[0] + ranks[1]
    nothing = sum(not o.left for o in found)
    wrong = sum(bool(o.left) and o.rank is None for o in found)
    return (
        f"{name:<16}{len(found):>4} vehicles: right component first {first}, first two {second}, "
        f"further down {ranks[2]}, nothing fits {nothing}, wrong {wrong}; "
        f"{sum(o.answers for o in found) / max(1, len(found)):.1f} answers, "
        f"{sum(o.slips for o in found)} slips"
    )


def main(argv: Sequence[str] | None = None) -> None:
    """Print the figures; nothing here fails."""
    parser = argparse.ArgumentParser()
    parser.add_argument("circuits", nargs="*")
    parser.add_argument("--vehicles", type=int, default=200)
    parser.add_argument("--tables", type=Path, default=Path(tempfile.gettempdir()) / "tables")
    parser.add_argument("--tell", action="store_true", help="tell of those that went wrong")
    options = parser.parse_args(argv)
    for name in options.circuits or circuit_names():
        table = ready(options.tables, library_circuit(name))
        found = outcomes(table, range(options.vehicles))
        print(_line(name, found), flush=True)
        for one in found if options.tell else ():
            if one.rank != 0:
                told = [(f"{f.place}:{f.kind}", round(w, 2)) for f, w in one.left[:4]]
                print(
                    "   ", one.blind.fault, one.blind.complaint.name, one.answers, one.slips, told
                )


if __name__ == "__main__":
    main()

"""Is the truth ever ruled out?  ``python -m tests.exercises.truth_kept [MANY [SEED [NAME ...]]]``.

Attempts are simulated over all circuits, or some: a fault of the catalogue with a severity
drawn continuously, under a condition now and then, or none at all; parts drawn within their
tolerances; a meter that errs anywhere within its accuracy; tests drawn at random, and what is
seen at each new setting. Prints how often the truth is left, and of each attempt in which it
is not, which piece of evidence ruled it out. Nothing here fails: it prints.

Attempts come in batches that share a circuit and their tests, so that they are solved together.
"""

import math
import os
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from multiprocessing import get_context
from random import Random

from circuits.behaviour import moving, seen_in
from circuits.consequences import blown_fuses
from circuits.faultkinds import KINDS
from circuits.faults import all_faults, describe
from circuits.files import circuit_names, library_circuit
from circuits.instruments import INSTRUMENTS, LOADS_W, Measurement, Reading, read_many
from circuits.meter import show
from circuits.methods import reading_of
from circuits.model import Circuit, Fault, Setting, Vehicle
from circuits.operate import solve_many
from circuits.points import exposed_points
from circuits.settings import setting_from, setting_words, switches
from circuits.spec import MOMENTS
from circuits.tolerance import drawn
from exercises.candidates import NO_FAULT, Candidates, Evidence
from exercises.planning.allowed import allowed_settings, tests_in
from exercises.shown import shown_of
from exercises.trial import trials

SIZE = 25
"""Attempts of a batch."""

CONDITIONED = 0.2
"""Share of the faults that show only under a condition."""

FREELY = 0.35
"""Share of the tests in a setting and with leads such as a tester would not think of."""


@dataclass
class Attempt:
    """One simulated attempt: what is true, the vehicle's parts, what has been learned."""

    truth: Fault
    scatter: tuple[tuple[str, float], ...]
    candidates: Candidates
    blown: frozenset[str] = frozenset()
    meter_blown: bool = False
    evidence: list[Evidence] = field(default_factory=list)
    lost: str = ""

    def vehicle(self, setting: Setting) -> Vehicle:
        """Return the true vehicle in a setting."""
        faults = () if self.truth == NO_FAULT else (self.truth,)
        circuit = self.candidates.circuit
        return Vehicle(circuit, faults, setting, self.blown, scatter=self.scatter)


Probe = tuple[Setting, Measurement | None]


def random_truth(circuit: Circuit, random: Random) -> Fault:
    """Return a fault of the catalogue at any severity, under a condition now and then."""
    fault = random.choice((*all_faults(circuit), NO_FAULT))
    if fault == NO_FAULT:
        return fault
    kind = KINDS[fault.kind]
    if kind.grid:
        fault = replace(fault, severity=_severity(kind.grid, random))
    if not kind.when and random.random() < CONDITIONED:
        fault = replace(fault, when=random.choice(("moved", "warm", "loaded")))
    return fault


def _severity(grid: Sequence[float], random: Random) -> float:
    """Return a number drawn evenly by its logarithm over the whole range of a kind."""
    low, high = min(grid), max(grid)
    if low < 0:
        return random.uniform(low, high)
    least = low or min(each for each in grid if each > 0) / 10
    if low == 0 and random.random() < 0.1:
        return 0.0
    return min(high, max(low, math.exp(random.uniform(math.log(least), math.log(high)))))


def random_probe(circuit: Circuit, random: Random) -> Probe:
    """Return a test: mostly one that a tester would think of, else any."""
    if random.random() >= FREELY:
        setting = random.choice(allowed_settings(circuit))
        return setting, random.choice(list(tests_in(circuit, setting))).what
    setting = _any_setting(circuit, random)
    instrument = random.choice(INSTRUMENTS)
    if instrument == "clamp":
        wire = random.choice(circuit.wires).name
        return setting, Measurement("clamp", wire=wire, hold=random.random() < 0.1)
    red, black = random.sample([point.name for point in exposed_points(circuit, setting)], 2)
    return setting, Measurement(
        instrument,
        red,
        black,
        zeroed=instrument in ("ohms", "continuity") and random.random() < 0.5,
        hold=instrument in ("volts", "amps") and random.random() < 0.1,
        load_w=random.choice((0.0, *LOADS_W)) if instrument == "volts" else 0.0,
    )


def _any_setting(circuit: Circuit, random: Random) -> Setting:
    fuses = [part.name for part in circuit.parts if part.spec.sort == "fuse"]
    connectors = [connector.name for connector in circuit.connectors]
    return setting_from(
        circuit,
        positions={name: random.choice(spec.positions) for name, spec in switches(circuit)},
        moment=random.choice(MOMENTS),
        isolated=random.random() < 0.3,
        unmated=random.sample(connectors, 1) if connectors and random.random() < 0.4 else [],
        pulled=random.sample(fuses, 1) if fuses and random.random() < 0.2 else [],
    )


def noisy(instrument: str, reading: Reading, random: Random) -> Reading:
    """Return a reading by a meter that errs anywhere within its accuracy.

    Of a test lamp nobody reads a number: there the words stand. Through a meter's blown fuse
    nothing flows, and it shows nothing.
    """
    if instrument == "lamp" or reading.exact is None or reading.meter_fuse_blew:
        return reading

    def err(value: float) -> float:
        return value + random.uniform(-1, 1) * show(instrument, value).off

    swing = reading.swing and (err(reading.swing[0]), err(reading.swing[1]))
    anew = reading_of(instrument, err(reading.exact), swing)
    return replace(reading, value=anew.value, display=anew.display, exact=anew.exact, swing=swing)


def batch(circuit: Circuit, seed: int, size: int = SIZE) -> Iterator[Attempt]:
    """Yield the attempts of a batch when all their tests are done."""
    random = Random(f"{circuit.name} {seed}")
    attempts = []
    for _ in range(size):
        truth = random_truth(circuit, random)
        conditions = ("moved", "warm", "loaded") if truth.when else ()
        scatter = drawn(Vehicle(circuit), random).scatter
        attempts.append(Attempt(truth, scatter, Candidates(circuit, (truth,), conditions)))
    before = None
    for setting, what in [random_probe(circuit, random) for _ in range(random.randint(8, 12))]:
        if setting != before or what is None:
            _weigh(attempts, _watched(attempts, setting))
        if what is not None:
            _weigh(attempts, _measured(attempts, setting, what, random))
        before = setting
    yield from attempts


def _watched(attempts: Sequence[Attempt], setting: Setting) -> list[Evidence | None]:
    vehicles = [attempt.vehicle(setting) for attempt in attempts]
    worked = [moving(vehicle) for vehicle in vehicles]
    seen = [
        frozenset((each.part, each.code) for each in seen_in(*pair))
        for pair in zip(worked, solve_many(worked), strict=True)
    ]
    _blow(attempts, setting)
    return [Evidence(setting, seen=codes) for codes in seen]


def _blow(attempts: Sequence[Attempt], setting: Setting) -> None:
    vehicles = [attempt.vehicle(setting) for attempt in attempts]
    for attempt, vehicle, state in zip(attempts, vehicles, solve_many(vehicles), strict=True):
        attempt.blown |= blown_fuses(vehicle, state)


def _measured(
    attempts: Sequence[Attempt], setting: Setting, what: Measurement, random: Random
) -> list[Evidence | None]:
    readings = read_many([attempt.vehicle(setting) for attempt in attempts], what)
    found: list[Evidence | None] = []
    for attempt, reading in zip(attempts, readings, strict=True):
        usable = what.instrument != "amps" or not attempt.meter_blown
        shown = shown_of(noisy(what.instrument, reading, random))
        found.append(Evidence(setting, what, shown) if usable else None)
        attempt.meter_blown |= usable and reading.meter_fuse_blew
    return found


def _weigh(attempts: Sequence[Attempt], pieces: Sequence[Evidence | None]) -> None:
    """Let each attempt weigh its evidence; what that asks for is tried side by side first."""
    told = [
        (attempt, piece)
        for attempt, piece in zip(attempts, pieces, strict=True)
        if piece is not None and not attempt.lost
    ]
    useful = [(attempt, piece) for attempt, piece in told if piece.seen or piece.reading]
    if useful:
        every = [one for attempt, piece in useful for one in attempt.candidates.asked(piece)]
        trials(useful[0][0].candidates.circuit, useful[0][1], every)
    for attempt, piece in told:
        attempt.evidence.append(piece)
        before = attempt.candidates.copy()
        attempt.candidates.weigh(piece)
        if not attempt.candidates.left():
            attempt.lost = _cause(before, piece)


def _cause(before: Candidates, piece: Evidence) -> str:
    """Return which evidence rules out what was left before it, and what that would have shown."""
    circuit = before.circuit
    shows = trials(circuit, piece, before.asked(piece))
    where = f"[{setting_words(circuit, piece.setting)}] "
    if piece.what is not None and piece.shown is not None:
        lines = [
            f"{fault.severity:g}: {one.reading.exact if one.reading else None} "
            f"swing {one.reading.swing if one.reading else None} "
            f"reach {one.moves.reach() if one.moves else 0.0:.4g}"
            for fault, one in shows.items()
        ]
        what = f"{piece.what.instrument} {piece.what.where()}"
        return f"{where}{what} shows {piece.shown.text}; at {'; '.join(lines)}"
    seen = piece.seen or frozenset()
    lines = [f"{f.severity:g}: without {sorted(seen - one.seen)}" for f, one in shows.items()]
    return f"{where}seen {sorted(seen)}; at {'; '.join(lines)}"


Row = tuple[str, int, int, float, tuple[str, ...]]


def _run(asked: tuple[str, int, int]) -> Row:
    name, seed, size = asked
    start = time.process_time()
    circuit = library_circuit(name)
    lost = [
        f"{name} {seed}/{number} {describe(circuit, a.truth) if a.truth.place else 'no fault'}, "
        f"piece {len(a.evidence)}: {a.lost}"
        for number, a in enumerate(batch(circuit, seed, size))
        if a.lost
    ]
    return name, seed, size, time.process_time() - start, tuple(lost)


def main(arguments: Sequence[str]) -> None:
    """Print how often the truth is left, and what rules it out where it is not."""
    attempts, seed = (int(each) for each in (*arguments[:2], *("700", "0")[len(arguments) :]))
    names = arguments[2:] or circuit_names()
    batches = math.ceil(attempts / SIZE / len(names))
    asked = [(name, seed + n, SIZE) for n in range(batches) for name in names]
    kept: Counter[str] = Counter()
    total: Counter[str] = Counter()
    spent: Counter[str] = Counter()
    with ProcessPoolExecutor(os.cpu_count(), get_context("spawn")) as pool:
        for name, _, size, took, lost in pool.map(_run, asked):
            total[name] += size
            kept[name] += size - len(lost)
            spent[name] += int(1000 * took)
            print(f"{name}: {size - len(lost)} of {size}", flush=True)
            for line in lost:
                print(f"lost: {line}", flush=True)
    for name in names:
        each = spent[name] / total[name]
        print(f"{name}: {kept[name]} of {total[name]} kept, {each:.0f} ms of CPU each")
    every, cpu = total.total(), spent.total() / 1000
    print(f"all: {kept.total()} of {every} kept ({100 * kept.total() / every:.2f} %)")
    print(
        f"{cpu:.0f} s of CPU; 20,000 attempts on two cores: {cpu / every * 20_000 / 2 / 60:.0f} min"
    )


if __name__ == "__main__":
    main(sys.argv[1:])

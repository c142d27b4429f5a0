"""Figures of the next best test: ``python -m tests.exercises.planning.bench [CIRCUIT ...]``.

Ratios are what to quote; times depend on the machine. Without a circuit it is every one of the
library. Policies are compared on the bands of the table: a cell is the truth, each reading lies
amid its band, and a policy is done when it sees nothing more to tell. Nothing here fails: it
prints.
"""

import os
import sys
import tempfile
import time
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from statistics import mean, median

import numpy as np

from circuits.behaviour import observe
from circuits.faults import all_faults
from circuits.files import circuit_names, library_circuit
from circuits.instruments import read
from circuits.model import Circuit, Vehicle
from circuits.settings import setting_from
from exercises.candidates import Candidates, Evidence
from exercises.planning.ahead import build_ahead
from exercises.planning.allowed import AllowedTest, tests_in, working
from exercises.planning.choice import Bands, Choice, Plan, Standing, best
from exercises.planning.live import Live, everything
from exercises.planning.rollout import Rollout, survivors
from exercises.planning.table import Table
from exercises.shown import shown_of
from tests.exercises.planning.sequencing import Choose, Problem, half_split, small

CASES = 10
"""Small cases of each circuit of which the optimum is computed."""

FAULTS = 5
"""Faults of each circuit whose complaint shows, and as many whose complaint does not."""

MOST_STEPS = 80

READINGS = 8
WEIGHED = 3


def main(names: Sequence[str]) -> None:
    """Print every figure of some circuits, and of all of them together."""
    small_cases: dict[str, list[float]] = {}
    walked: list[_Walked] = []
    for name in names or circuit_names():
        circuit = library_circuit(name)
        with tempfile.TemporaryDirectory() as folder:
            start, spent = time.perf_counter(), _children_seconds()
            table = build_ahead(Path(folder), circuit, workers=2)
            took, cpu = time.perf_counter() - start, _children_seconds() - spent
            print(f"{name}: table in {took:.1f} s with two processes, {cpu:.1f} s of CPU")
        for figure in (latency(table), weighing(circuit)):
            for line in figure:
                print(f"  {line}", flush=True)
        for policy, over in ratios(table).items():
            small_cases.setdefault(policy, []).extend(over)
        here = list(walks(table))
        walked += here
        for line in told(here):
            print(f"  {line}", flush=True)
    print("all together:")
    for policy, over in small_cases.items():
        worst = max(over, default=1.0)
        print(f"  {policy} ÷ optimum: mean {mean(over):.3f}, worst {worst:.3f}, {len(over)} cases")
    for line in told(walked):
        print(f"  {line}")


def _children_seconds() -> float:
    """Return the CPU that processes started from here have used and ended with."""
    used = os.times()
    return used.children_user + used.children_system


def latency(table: Table) -> Iterator[str]:
    """Yield what the next best test takes, table ready."""
    plan, live, random = Plan(table), everything(table), Random(0)
    for share in (1.0, 0.5, 0.2, 0.05):
        took = []
        for _ in range(9):
            some = [random.random() < share for _ in live.cell]
            left = live.only(some)
            start = time.perf_counter()
            best(plan, left, Standing())
            took.append(1000 * (time.perf_counter() - start))
        yield (
            f"next test of {len(left.cell)} cells: "
            f"median {median(took):.0f} ms, worst {max(took):.0f} ms"
        )


def weighing(circuit: Circuit) -> Iterator[str]:
    """Yield what candidates take after a reading, in a setting that has been watched."""
    random, took = Random(0), []
    setting = setting_from(circuit, positions=dict(working(circuit)))
    whats = [test.what for test in tests_in(circuit, setting) if test.what is not None]
    for fault in random.sample(all_faults(circuit), WEIGHED):
        vehicle = Vehicle(circuit, (fault,), setting)
        seen = frozenset((each.part, each.code) for each in observe(vehicle))
        candidates = Candidates(circuit)
        candidates.weigh(Evidence(setting, seen=seen))
        for what in random.sample(whats, min(READINGS, len(whats))):
            piece = Evidence(setting, what, shown_of(read(vehicle, what)))
            start = time.process_time()
            candidates.weigh(piece)
            took.append(1000 * (time.process_time() - start))
    yield (
        f"candidates after one of {len(took)} readings: "
        f"median {median(took):.0f} ms of CPU, worst {max(took):.0f} ms"
    )


def ratios(table: Table) -> Mapping[str, list[float]]:
    """Return the expected minutes of policies over the optimum, by policy, on small cases."""
    found: dict[str, list[float]] = {"bits per minute": [], "yardstick": [], "half-split": []}
    for seed in range(CASES):
        cut = small(table, Random(seed), candidates=8 + seed % 5, tests=14)
        problem = Problem(cut)
        least = problem.least()
        if least > 0:
            policies = zip(found, (best, Rollout(), half_split), strict=True)
            for name, choose in policies:
                found[name].append(problem.expected(choose) / least)
    return found


@dataclass(frozen=True)
class _Walked:
    """One fault walked with each policy: whether its complaint shows, minutes by policy."""

    shows: bool
    minutes: Mapping[str, float]


@dataclass(frozen=True)
class _Splitting:
    """Takes any test that tells something, drawn at random."""

    random: Random

    def __call__(
        self, plan: Plan, live: Live, standing: Standing, taken: Collection[AllowedTest]
    ) -> Choice | None:
        if len(live.spots) < 2:
            return None
        bands, cost = Bands(plan, live), plan.minutes(standing)
        for number in self.random.sample(range(len(plan.tests)), len(plan.tests)):
            if plan.tests[number] in taken:
                continue
            bits = float(bands.bits(np.array([number]))[0])
            if bits > 0:
                return Choice(plan.tests[number], bits, float(cost[number]))
        return None


def walks(table: Table) -> Iterator[_Walked]:
    """Yield faults drawn by their weight, walked with each policy from the complaint on."""
    plan, live, random = Plan(table), everything(table), Random(1)
    looks = [test for test in plan.tests if test.what is None]
    left = {True: FAULTS, False: FAULTS}
    policies: dict[str, Choose] = {
        "bits per minute": best,
        "half-split": half_split,
        "random": _Splitting(random),
    }
    drawn = random.choices(range(len(live.cell)), live.weight.tolist(), k=400)
    for truth in dict.fromkeys(drawn):
        cell = int(live.cell[truth])
        if cell == table.sound:
            continue
        complaint = next((look for look in looks if _shows(plan, live, look, truth)), None)
        if left[complaint is not None]:
            left[complaint is not None] -= 1
            start = live
            if complaint is not None:
                start = live.only(survivors(plan, live, complaint, truth))
            spent = {name: _walk(plan, start, cell, each) for name, each in policies.items()}
            yield _Walked(complaint is not None, spent)


def _shows(plan: Plan, live: Live, look: AllowedTest, truth: int) -> bool:
    """Say whether a vehicle with the fault is seen to do what no sound one does."""
    sound = int(np.flatnonzero(live.cell == plan.table.sound)[0])
    return not survivors(plan, live, look, truth)[sound]


def _walk(plan: Plan, live: Live, cell: int, choose: Choose) -> float:
    """Return the minutes that a policy spends, were a cell the truth."""
    standing, spent, taken = Standing(), 0.0, []
    for _ in range(MOST_STEPS):
        choice = choose(plan, live, standing, taken)
        if choice is None:
            break
        spent += float(plan.minutes(standing)[plan.number[choice.test]])
        truth = int(np.flatnonzero(live.cell == cell)[0])
        live = live.only(survivors(plan, live, choice.test, truth))
        standing = plan.after(standing, choice.test)
        taken.append(choice.test)
    return spent


def told(walked: Sequence[_Walked]) -> Iterator[str]:
    """Yield the minutes of the next-best-test policy over those of others."""
    for shows, words in ((True, "complaint shows"), (False, "nothing visibly wrong")):
        rows = [row.minutes for row in walked if row.shows == shows]
        if not rows:
            continue
        mine = mean(row["bits per minute"] for row in rows)
        over = (
            f"÷ {name} {mine / mean(row[name] for row in rows):.2f}"
            for name in ("half-split", "random")
        )
        yield f"{words}, {len(rows)} faults: bits per minute {mine:.1f} min, {', '.join(over)}"


if __name__ == "__main__":
    main(sys.argv[1:])

"""Figures of the next best test: ``python -m tests.exercises.planning.bench [CIRCUIT ...]``.

Ratios are what to quote; times depend on the machine. Without a circuit it is the call bell
and the side steps. Nothing here fails: it prints.
"""

import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random
from statistics import mean, median

from circuits.files import library_circuit
from exercises.planning.ahead import build_ahead
from exercises.planning.choice import Plan, Standing, best
from exercises.planning.live import everything
from exercises.planning.rollout import Rollout
from exercises.planning.table import Table
from tests.exercises.planning.sequencing import Problem, half_split, small

CASES = 60


def main(names: list[str]) -> None:
    """Print every figure of some circuits."""
    for name in names or ["call_bell", "side_steps"]:
        with tempfile.TemporaryDirectory() as folder:
            circuit = library_circuit(name)
            start = time.perf_counter()
            table = build_ahead(Path(folder), circuit, workers=2)
            print(f"{name}: table in {time.perf_counter() - start:.1f} s with two processes")
        for figure in (latency, ratios):
            print(f"  {figure.__doc__}")
            for line in figure(table):
                print(f"    {line}", flush=True)


def latency(table: Table) -> Iterator[str]:
    """The next best test, table ready"""
    plan, live, random = Plan(table), everything(table), Random(0)
    for share in (1.0, 0.5, 0.2, 0.05):
        took = []
        for _ in range(9):
            some = [random.random() < share for _ in live.cell]
            left = live.only(some)
            start = time.perf_counter()
            best(plan, left, Standing())
            took.append(1000 * (time.perf_counter() - start))
        yield f"{len(left.cell)} cells: median {median(took):.0f} ms, worst {max(took):.0f} ms"


def ratios(table: Table) -> Iterator[str]:
    """Expected minutes over the optimum, small cases"""
    found: dict[str, list[float]] = {"bits per minute": [], "yardstick": [], "half-split": []}
    for seed in range(CASES):
        cut = small(table, Random(seed), candidates=8 + seed % 5, tests=14)
        problem = Problem(cut)
        least = problem.least()
        if least > 0:
            policies = zip(found, (best, Rollout(), half_split), strict=True)
            for name, choose in policies:
                found[name].append(problem.expected(choose) / least)
    for name, values in found.items():
        yield f"{name}: mean {mean(values):.3f}, worst {max(values):.3f} of {len(values)} cases"


if __name__ == "__main__":
    main(sys.argv[1:])

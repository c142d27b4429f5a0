"""Figures, measured side by side in one run: ``python -m tests.bench``.

Ratios are what to quote; times depend on the machine. With ``LAB_BROWSER=1`` and Chromium
the figures of the page are taken too. Nothing here fails: it prints.
"""

import itertools
import math
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from http import HTTPStatus
from multiprocessing import get_context
from pathlib import Path
from urllib.request import urlopen

import numpy as np
from numpy.typing import NDArray

from circuits.faults import all_faults, severities
from circuits.files import library_circuit
from circuits.instruments import Measurement, read
from circuits.laws import Filament, Ohmic
from circuits.methods import METER_OHM
from circuits.model import Circuit, Fault, Setting, Vehicle
from circuits.netlist import conducting, node_numbers
from circuits.newton import Stack
from circuits.operate import solve, solve_many
from circuits.points import exposed_points
from circuits.ports import Ports
from circuits.settings import setting_from
from circuits.spec import BODY, Element
from circuits.survey import survey
from exercises.candidates import Candidates
from exercises.evidence import Evidence, codes
from exercises.shown import shown_of
from tests.outside.spice import simulate
from tests.outside.spice_pairs import simulate_pairs

CIRCUIT = "side_steps"

Kept = NDArray[np.float32]


def main() -> None:
    """Print every figure."""
    for figure in (readings, command_line, dictionary, growth, narrowing, page):
        print(f"\n{figure.__doc__}")
        for line in figure():
            print(f"  {line}", flush=True)


def timed(act: Callable[[], object], times: int = 1) -> list[float]:
    """Return the milliseconds that an act took, each time."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        found.append(1000 * (time.perf_counter() - start))
    return found


def spoken(found: Sequence[float]) -> str:
    """Return median and range of milliseconds in words."""
    return f"median {statistics.median(found):.3g} ms, {min(found):.3g} to {max(found):.3g}"


def settings(circuit: Circuit) -> list[Setting]:
    """Return settings that a learner would use."""
    live = [setting_from(circuit, positions={"rocker": p}) for p in ("off", "lamps", "deploy")]
    apart = [
        setting_from(circuit, positions={"rocker": "deploy"}, unmated=[c.name])
        for c in circuit.connectors
    ]
    return [*live, *apart, setting_from(circuit, unmated=["C2"], isolated=True)]


def readings() -> Iterator[str]:
    """One reading in process"""
    circuit = library_circuit(CIRCUIT)
    vehicle = Vehicle(circuit, setting=settings(circuit)[2])
    ports, state = Ports(vehicle), solve(vehicle)
    nodes = [point.node for point in exposed_points(circuit, vehicle.setting)]
    pairs = list(itertools.combinations(nodes, 2))[:500]
    solved = timed(lambda: [ports.volt(a, b, load_ohm=1e7) for a, b in pairs], 5)
    yield f"volts from a solved state: median {statistics.median(solved) / len(pairs):.4f} ms"
    meter = [
        timed(lambda p=point: read(vehicle, Measurement("volts", p.name, BODY)))[0]
        for point in exposed_points(circuit, vehicle.setting)
        if point.node != BODY
    ]
    yield f"volts with the meter put in, setting known: {spoken(meter)}"
    fresh = []
    for fault, setting in itertools.product(all_faults(circuit)[::12], settings(circuit)):
        other = Vehicle(circuit, (fault,), setting)
        what = Measurement("volts", "BAT.pos", "F1.out")
        fresh += timed(lambda v=other, w=what: read(v, w))
    yield f"volts in a new setting of another vehicle: {spoken(fresh)}"
    yield f"({len(state.volt)} nodes, {len(state.ampere)} elements)"


def command_line() -> Iterator[str]:
    """The command line, whole process"""
    command = [
        sys.executable,
        "-m",
        "circuits",
        "read",
        CIRCUIT,
        "--set",
        "rocker=deploy",
        "--volts",
        "C1.1",
        "BODY",
    ]

    def run() -> None:
        subprocess.run(command, check=True, capture_output=True)

    yield f"python -m circuits read: {spoken(timed(run, 5))}"


def dictionary() -> Iterator[str]:
    """A fault dictionary: a case is a faulty vehicle in a setting, its result all pairs"""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        cases, pairs, seconds, megabytes = pool.submit(_whole_dictionary).result()
    each = 1000 * seconds / cases
    yield f"{cases} cases (every severity in every setting), {pairs} pairs' volts and ohms each"
    yield f"with their reach by tolerances: {seconds:.1f} s, {each:.2f} ms a case, one process"
    yield f"peak memory of that process, the dictionary kept in it: {megabytes:.0f} MB"
    circuit = library_circuit(CIRCUIT)
    setting = settings(circuit)[2]
    pairs_here = _pairs(circuit, setting)
    vehicles = [Vehicle(circuit, (fault,), setting) for fault in _every_severity(circuit)]
    together = timed(lambda: survey(vehicles, pairs_here))[0] / len(vehicles)
    few = vehicles[:: len(vehicles) // 40]
    alone = statistics.mean(timed(lambda v=v: _alone(v, pairs_here))[0] for v in few)
    yield f"in one setting ({len(vehicles)} vehicles, {len(pairs_here)} pairs): {together:.2f} ms"
    yield f"one at a time, solved anew, one inverse: {alone:.2f} ms, ratio {alone / together:.1f}"
    networks = [_elements(vehicle) for vehicle in vehicles[:: len(vehicles) // 8]]
    volts = statistics.mean(timed(lambda e=e: simulate([e]))[0] for e in networks)
    yield f"a simulator process each, volts only: {volts:.0f} ms, ratio {volts / together:.0f}"
    both = statistics.mean(timed(lambda e=e: _simulated_pairs(e, setting))[0] for e in networks)
    yield f"and ohms, an ampere into each point: {both:.0f} ms, ratio {both / together:.0f}"
    yield "(the simulator is told the discrete states; ours finds them, and reach besides)"


def _alone(vehicle: Vehicle, pairs: Sequence[tuple[str, str]]) -> list[tuple[float, float]]:
    """Return volts and ohms of all pairs of one vehicle, solved anew."""
    ports = Ports(vehicle, solve_many([vehicle])[0])
    return [(ports.volt(*pair, load_ohm=METER_OHM), ports.ohm(*pair)) for pair in pairs]


def _whole_dictionary() -> tuple[int, int, float, float]:
    """Return cases, pairs, seconds and peak megabytes of the whole dictionary."""
    circuit = library_circuit(CIRCUIT)
    start = time.perf_counter()
    kept = [_page(circuit, setting) for setting in settings(circuit)]
    seconds = time.perf_counter() - start
    cases, pairs = sum(len(volt) for volt, _ in kept), max(volt.shape[1] for volt, _ in kept)
    return cases, pairs, seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _page(circuit: Circuit, setting: Setting) -> tuple[Kept, Kept]:
    """Return volts and ohms in one setting, to the seven digits that are worth keeping."""
    vehicles = [Vehicle(circuit, (fault,), setting) for fault in _every_severity(circuit)]
    found = survey(vehicles, _pairs(circuit, setting))
    return found.volt.astype(np.float32), found.ohm.astype(np.float32)


def _every_severity(circuit: Circuit) -> list[Fault]:
    every = all_faults(circuit)
    return [replace(fault, severity=severity) for fault in every for severity in severities(fault)]


def _pairs(circuit: Circuit, setting: Setting) -> list[tuple[str, str]]:
    nodes = sorted({point.node for point in exposed_points(circuit, setting)})
    return list(itertools.combinations(nodes, 2))


def _elements(vehicle: Vehicle) -> tuple[Element, ...]:
    from circuits.network import Network  # noqa: PLC0415

    return Network(vehicle).elements(solve(vehicle).memory)


def _simulated_pairs(elements: Sequence[Element], setting: Setting) -> None:
    joined = node_numbers(conducting(elements))
    points = {point.node for point in exposed_points(library_circuit(CIRCUIT), setting)}
    simulate_pairs(elements, sorted(points & set(joined)))


def growth() -> Iterator[str]:
    """One solve of a ladder with lamps, by its number of nodes"""
    sizes = (20, 60, 200, 600, 2000)
    found = []
    for nodes in sizes:
        ladder = _ladder(nodes)
        found.append(min(_processor(lambda e=ladder: Stack([e]).solve()) for _ in range(9)))
        yield f"{nodes} nodes: {found[-1]:.2f} ms of one processor"
    steps = [
        math.log(after / before) / math.log(more / fewer)
        for (fewer, before), (more, after) in itertools.pairwise(zip(sizes, found, strict=True))
    ]
    whole = math.log(found[-1] / found[0]) / math.log(sizes[-1] / sizes[0])
    yield f"grows as n to the {whole:.2f} over all, {max(steps):.2f} where it is steepest"


def _processor(act: Callable[[], object]) -> float:
    """Return the milliseconds of processor time that an act took."""
    start = time.process_time()
    act()
    return 1000 * (time.process_time() - start)


def _ladder(nodes: int) -> list[Element]:
    found = [Element("source", "n0", BODY, Ohmic(0.01, 12.6))]
    for n in range(nodes - 1):
        found.append(Element(f"rail{n}", f"n{n}", f"n{n + 1}", Ohmic(0.1)))
        law = Filament(10.0, 12.0) if n % 3 == 0 else Ohmic(50.0)
        found.append(Element(f"rung{n}", f"n{n + 1}", BODY, law))
    return found


def narrowing() -> Iterator[str]:
    """Candidates after a reading, on the whole catalogue of faults"""
    circuit = library_circuit(CIRCUIT)
    setting = settings(circuit)[2]
    vehicle = Vehicle(circuit, (all_faults(circuit)[60],), setting)
    candidates = Candidates(circuit)
    for red in ("C1.2", "C1.3", "C2.1", "F1.out"):
        what = Measurement("volts", red, BODY)
        shown = shown_of(read(vehicle, what))
        piece = Evidence(setting, what, shown, codes(vehicle, solve(vehicle)))
        took = timed(lambda p=piece: candidates.weigh(p))[0]
        yield f"{red}: {took:.0f} ms, {len(candidates.left())} left"


def page() -> Iterator[str]:
    """The page: first bench on an empty database, and a click to its figure"""
    if os.environ.get("LAB_BROWSER") != "1":
        yield "left out: set LAB_BROWSER=1, with Chromium"
        return
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    from tests.browser.serving import ARGUMENTS, CHROMIUM, DESK, serving, watching  # noqa: PLC0415

    begun = time.perf_counter()
    with (
        tempfile.TemporaryDirectory() as folder,
        serving("lab_app.py", Path(folder)) as server,
        sync_playwright() as playwright,
    ):
        with urlopen(server.url) as answer:  # once all that the server reads at its start is read
            assert answer.status == HTTPStatus.OK
        yield f"server, from its start to its first answer: {time.perf_counter() - begun:.2f} s"
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
        with watching(browser, **DESK) as watched:
            opened = watched.page
            start = time.perf_counter()
            opened.goto(server.url)
            opened.get_by_role("button", name="Begin").click()
            opened.locator("[data-tp]").first.wait_for()
            opened.get_by_text("Place both leads").first.wait_for()
            yield f"first bench, cold, one click included: {time.perf_counter() - start:.2f} s"
            yield f"click to figure: {spoken(_clicks(opened))}"
        browser.close()


def _clicks(opened: object) -> list[float]:
    """Return the milliseconds from a click on a test point to the painted figure."""
    points = opened.evaluate(_POINTS)  # type: ignore[attr-defined]
    black, *reds = points
    opened.evaluate(_CLICK, [black, "none"])  # type: ignore[attr-defined]
    found = []
    for turn in range(40):
        red = reds[turn % len(reds)]
        took = opened.evaluate(_CLICK, [red, red])  # type: ignore[attr-defined]
        found.append(float(took))
    return found[5:]


_POINTS = """() => {
  const all = [];
  const walk = (root) => { root.querySelectorAll('*').forEach((e) => {
    if (e.shadowRoot) walk(e.shadowRoot);
    if (e.dataset && e.dataset.tp && !all.includes(e.dataset.tp)) all.push(e.dataset.tp); }); };
  walk(document); return all.slice(0, 12); }"""

_CLICK = """([name, wanted]) => new Promise((done) => {
  const find = (root, test) => { for (const e of root.querySelectorAll('*')) {
    if (test(e)) return e;
    if (e.shadowRoot) { const inner = find(e.shadowRoot, test); if (inner) return inner; } } };
  const hit = find(document, (e) => e.dataset && e.dataset.tp === name).querySelector('.hit');
  const start = performance.now();
  hit.dispatchEvent(new MouseEvent('click', {bubbles: true, composed: true}));
  if (wanted === 'none') { setTimeout(() => done(0), 1500); return; }
  const look = () => {
    const where = find(document, (e) => e.dataset && e.dataset.at === 'where');
    if (where && where.textContent.includes(wanted)) {
      requestAnimationFrame(() => done(performance.now() - start)); return; }
    if (performance.now() - start > 5000) { done(5000); return; }
    setTimeout(look, 2); };
  look(); })"""


if __name__ == "__main__":
    main()

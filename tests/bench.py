"""Figures, measured side by side in one run: ``python -m tests.bench``.

Ratios are what to quote; times depend on the machine. With ``LAB_BROWSER=1`` and Chromium
the figures of the page are taken too. Nothing here fails: it prints.
"""

import itertools
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from circuits.faults import all_faults
from circuits.files import library_circuit
from circuits.instruments import Measurement, read
from circuits.laws import Filament, Ohmic
from circuits.model import Circuit, Setting, Vehicle
from circuits.newton import Stack
from circuits.operate import solve
from circuits.points import exposed_points
from circuits.ports import Ports
from circuits.settings import setting_from
from circuits.spec import BODY, Element
from circuits.survey import survey
from exercises.candidates import Candidates
from exercises.evidence import Evidence, codes
from exercises.shown import shown_of
from tests.outside.spice import simulate

CIRCUIT = "side_steps"


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
    """A fault dictionary: every fault, all pairs of points, volts and ohms"""
    circuit = library_circuit(CIRCUIT)
    faults, setting = all_faults(circuit), settings(circuit)[2]
    nodes = sorted({point.node for point in exposed_points(circuit, setting)})
    pairs = list(itertools.combinations(nodes, 2))
    vehicles = [Vehicle(circuit, (fault,), setting) for fault in faults]
    together = timed(lambda: survey(vehicles, pairs))[0] / len(vehicles)
    few = vehicles[::8]
    alone = statistics.mean(timed(lambda v=v: survey([v], pairs))[0] for v in few)
    elements = [_elements(vehicle) for vehicle in vehicles[:: len(vehicles) // 8]]
    apart = statistics.mean(timed(lambda e=e: simulate([e]))[0] for e in elements)
    yield f"{len(faults)} faults, {len(pairs)} pairs: {together:.2f} ms a fault"
    yield f"one at a time: {alone:.2f} ms, ratio {alone / together:.1f}"
    yield f"a simulator process each, volts only: {apart:.1f} ms, ratio {apart / together:.1f}"


def _elements(vehicle: Vehicle) -> tuple[Element, ...]:
    from circuits.network import Network  # noqa: PLC0415

    return Network(vehicle).elements(solve(vehicle).memory)


def growth() -> Iterator[str]:
    """One solve of a ladder with lamps, by its number of nodes"""
    before: tuple[int, float] | None = None
    for nodes in (20, 60, 200, 600, 2000):
        ladder = _ladder(nodes)
        took = min(timed(lambda e=ladder: Stack([e]).solve(), 5))
        grows = "" if before is None else f", {took / before[1]:.2f} times for 3 times the nodes"
        yield f"{nodes} nodes: {took:.2f} ms{grows}"
        before = (nodes, took)


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

    with (
        tempfile.TemporaryDirectory() as folder,
        serving("lab_app.py", Path(folder)) as server,
        sync_playwright() as playwright,
    ):
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

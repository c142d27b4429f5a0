"""Our solver against ngspice, an independent circuit simulator (run with version 39).

The simulator is given the settled discrete states and each law in its own devices (see
``circuits.netlist``): its diode model, a motor's winding and back EMF as two equations.
"""

import subprocess

import pytest

from circuits.files import circuit_names, library_circuit
from circuits.instruments import Measurement, check, read
from circuits.methods import METER_OHM
from circuits.model import Vehicle
from circuits.netlist import conducting, islands, netlist, node_numbers
from circuits.network import Attached, Network
from circuits.operate import solve, solve_many
from circuits.parts.gear import Input
from circuits.points import exposed_points
from circuits.settings import setting_words
from circuits.spec import BODY
from tests.circuits.benches import steps
from tests.conftest import FULL
from tests.outside.cases import every_setting, odd_settings, vehicles
from tests.outside.spice import simulate

pytestmark = pytest.mark.spice

VOLT, SHARE = 1e-3, 1e-3
"""What we may differ by: 1 mV or 0.1 %."""
AMPERE = 1e-5
EVERYDAY_FAULTS = 15


def disagreements(cases):
    """Return a line for each node and each current on which the simulator differs."""
    states = solve_many(cases)
    networks = [
        conducting(Network(case).elements(state.memory))
        for case, state in zip(cases, states, strict=True)
    ]
    distinct = list(dict.fromkeys(networks))
    answers = dict(zip(distinct, simulate(distinct), strict=True))
    return [
        line
        for case, state, network in zip(cases, states, networks, strict=True)
        for line in differences(case, state, network, answers[network])
    ]


def differences(case, state, network, answer):
    """Yield where one state and the simulator's answer differ."""
    words = ", ".join(f"{f.place}:{f.kind}:{f.severity:g}" for f in case.faults) or "healthy"
    words = f"{case.circuit.name}; {words}; {setting_words(case.circuit, case.setting)}"
    for island in islands(network, node_numbers(network)):
        assert len({state.island[node] for node in island}) == 1
        base = island[0]
        for node in island:
            ours = state.volt[node] - state.volt[base]
            theirs = answer.volt[node] - answer.volt[base]
            if abs(ours - theirs) > max(VOLT, SHARE * abs(theirs)):
                yield f"{words}; {node}: {ours:.6f} V, ngspice {theirs:.6f} V"
    for name, theirs in answer.ampere.items():
        ours = state.ampere[name]
        if abs(ours - theirs) > max(AMPERE, SHARE * abs(theirs)):
            yield f"{words}; {name}: {ours:.6f} A, ngspice {theirs:.6f} A"


def tell(found):
    """Print the table of disagreements and return its length."""
    print(f"{len(found)} disagreements")
    print("\n".join(found[:50]))
    return len(found)


@pytest.mark.parametrize("name", circuit_names())
def test_volts_and_amperes_agree_on_some_faults_in_every_setting(name):
    circuit = library_circuit(name)
    every = max(1, len(vehicles(circuit, next(every_setting(circuit)))) // EVERYDAY_FAULTS)
    cases = [v for s in every_setting(circuit) for v in vehicles(circuit, s, every)]
    assert tell(disagreements(cases)) == 0


@pytest.mark.parametrize("name", circuit_names())
def test_volts_and_amperes_agree_with_the_harness_taken_apart(name):
    circuit = library_circuit(name)
    cases = [Vehicle(circuit, setting=setting) for setting in odd_settings(circuit)]
    assert tell(disagreements(cases)) == 0


@pytest.mark.parametrize("fault", ["", "W4:high_resistance", "G1:corroded:0.6", "F3:blown"])
def test_every_reading_in_volts_is_what_the_simulator_has_across_the_meter(fault):
    case = steps(*([fault] if fault else []), positions={"rocker": "deploy"})
    red = [p.name for p in exposed_points(case.circuit, case.setting) if p.name != BODY]
    what = [Measurement("volts", name, BODY) for name in red]
    memory = solve(case).memory
    gear = [Attached("meter", Input(METER_OHM), check(case, each)) for each in what]
    answers = simulate([Network(case, [meter]).elements(memory) for meter in gear])
    for each, meter, answer in zip(what, gear, answers, strict=True):
        theirs = answer.volt[meter.nodes[0]]
        assert read(case, each).exact == pytest.approx(theirs, abs=VOLT), each.red


@pytest.mark.skipif(not FULL, reason="every case: LAB_FULL=1")
@pytest.mark.parametrize("name", circuit_names())
def test_volts_and_amperes_agree_on_every_fault_in_every_setting(name):
    circuit = library_circuit(name)
    found = []
    for setting in every_setting(circuit):
        found += disagreements(vehicles(circuit, setting))
    assert tell(found) == 0


def test_a_difference_would_be_told():
    case = Vehicle(library_circuit("call_bell"))
    (state,) = solve_many([case])
    network = conducting(Network(case).elements(state.memory))
    (answer,) = simulate([network])
    answer.volt["F1.out"] += 0.02
    assert ["F1.out" in line for line in differences(case, state, network, answer)] == [True]


@pytest.mark.parametrize("name", circuit_names())
def test_the_deck_runs_as_it_is(name, tmp_path):
    path = tmp_path / "vehicle.cir"
    path.write_text(netlist(Vehicle(library_circuit(name))), encoding="utf-8")
    done = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert "\nn1 = " in done.stdout

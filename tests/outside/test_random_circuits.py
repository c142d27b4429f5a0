"""Random circuits of sources, resistors, lamps, diodes and relays, against ngspice and Kirchhoff.

The simulator is told the state in which each relay came to rest, nothing else of our answer.
"""

import hashlib

import pytest
from hypothesis import HealthCheck, assume, given, reject, settings
from hypothesis import strategies as st

from circuits.model import Circuit, Part, Place, Vehicle, Wire
from circuits.netlist import conducting
from circuits.network import Network
from circuits.operate import solve
from circuits.parts.loads import Diode, Lamp, Resistor
from circuits.parts.supply import Battery, Splice
from circuits.parts.switching import Relay
from circuits.spec import Spec
from tests.conftest import FULL
from tests.outside.spice import NoAnswer, simulate
from tests.outside.test_spice import differences

NODES = 8

ohms = st.floats(0.05, 5e4)
SPECS: dict[str, st.SearchStrategy[Spec]] = {
    "R": st.builds(Resistor, ohm=ohms),
    "L": st.builds(Lamp, watt=st.floats(1.0, 60.0)),
    "D": st.just(Diode()),
    "V": st.builds(Battery, volt=st.floats(1.0, 24.0), ohm=st.floats(0.005, 2.0)),
    "K": st.builds(
        Relay,
        coil_ohm=st.floats(40.0, 400.0),
        pull_in_volt=st.floats(5.0, 9.0),
        drop_out_volt=st.floats(1.0, 4.0),
        break_contact=st.booleans(),
    ),
}
nodes = st.integers(0, NODES)


@st.composite
def parts(draw) -> list[tuple[Spec, tuple[int, ...]]]:
    """Return parts with the number of the node on each terminal; node 0 is the body."""
    kinds = ["V", *draw(st.lists(st.sampled_from("RRRRLLDDVKK"), min_size=3, max_size=20))]
    specs = [draw(SPECS[kind]) for kind in kinds]
    return [(spec, tuple(draw(nodes) for _ in spec.terminals())) for spec in specs]


def circuit(found: list[tuple[Spec, tuple[int, ...]]]) -> Circuit:
    """Return the circuit: a splice for each node, a wire from each terminal to its node."""
    made = [Part(f"P{n}", f"P{n}", "here", spec) for n, (spec, _) in enumerate(found)]
    splices = [Part(f"S{n}", f"S{n}", "here", Splice()) for n in range(1, NODES + 1)]
    ends = [
        (f"{part.name}.{terminal}", f"S{at}.in" if at else "BODY")
        for part, (_, places) in zip(made, found, strict=True)
        for terminal, at in zip(part.spec.terminals(), places, strict=True)
    ]
    wires = [Wire(f"W{n}", a, b, 1.0, 1.0, "BK") for n, (a, b) in enumerate(ends)]
    digest = hashlib.sha256(repr(found).encode()).hexdigest()
    places = (Place("here", "here", 1.0),)
    return Circuit(
        "random", "random", "", places, (*made, *splices), (), tuple(wires), "S1.in", digest=digest
    )


@pytest.mark.spice
@given(parts())
@settings(max_examples=1000 if FULL else 60, suppress_health_check=list(HealthCheck))
def test_every_voltage_and_current_is_the_simulators(found) -> None:
    vehicle = Vehicle(circuit(found))
    state = solve(vehicle)
    assume(not state.chatter)
    network = conducting(Network(vehicle).elements(state.memory))
    try:
        (answer,) = simulate([network])
    except NoAnswer:
        reject()  # one in some hundreds: what hangs on a diode's leak alone
    assert list(differences(vehicle, state, network, answer)) == []


@given(parts())
@settings(max_examples=1000 if FULL else 100)
def test_what_the_sources_give_is_what_the_rest_takes(found) -> None:
    """Tellegen's theorem: over all elements volts times amperes sum to nothing."""
    vehicle = Vehicle(circuit(found))
    state = solve(vehicle)
    elements = Network(vehicle).elements(state.memory)
    powers = [
        (state.volt[e.a] - state.volt[e.b]) * state.ampere[e.name]
        for e in elements
        if e.name in state.ampere
    ]
    assert abs(sum(powers)) <= 1e-9 * max(1.0, *map(abs, powers))

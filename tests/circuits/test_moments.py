"""Moments of a reading: which circuits have more than one, and that none is left out."""

import itertools
from collections.abc import Iterator
from dataclasses import replace

import pytest

from circuits.files import LIBRARY, library_circuit
from circuits.model import Circuit, Setting, State, Vehicle
from circuits.operate import solve_many
from circuits.settings import moments, setting_from, switches, usual_moment
from circuits.spec import MOMENTS, Moment
from tests.circuits.benches import every_vehicle
from tests.conftest import FULL

CIRCUITS = sorted(path.stem for path in LIBRARY.glob("*.toml"))


EACH = 17 if FULL else 12


def _unlike(vehicles: list[Vehicle], other: Moment) -> list[Vehicle]:
    """Return the vehicles that another moment of the same operation tells apart."""
    later = [v.with_setting(replace(v.setting, moment=other)) for v in vehicles]
    pairs = zip(vehicles, solve_many(vehicles), solve_many(later), strict=True)
    return [vehicle for vehicle, a, b in pairs if not _alike(a, b)]


def _settings(circuit: Circuit) -> Iterator[Setting]:
    axes = [[(part, position) for position in spec.positions] for part, spec in switches(circuit)]
    for positions in itertools.product(*axes):
        yield setting_from(circuit, positions=dict(positions), moment="just_operated")


def _alike(one: State, other: State) -> bool:
    if one.chatter or other.chatter:
        return one.chatter == other.chatter
    return one.volt == pytest.approx(other.volt, abs=1e-4)


@pytest.mark.parametrize("name", CIRCUITS)
def test_moments_that_are_not_offered_differ_from_one_that_is_in_no_vehicle(name: str) -> None:
    offered = moments(library_circuit(name))
    assert offered in ((), ("just_operated", "at_rest"), MOMENTS)
    if offered == MOMENTS:
        return
    vehicles = every_vehicle(name, moments=("just_operated",), each=17)[::EACH]
    assert not _unlike(vehicles, "moving")
    assert offered or not _unlike(vehicles, "at_rest")


@pytest.mark.parametrize("name", [n for n in CIRCUITS if moments(library_circuit(n))])
def test_moments_that_are_offered_differ_in_some_vehicle(name: str) -> None:
    circuit = library_circuit(name)
    sound = [Vehicle(circuit, (), s) for s in _settings(circuit)]
    others = moments(circuit)[1:]
    assert any(_unlike([vehicle], other) for vehicle in sound for other in others)


def test_the_usual_moment_is_one_that_is_offered() -> None:
    for circuit in map(library_circuit, CIRCUITS):
        out = {part.name: "" for part in circuit.parts}  # no switch rests there
        assert {usual_moment(circuit, {}), usual_moment(circuit, out)} <= {
            "at_rest",
            *moments(circuit),
        }

"""Every case of a circuit: each fault at its usual severity, in each setting and moment."""

import itertools
from collections.abc import Iterator

from circuits.faults import all_faults
from circuits.model import Circuit, Fault, Setting, Vehicle
from circuits.settings import setting_from, switches
from circuits.spec import MOMENTS


def every_setting(circuit: Circuit) -> Iterator[Setting]:
    """Yield every combination of switch positions at every moment."""
    axes = [[(name, p) for p in spec.positions] for name, spec in switches(circuit)]
    for positions in itertools.product(*axes):
        for moment in MOMENTS:
            yield setting_from(circuit, positions=dict(positions), moment=moment)


def odd_settings(circuit: Circuit) -> Iterator[Setting]:
    """Yield what takes the harness apart: connectors unplugged, fuses out, battery off."""
    yield Setting(isolated=True)
    for connector in circuit.connectors:
        yield Setting(unmated=frozenset({connector.name}))
        yield Setting(unmated=frozenset({connector.name}), isolated=True)
    for part in circuit.parts:
        if part.spec.sort == "fuse":
            yield Setting(pulled=frozenset({part.name}))


def vehicles(circuit: Circuit, setting: Setting, every: int = 1) -> list[Vehicle]:
    """Return the healthy vehicle, then each ``every``-th single fault of the circuit."""
    faults: list[tuple[Fault, ...]] = [(), *((f,) for f in all_faults(circuit)[::every])]
    return [Vehicle(circuit, faults=found, setting=setting) for found in faults]

"""Every pair of points of a network at once, asked of the reference simulator.

One operating point gives the volts. For the ohms an ampere at a vanishing frequency goes into
one point after another: what it makes at every point is a row of the inverse of the nodal
matrix, as the simulator's own linearised devices have it.
"""

import re
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from circuits.netlist import QUIT, conducting, deck, node_numbers, spice_node
from circuits.spec import BODY, Element

_REAL = re.compile(r"^(\S+) = ([^,\s]+)$", re.MULTILINE)
_COMPLEX = re.compile(r"^(\S+) = ([^,\s]+),\s*\S+$", re.MULTILINE)


@dataclass(frozen=True)
class PairsAnswer:
    """The simulator's volts of some nodes against the body, and the ohms of all their pairs."""

    volt: NDArray[np.float64]
    ohm: NDArray[np.float64]


def simulate_pairs(elements: Sequence[Element], nodes: Sequence[str]) -> PairsAnswer:
    """Return the simulator's answer for these nodes, all of them joined to something.

    Raises
    ------
    AssertionError
        If it has no answer.
    """
    number = node_numbers(conducting(elements))
    names = [spice_node(number[node]) for node in nodes]
    probed = [n for n in names if n != spice_node(number[BODY])]
    printed = " ".join(f"v({name})" for name in probed)
    probes = [f"Iprobe{name} 0 {name} DC 0 AC 0" for name in probed]
    asks = [
        line
        for name in probed
        for line in (
            f"alter @iprobe{name}[acmag]=1",
            "ac lin 1 1e-6 1e-6",
            f"print {printed}",
            f"alter @iprobe{name}[acmag]=0",
        )
    ]
    text = deck("pairs", elements)
    text = text.replace("\n.control", "\n" + "\n".join([*probes, ".control"]))
    text = text.replace(f"\n{QUIT}\n", "\n" + "\n".join([*asks, QUIT]) + "\n")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "pairs.cir"
        path.write_text(text, encoding="utf-8")
        done = subprocess.run(
            ["ngspice", "-b", str(path)], capture_output=True, text=True, check=False
        )
    volts = {name: float(value) for name, value in _REAL.findall(done.stdout)}
    found = [float(value) for _, value in _COMPLEX.findall(done.stdout)]
    assert len(found) == len(probed) ** 2, "ngspice has no answer"
    inverse = np.zeros((len(nodes), len(nodes)))
    free = [place for place, name in enumerate(names) if name in probed]
    inverse[np.ix_(free, free)] = np.array(found).reshape(len(probed), len(probed))
    own = np.diag(inverse)
    ohm = own[:, None] + own - inverse - inverse.T
    return PairsAnswer(np.array([volts.get(name, 0.0) for name in names]), ohm)

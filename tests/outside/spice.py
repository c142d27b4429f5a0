"""Networks solved by the reference simulator, ngspice: many decks in one process."""

import re
import subprocess
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from circuits.netlist import QUIT, conducting, deck, node_numbers, spice_node
from circuits.spec import Element

_CASE = re.compile(r"^Circuit: \* case (\d+)$", re.MULTILINE)
_VALUE = re.compile(r"^(\S+) = (\S+)$", re.MULTILINE)


class NoAnswer(AssertionError):  # noqa: N818 - reads as a sentence where it is caught
    """The simulator does not converge."""


@dataclass(frozen=True)
class Answer:
    """The simulator's volts by node, and its amperes by element where it tells them."""

    volt: Mapping[str, float]
    ampere: Mapping[str, float]


def simulate(networks: Sequence[Sequence[Element]]) -> list[Answer]:
    """Return the simulator's answer to each network.

    Raises
    ------
    NoAnswer
        If it has no answer to one of them.
    """
    with tempfile.TemporaryDirectory() as folder:
        driver = Path(folder) / "driver.sp"
        lines = ["* driver", ".control"]
        for number, elements in enumerate(networks):
            path = Path(folder) / f"{number}.cir"
            # What ends the process after one deck is left out: the driver ends it.
            text = deck(f"case {number}", elements).replace(f"\n{QUIT}\n", "\n")
            path.write_text(text, encoding="utf-8")
            lines += [f"source {path}", "destroy all", "remcirc"]
        driver.write_text("\n".join([*lines, QUIT, ".endc", ".end", ""]), encoding="utf-8")
        done = subprocess.run(
            ["ngspice", "-b", str(driver)], capture_output=True, text=True, check=False
        )
    pieces = _CASE.split(done.stdout)
    texts = dict(zip(pieces[1::2], pieces[2::2], strict=True))
    return [
        _answer(elements, texts.get(str(number), "")) for number, elements in enumerate(networks)
    ]


def _answer(elements: Sequence[Element], text: str) -> Answer:
    found = {name: float(value) for name, value in _VALUE.findall(text)}
    if not found:
        raise NoAnswer("ngspice has no answer")
    present = conducting(elements)
    volt = {
        node: found[spice_node(number)] if number else 0.0
        for node, number in node_numbers(present).items()
    }
    ampere = {
        element.name: found[f"ve{number}#branch"]
        for number, element in enumerate(present, start=1)
        if f"ve{number}#branch" in found
    }
    return Answer(volt, ampere)

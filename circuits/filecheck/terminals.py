"""Where a wire may end: the terminals of a circuit by the names that a file may use."""

from collections.abc import Mapping
from dataclasses import dataclass

from circuits.filecheck.draft import shown, unknown
from circuits.model import Circuit, Part
from circuits.spec import BODY, join


@dataclass(frozen=True, slots=True)
class Terminals:
    """The terminals of a circuit.

    Attributes
    ----------
    wired : the names at which a wire may end.
    instead : by the name of a terminal that takes no wire: why not, and what to write.
    """

    wired: Mapping[str, None]
    instead: Mapping[str, str]

    @classmethod
    def of(cls, circuit: Circuit) -> "Terminals":
        """Return the terminals of a circuit."""
        wired = dict.fromkeys([BODY])
        instead = {}
        plugged = _plugged(circuit)
        for part in circuit.parts:
            for terminal in part.spec.terminals():
                full = join(part.name, terminal)
                if full in plugged:
                    cavity = plugged[full]
                    instead[full] = f"is plugged into {cavity}; accepted: {cavity}"
                else:
                    wired[full] = None
        for connector in circuit.connectors:
            for number in connector.cavities():
                short = f"{connector.name}.{number}"
                first, second = (connector.face(number, face) for face in connector.faces)
                if connector.inline:
                    wired |= dict.fromkeys([first, second])
                    instead[short] = f"has wires on both faces; accepted: {first} or {second}"
                else:
                    wired |= dict.fromkeys([short, first])
                    instead[second] = f"is on the part's own face; accepted: {short}"
        return cls(wired, instead)

    def refuse(self, where: str, found: str) -> str:
        """Return the sentence for a wire's end that is not accepted."""
        if found in self.instead:
            return f"{where}: {shown(found)} {self.instead[found]}"
        return unknown(where, found, self.wired)

    @staticmethod
    def sides(circuit: Circuit, part: Part) -> tuple[str, ...]:
        """Return what a hint may put on a side of a part: its terminals, its connectors."""
        connectors = (connector.name for connector in circuit.plugged_in(part.name))
        return (*part.spec.terminals(), *connectors)


def _plugged(circuit: Circuit) -> Mapping[str, str]:
    return {
        join(connector.part, pin): f"{connector.name}.{number}"
        for connector in circuit.connectors
        for number, pin in enumerate(connector.pins, start=1)
        if pin and connector.part
    }

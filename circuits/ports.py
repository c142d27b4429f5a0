"""Every pair of points of one solved vehicle at once: Thevenin's source and resistance.

One inverse of the nodal matrix gives the resistance between any two nodes, so a voltmeter's
reading anywhere costs microseconds. It holds for a load so light that nothing changes its
state, as a voltmeter is; for ohms and lamps the instrument is put into the circuit instead
(``circuits.instruments``).
"""

from circuits.model import State, Vehicle
from circuits.network import Network
from circuits.newton import Stack
from circuits.operate import solve
from circuits.points import test_points
from circuits.rows import start_volts
from circuits.tolerance import groups_of


class Ports:
    """The source that each pair of nodes of a solved vehicle makes for a light load."""

    def __init__(self, vehicle: Vehicle, state: State | None = None) -> None:
        """Take the vehicle's solved state, or solve it.

        Raises
        ------
        CircuitError
            As ``circuits.operate.solve``.
        """
        state = state or solve(vehicle)
        nodes = [point.node for point in test_points(vehicle.circuit)]
        stack = Stack.of_groups([groups_of(Network(vehicle), state.memory)], nodes)
        solution = stack.solve(start_volts(stack.nodes, [state.volt]), inverse=True)
        assert solution.inverse is not None  # asked for one line above
        self._at = {node: number for number, node in enumerate(stack.nodes)}
        self._volt = solution.volt[0].tolist()
        self._island = solution.island[0].tolist()
        self._inverse = solution.inverse[0].tolist()

    def ohm(self, red: str, black: str) -> float:
        """Return the ohms between two nodes for a small change, infinite without a path."""
        a, b = self._at[red], self._at[black]
        if self._island[a] != self._island[b]:
            return float("inf")
        inverse = self._inverse
        return float(inverse[a][a] + inverse[b][b] - inverse[a][b] - inverse[b][a])

    def volt(self, red: str, black: str, *, load_ohm: float = float("inf")) -> float:
        """Return the volts of red against black with so many ohms across them."""
        a, b = self._at[red], self._at[black]
        if self._island[a] != self._island[b]:
            return 0.0
        return float((self._volt[a] - self._volt[b]) / (1 + self.ohm(red, black) / load_ohm))

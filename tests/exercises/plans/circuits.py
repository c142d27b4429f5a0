"""A small circuit for tests of plans and cases, and its table built once in a run."""

from functools import lru_cache

from circuits.model import Connector
from exercises.planning.table import Table, build
from tests.circuits.sketches import MASS, circuit

LAMP = circuit(
    "lamp",
    "BAT.pos>F.in F.out>SW.in SW.out>C1.1 C1.2>G" + MASS,
    (Connector("C1", "Lamp connector", "here", ("Feed", "Ground"), part="L", pins=("a", "b")),),
)


@lru_cache
def lamp_table() -> Table:
    """Return the table of the lamp's circuit."""
    return build(LAMP)

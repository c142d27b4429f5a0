"""Sides: which of a part's terminals face the feed, and which the load."""

from collections.abc import Sequence

from circuits.drafting.flow import Flow, wired_node
from circuits.drafting.shapes import (
    SHELL,
    TITLE_LINE,
    TITLE_SIZE,
    Block,
    Metrics,
    Port,
    Side,
    title_of,
    widest,
    wrapped,
)
from circuits.model import Circuit, Hint, Part
from circuits.spec import join

THROUGH = ("fuse", "splice", "switch", "limit switch", "relay")
"""Sorts whose two terminals always face each other."""

SYMBOL = {"across": 56, "down": 64}
"""The length of a two-terminal symbol with its leads."""


def hint_of(circuit: Circuit, part: str) -> Hint:
    """Return what the circuit file pins of a part, nothing if it pins nothing."""
    return next((h for h in circuit.hints if h.part == part), Hint(part))


def port_of(circuit: Circuit, part: Part, pin: str, side: Side, row: int) -> Port:
    """Return the port of a part's terminal, through its connector if it has one."""
    node = wired_node(circuit, join(part.name, pin))
    cavity = node.partition("@")[0] if "@" in node else ""
    return Port(node, pin, side, row, cavity)


def shells(ports: Sequence[Port]) -> int:
    """Return the length that plugged connectors take, on both sides together."""
    return SHELL * len({port.side for port in ports if port.cavity})


def sides_of(circuit: Circuit, part: Part, flow: Flow, pins: tuple[str, str]) -> tuple[Side, Side]:
    """Return the sides of two terminals; a load that is fed at both has both on one side."""
    hint = hint_of(circuit, part.name)
    for number, pin in enumerate(pins):
        if pin in hint.left or pin in hint.right:
            return (-1, 1) if (pin in hint.left) == (number == 0) else (1, -1)
    first, second = flow.of(part.name, pins[0]), flow.of(part.name, pins[1])
    if first * second > 0 and part.spec.sort not in THROUGH:
        return (-1, -1) if first < 0 else (1, 1)
    return (-1, 1) if first <= second else (1, -1)


def straight(part: Part, ports: tuple[Port, ...], metrics: Metrics) -> Block:
    """Return a block whose two terminals face each other on one row."""
    title, length = title_of(part), SYMBOL[metrics.direction]
    if metrics.direction == "across":
        lines = wrapped(title, 84, TITLE_SIZE)
        length = max(length, round(widest(lines, TITLE_SIZE)) + 2)
        before, after = metrics.up(15 + TITLE_LINE * len(lines)), metrics.grid
    else:
        lines = wrapped(title, 46, TITLE_SIZE)
        before, after = metrics.grid, metrics.up(18 + widest(lines, TITLE_SIZE))
    length += shells(ports)
    return Block(part.name, part.spec.sort, ports, (0,), before, after, length, lines)

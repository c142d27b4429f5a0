"""The kinds of faults: what the trade calls them, how bad they get, what cures them."""

from collections.abc import Iterable
from dataclasses import dataclass

OHM, AMPERE, SHARE, WATT, VOLT, TIMES = "Ω", "A", "share", "W", "V", "times"

REPAIRS: dict[str, str] = {
    "renew_wire": "repair or renew the wire",
    "separate_wires": "renew both wires and tape them apart",
    "renew_terminal": "renew the terminal",
    "clean_terminal": "clean the terminals and mate them again",
    "reseat_terminal": "push the terminal home until it locks",
    "rearrange_terminals": "put the terminals into their right cavities",
    "clean_ground": "clean the ground point and tighten it",
    "renew_splice": "renew the splice",
    "replace_fuse": "fit a fuse of the right rating",
    "clean_holder": "clean the fuse holder's blades",
    "repair_line": "bridge the break with conductive paint",
    "replace_part": "replace the part",
    "free_mechanism": "free and grease the mechanism",
    "tighten_belt": "fit and tighten the belt",
    "right_lamp": "fit a lamp of the right wattage",
    "charge_battery": "charge the battery and test it",
    "replace_battery": "replace the battery",
    "find_drain": "disconnect the load that drains the battery",
    "none": "no repair: it works as designed",
}
"""Repairs by name, in words that follow the name of a part."""


WIRE, WIRES, CAVITY, CAVITIES = "wire", "wires", "cavity", "cavities"
"""What a place is, where it is no part; a part's place goes by the trade's name for it."""

REPAIR_SORTS: dict[str, frozenset[str]] = {
    "renew_wire": frozenset({WIRE}),
    "separate_wires": frozenset({WIRES}),
    "reseat_terminal": frozenset({CAVITY}),
    "rearrange_terminals": frozenset({CAVITIES}),
    "clean_ground": frozenset({"ground point"}),
    "renew_splice": frozenset({"splice"}),
    "replace_fuse": frozenset({"fuse"}),
    "clean_holder": frozenset({"fuse"}),
}
"""The sorts of places at which a repair can be done; any part for a repair not named here."""

TERMINAL_REPAIRS = ("renew_terminal", "clean_terminal")
"""Repairs for cavities, and for parts with terminals of their own."""

NO_PARTS = frozenset({WIRE, WIRES, CAVITY, CAVITIES, "ground point", "splice", "fuse"})
"""Sorts with repairs of their own, where no part is replaced."""


@dataclass(frozen=True, slots=True)
class FaultKind:
    """A kind of fault.

    Attributes
    ----------
    words : what it is, following the name of a part.
    grid : severities from mild to severe or back, in ``unit``; empty for a kind that has
        none.
    cures : the repairs that put it right.
    when : the condition under which it shows, empty for always.
    """

    name: str
    words: str
    cures: tuple[str, ...]
    unit: str = ""
    grid: tuple[float, ...] = ()
    when: str = ""

    @property
    def low(self) -> float:
        """The least severity accepted."""
        return min(self.grid)

    @property
    def high(self) -> float:
        """The greatest severity accepted."""
        return max(self.grid)

    @property
    def usual(self) -> float:
        """The severity that stands where none is given."""
        return self.grid[len(self.grid) // 2] if self.grid else 0.0


SERIES = (0.3, 0.6, 1.2, 2.5, 5.0, 10.0, 30.0, 100.0, 300.0, 1000.0)
MILLIOHMS = (0.003, 0.006, 0.012, 0.025, 0.05, 0.1, 0.3)
LEAKS = (0.0, 0.1, 1.0, 10.0, 100.0, 1e3, 1e4, 1e5)
SHORTS = (0.0, 0.1, 0.5, 2.0, 10.0, 100.0, 1e3, 1e4)

KINDS: dict[str, FaultKind] = {
    kind.name: kind
    for kind in (
        FaultKind(
            "open", "open circuit", ("renew_wire", "replace_part", "renew_splice", "clean_ground")
        ),
        FaultKind(
            "high_resistance", "high resistance", ("renew_wire", "replace_part"), OHM, SERIES
        ),
        FaultKind("chafed", "chafed through to the body", ("renew_wire",), OHM, LEAKS),
        FaultKind("shorted_to_feed", "rubbed through to a live feed", ("renew_wire",), OHM, SHORTS),
        FaultKind("touching", "rubbed through to each other", ("separate_wires",), OHM, SHORTS),
        FaultKind("swapped", "in each other's cavity", ("rearrange_terminals",)),
        FaultKind(
            "backed_out", "terminal pushed back, no contact", ("reseat_terminal", "renew_terminal")
        ),
        FaultKind(
            "corroded",
            "corroded, high resistance",
            ("clean_terminal", "renew_terminal", "clean_ground", "renew_splice", "clean_holder"),
            OHM,
            SERIES,
        ),
        FaultKind(
            "poor_joint",
            "poor joint, milliohms that a heavy current feels",
            ("renew_wire", "clean_terminal", "clean_ground", "replace_part"),
            OHM,
            MILLIOHMS,
        ),
        FaultKind("spread", "terminal spread, opens when moved", ("renew_terminal",), when="moved"),
        FaultKind("blown", "blown", ("replace_fuse",)),
        FaultKind(
            "underrated",
            "fuse of too low a rating",
            ("replace_fuse",),
            AMPERE,
            (0.1, 0.25, 0.5, 1.0, 2.0, 3.0),
        ),
        FaultKind("thermal_fuse_open", "thermal fuse open", ("replace_part",)),
        FaultKind("contact_open", "contact does not close", ("replace_part",)),
        FaultKind(
            "contact_burnt", "contact burnt, high resistance", ("replace_part",), OHM, SERIES
        ),
        FaultKind("line_broken", "heater line broken", ("repair_line", "replace_part")),
        FaultKind(
            "contact_pitted",
            "contact pitted, milliohms that a heavy current feels",
            ("replace_part",),
            OHM,
            MILLIOHMS,
        ),
        FaultKind("stuck_closed", "contact stuck closed", ("replace_part",)),
        FaultKind(
            "leaking",
            "leaks when open",
            ("replace_part",),
            OHM,
            (100.0, 300.0, 1e3, 3e3, 1e4, 3e4, 1e5),
        ),
        FaultKind("coil_open", "coil open", ("replace_part",)),
        FaultKind(
            "coil_shorted_turns",
            "coil with shorted turns",
            ("replace_part",),
            SHARE,
            (0.2, 0.4, 0.6, 0.8, 0.9),
        ),
        FaultKind(
            "wrong_lamp",
            "lamp of the wrong wattage",
            ("right_lamp",),
            WATT,
            (1.2, 2.3, 10.0, 21.0, 27.0),
        ),
        FaultKind(
            "shorted",
            "shorted inside",
            ("replace_part", "right_lamp"),
            OHM,
            (0.0, 0.05, 0.2, 1.0, 3.0),
        ),
        FaultKind(
            "shorted_turns",
            "winding with shorted turns",
            ("replace_part",),
            SHARE,
            (0.3, 0.5, 0.65, 0.75, 0.85, 0.92, 0.97),
        ),
        FaultKind("to_frame", "winding leaks to its frame", ("replace_part",), OHM, LEAKS),
        FaultKind("worn_brush", "brushes worn, high resistance", ("replace_part",), OHM, SERIES),
        FaultKind(
            "lifting_brush",
            "brush sticks clear until the motor is tapped",
            ("replace_part",),
            when="not moved",
        ),
        FaultKind(
            "stiff", "mechanism stiff", ("free_mechanism",), TIMES, (1.5, 2.0, 3.0, 3.5, 4.5)
        ),
        FaultKind("seized", "mechanism seized", ("free_mechanism",)),
        FaultKind("dead", "does not wake", ("replace_part",)),
        FaultKind("stays_awake", "does not go to sleep", ("replace_part",)),
        FaultKind("no_output", "gives no output", ("replace_part",)),
        FaultKind(
            "set_wrong",
            "regulates to the wrong voltage",
            ("replace_part",),
            VOLT,
            (12.8, 13.2, 13.6, 15.0, 15.5, 16.0),
        ),
        FaultKind("phase_lost", "one phase lost, half its output", ("replace_part",)),
        FaultKind("slipping", "slips", ("tighten_belt",), SHARE, (0.3, 0.5, 0.7, 0.9)),
        FaultKind(
            "extra_termination",
            "has a termination that does not belong there",
            ("replace_part",),
            OHM,
            (60.0, 120.0, 240.0),
        ),
        FaultKind("input_deaf", "input not noticed", ("replace_part",)),
        FaultKind("reference_lost", "reference volts lost inside", ("replace_part",)),
        FaultKind(
            "wrong_value",
            "coding resistor off its value",
            ("replace_part",),
            TIMES,
            (0.3, 0.5, 0.75, 1.5, 2.0, 4.0),
        ),
        FaultKind("inner_ground_lost", "ground lost inside", ("replace_part",)),
        FaultKind(
            "inner_ground_poor", "high resistance to ground inside", ("replace_part",), OHM, SERIES
        ),
        FaultKind("output_dead", "output dead", ("replace_part",)),
        FaultKind("forward_dead", "output dead on the way out", ("replace_part",)),
        FaultKind("reverse_dead", "output dead on the way back", ("replace_part",)),
        FaultKind(
            "float_stuck",
            "float stuck at a share of its travel",
            ("replace_part",),
            SHARE,
            (0.0, 0.25, 0.5, 0.75, 1.0),
        ),
        FaultKind(
            "float_bent",
            "float arm bent, off by a share of its travel",
            ("replace_part",),
            SHARE,
            (-0.5, -0.3, -0.15, 0.15, 0.3, 0.5),
        ),
        FaultKind(
            "weak",
            "battery weak, high internal resistance",
            ("replace_battery",),
            OHM,
            (0.05, 0.1, 0.3, 1.0, 3.0),
        ),
        FaultKind(
            "flat", "battery flat", ("charge_battery",), VOLT, (6.0, 8.0, 10.0, 11.0, 11.9, 12.1)
        ),
        FaultKind(
            "drained",
            "battery drained by a hidden load",
            ("find_drain",),
            AMPERE,
            (0.1, 0.5, 2.0, 10.0),
        ),
    )
}


def repair_names(kinds: Iterable[str], sort: str) -> tuple[str, ...]:
    """Return the repairs that cure any of these kinds at a place of this sort."""
    wanted = {cure for kind in kinds for cure in KINDS[kind].cures if _can_be_done(cure, sort)}
    return tuple(name for name in REPAIRS if name in wanted)


def _can_be_done(repair: str, sort: str) -> bool:
    if repair in REPAIR_SORTS:
        return sort in REPAIR_SORTS[repair]
    return sort not in NO_PARTS or (repair in TERMINAL_REPAIRS and sort == CAVITY)

"""What is measured and what is shown: the words of instruments, without their working."""

from dataclasses import dataclass, field
from typing import Literal

from circuits.cautions import sentences
from circuits.model import CircuitError, Vehicle
from circuits.points import find_point, nearest
from circuits.spec import Memory

Instrument = Literal["volts", "ohms", "continuity", "diode", "amps", "clamp", "lamp"]
INSTRUMENTS: tuple[Instrument, ...] = (
    "volts",
    "ohms",
    "continuity",
    "diode",
    "amps",
    "clamp",
    "lamp",
)

LOADS_W: tuple[float, ...] = (5.0, 21.0, 55.0)
"""Test loads in watts at 12 V that a voltmeter can be given across its leads."""

LAMP_WORDS = ((60.0, "bright"), (8.0, "dim"), (0.2, "glows"), (0.0, "dark"))
"""What a test lamp shows, from the least share of its light in per cent."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """Which instrument, and where its leads are: test points, or a wire for the clamp.

    ``load_w`` is a test load across the leads of the voltmeter, in watts at 12 V, 0 for
    none; ``zeroed`` takes the leads' own ohms off; ``hold`` keeps lowest and highest;
    ``low_battery`` tells that the meter shows its low-battery sign.
    """

    instrument: Instrument
    red: str = ""
    black: str = ""
    wire: str = ""
    zeroed: bool = False
    hold: bool = False
    load_w: float = 0.0
    low_battery: bool = False

    def where(self) -> str:
        """Return where the leads are, in words."""
        if self.instrument == "clamp":
            return f"round {self.wire}"
        load = f", {self.load_w:g} W load" if self.load_w else ""
        return f"{self.red} to {self.black}{load}"


@dataclass(frozen=True, slots=True)
class Reading:
    """What an instrument showed.

    Attributes
    ----------
    value : the value displayed, in ``unit``; None where the display is ``OL`` or ``-OL``.
    display : the text displayed.
    exact : the value before the display rounds it, for judging; None for ``OL``.
    off : accuracy of the display, in ``unit``, half a digit included.
    swing : lowest and highest value, where a chattering vehicle or min/max hold gives two.
    beep : whether the continuity tone sounds.
    caution_names : which cautions go with it.
    meter_fuse_blew : whether the measurement cost the meter's fuse.
    burst : the amperes at which it went, None where it did not.
    loaded : the discrete states by part, where the instrument itself can change one; those in
        which the meter's fuse went.
    """

    value: float | None
    unit: str
    display: str
    exact: float | None
    off: float
    swing: tuple[float, float] | None = None
    beep: bool = False
    caution_names: tuple[str, ...] = ()
    meter_fuse_blew: bool = False
    burst: float | None = None
    loaded: tuple[tuple[str, Memory], ...] = field(default=(), compare=False, repr=False)

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions in words."""
        return sentences(self.caution_names)


def check(vehicle: Vehicle, what: Measurement) -> tuple[str, ...]:
    """Return the nodes that the leads are on, none for a clamp.

    Raises
    ------
    CircuitError
        As ``read``.
    """
    circuit = vehicle.circuit
    if what.instrument == "clamp":
        if what.wire not in circuit.wire_by_name:
            raise CircuitError(
                f"clamp: {circuit.name} has no wire {what.wire!r}"
                f"{nearest(what.wire, circuit.wire_by_name)}"
            )
        return ()
    nodes = tuple(find_point(circuit, vehicle.setting, p).node for p in (what.red, what.black))
    if what.red == what.black:
        raise CircuitError(
            f"leads: both are on {what.red}; accepted: red and black on two different points"
        )
    if what.load_w and (what.instrument != "volts" or what.load_w not in LOADS_W):
        accepted = ", ".join(f"{watt:g}" for watt in LOADS_W)
        raise CircuitError(f"load: found {what.load_w:g} W; accepted: {accepted} W with volts")
    return nodes

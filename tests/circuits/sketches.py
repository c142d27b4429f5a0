"""Small circuits built in code, without a hint, for the tests of the drawing."""

import hashlib
from random import Random

from circuits.model import Circuit, Connector, Hint, Part, Place, Wire
from circuits.parts.controller import Channel, ReversingController
from circuits.parts.loads import Bell, Diode, Lamp, Resistor
from circuits.parts.motor import Motor
from circuits.parts.supply import Battery, Fuse, Ground, Splice
from circuits.parts.switching import Relay, Switch, SwitchContact
from circuits.spec import Spec

COLOURS = ("RD", "BU", "GN", "YE", "OGWH", "BNBK", "VT", "GY", "PK", "WH")
PLAIN: dict[str, Spec] = {
    "BAT": Battery(volt=12.6, ohm=0.01),
    "F": Fuse(rating_a=10.0),
    "L": Lamp(watt=5.0),
    "B": Bell(ohm=12.0),
    "R": Resistor(ohm=10.0),
    "D": Diode(),
    "M": Motor(ohm=6.0, k=0.06, load_nm=0.03),
    "S": Splice(),
    "G": Ground(),
    "K": Relay(coil_ohm=85.0),
    "KB": Relay(coil_ohm=85.0, break_contact=True),
    "SW": Switch(
        positions=("off", "on"),
        rests="off",
        contacts=(SwitchContact("contact", "in", "out", ("on",)),),
    ),
    "REV": Switch(
        positions=("off", "open", "close"),
        rests="off",
        contacts=(
            SwitchContact("one", "feed", "x", ("open",)),
            SwitchContact("two", "feed", "y", ("close",)),
            SwitchContact("three", "ground", "x", ("off", "close")),
            SwitchContact("four", "ground", "y", ("off", "open")),
        ),
    ),
    "ECU": ReversingController(channels=(Channel("left", "feed"),)),
}


def circuit(
    name: str,
    wires: str,
    connectors: tuple[Connector, ...] = (),
    hints: tuple[Hint, ...] = (),
) -> Circuit:
    """Return a circuit from wires like ``BAT.pos>F1.in``; a part's letters tell its kind."""
    ends = [tuple(wire.split(">")) for wire in wires.split()]
    named = {end.partition(".")[0] for pair in ends for end in pair} - {"BODY"}
    named |= {c.part for c in connectors if c.part}
    named -= {c.name for c in connectors}
    order = sorted(named, key=lambda n: (n != "BAT", wires.find(n)))
    parts = tuple(Part(n, n, "here", PLAIN[n.rstrip("0123456789")]) for n in order)
    made = tuple(
        Wire(f"W{n}", a, b, 1.0, 1.0, COLOURS[n % len(COLOURS)])
        for n, (a, b) in enumerate(ends, start=1)
    )
    digest = hashlib.sha256(repr((name, wires, connectors, hints)).encode()).hexdigest()
    return Circuit(
        name,
        name,
        "",
        (Place("here", "here", 1.0),),
        parts,
        connectors,
        made,
        live_wire="BAT.pos",
        hints=hints,
        digest=digest,
    )


MASS = " BAT.neg>BODY"


def _plug(name: str, part: str, *pins: str) -> Connector:
    return Connector(name, name, "here", tuple(pins), part=part, pins=pins)


BUILT: tuple[Circuit, ...] = (
    circuit("one_lamp", "BAT.pos>L1.a L1.b>BAT.neg"),
    circuit(
        "series_chain",
        "BAT.pos>F1.in F1.out>SW1.in SW1.out>R1.a R1.b>D1.a D1.k>L1.a L1.b>G1" + MASS,
    ),
    circuit(
        "three_parallel_loads",
        "BAT.pos>F1.in F1.out>S1.in S1.out>L1.a S1.out>B1.a S1.out>M1.a"
        " L1.b>G1 B1.b>G2 M1.b>G3" + MASS,
    ),
    circuit(
        "lamps_on_one_ground",
        "BAT.pos>F1.in F1.out>SW1.in F1.out>SW2.in SW1.out>L1.a SW2.out>L2.a"
        " L1.b>G1 L2.b>G1" + MASS,
    ),
    circuit(
        "reversing_switch",
        "BAT.pos>F1.in F1.out>REV1.feed REV1.ground>G1 REV1.x>M1.a REV1.y>M1.b" + MASS,
    ),
    circuit(
        "relay_with_both_contacts",
        "BAT.pos>F1.in BAT.pos>SW1.in SW1.out>KB1.86 KB1.85>G1 F1.out>KB1.30"
        " KB1.87>L1.a KB1.87a>L2.a L1.b>G2 L2.b>G2" + MASS,
    ),
    circuit(
        "bare_controller",
        "BAT.pos>F1.in F1.out>ECU1.feed BAT.pos>SW1.in SW1.out>ECU1.request"
        " SW1.out>ECU1.permit ECU1.ground>G1 ECU1.left_a>M1.a ECU1.left_b>M1.b" + MASS,
    ),
    circuit(
        "two_wires_side_by_side",
        "BAT.pos>S1.in S1.out>S2.in S1.out>S2.in S2.out>L1.a L1.b>G1 L1.b>G1" + MASS,
    ),
    circuit(
        "crossed_in_line",
        "BAT.pos>F1.in BAT.pos>F2.in F1.out>IL.2@harness F2.out>IL.1@harness"
        " IL.1@motor>L1.a IL.2@motor>L2.a L1.b>G1 L2.b>G2" + MASS,
        (Connector("IL", "In line", "here", ("one", "two"), faces=("harness", "motor")),),
    ),
    circuit(
        "plugged_load_and_spare",
        "BAT.pos>F1.in F1.out>C1.1 C1.3>G1" + MASS,
        (Connector("C1", "C1", "here", ("in", "Spare", "out"), part="M1", pins=("a", "", "b")),),
    ),
    circuit(
        "written_backwards",
        "G1>L1.b L1.a>SW1.out SW1.in>F1.out F1.in>BAT.pos" + MASS,
    ),
    circuit("a_ring", "BAT.pos>R1.a R1.b>R2.a R2.b>R3.a R3.b>R1.a R2.b>G1" + MASS),
    circuit("nothing_but_a_battery", "BAT.neg>BODY"),
    circuit(
        "hinted",
        "BAT.pos>F1.in BAT.pos>F2.in F1.out>L1.a F2.out>L2.a L1.b>G1 L2.b>G2" + MASS,
        hints=(Hint("L1", rank=3, row=4.0), Hint("F2", row=0.0)),
    ),
)

LOADS = ("L", "B", "R", "M")


def random_circuit(seed: int) -> Circuit:
    """Return a random circuit: fuses, switches, splices, connectors, loads on a few grounds."""
    rng = Random(seed)
    wires, feeds, connectors = [], ["BAT.pos"], []
    for number in range(1, rng.randint(2, 4)):
        wires.append(f"BAT.pos>F{number}.in")
        feeds.append(f"F{number}.out")
    for number in range(1, rng.randint(1, 4)):
        kind = rng.choice(["SW", "S", "S"])
        wires.append(f"{rng.choice(feeds)}>{kind}{number}.in")
        feeds.append(f"{kind}{number}.out")
    for number in range(1, rng.randint(2, 7)):
        load = f"{rng.choice(LOADS)}{number}"
        near, far = f"{load}.a", f"{load}.b"
        if rng.random() < 0.4:
            connectors.append(_plug(f"C{number}", load, "a", "b"))
            near, far = f"C{number}.1", f"C{number}.2"
        wires += [f"{rng.choice(feeds)}>{near}", f"{far}>G{rng.randint(1, 3)}"]
    if rng.random() < 0.5:
        wires += [f"{rng.choice(feeds)}>K1.30", f"{rng.choice(feeds)}>K1.86"]
        wires += ["K1.85>G1", "K1.87>M9.a", "M9.b>G2"]
    if rng.random() < 0.5:
        labels = ("one", "two", "three")
        connectors.append(Connector("IL", "IL", "here", labels, faces=("harness", "load")))
        for number in rng.sample((1, 2, 3), 3):
            wires.append(f"{rng.choice(feeds)}>IL.{number}@harness")
            wires += [f"IL.{number}@load>L{6 + number}.a", f"L{6 + number}.b>G{rng.randint(1, 3)}"]
    return circuit(f"random_{seed}", " ".join(wires) + MASS, tuple(connectors))

"""What the entries of a circuit file say of each other, and what its wires join."""

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from circuits.filecheck.draft import draft_of
from circuits.filecheck.graphs import conductor_graph, path_between, settings_of
from circuits.filecheck.value_checks import COLOURS
from circuits.files import LIBRARY, check_circuit, circuit_from_text, circuit_names, library_circuit
from circuits.model import CircuitError
from circuits.spec import BODY

BELL = (LIBRARY / "call_bell.toml").read_text(encoding="utf-8")
STEPS = (LIBRARY / "side_steps.toml").read_text(encoding="utf-8")

CODES = "BK, BN, RD, OG, YE, GN, BU, VT, GY, WH, PK, GD, TQ, SR"
NAME_RULE = "a letter, then letters, digits and _, up to 40"


def edited(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def problems(text: str) -> tuple[str, ...]:
    try:
        circuit_from_text(text, name="mine")
    except CircuitError as error:
        return error.problems
    return ()


def wire(name: str, start: str, end: str) -> str:
    return (
        f'[[wires]]\nname = "{name}"\nstart = "{start}"\nend = "{end}"\n'
        'area_mm2 = 1\nlength_m = 1\ncolour = "BK"\n'
    )


def part(name: str, kind: str, keys: str = "") -> str:
    return (
        f'[[parts]]\nname = "{name}"\nkind = "{kind}"\ntitle = "{name}"\nplace = "dash"\n{keys}\n'
    )


def case(name: str, text: str, *changes: tuple[str, str], told: str | list[str]) -> object:
    return pytest.param(edited(text, *changes), [told] if isinstance(told, str) else told, id=name)


W1 = "wires > no. 1 (W1) > "
C1 = "connectors > no. 1 (C1)"
BELL_PINS = 'pins = ["a", "b"]\nlabels = ["Bell'


def _names() -> Iterator[object]:
    def renamed(new: str) -> tuple[str, str]:
        return ('name = "F1"', f'name = "{new}"')

    for bad in ("F 1", "1F", "F-1", "F1\u00e9", "F.1", "x" * 41):
        told = f"parts > no. 2 ({bad}) > name: found '{bad}'; accepted: {NAME_RULE}"
        yield case(f"name {bad[:4]}", BELL, renamed(bad), told=told)
    yield case(
        "body",
        BELL,
        renamed("BODY"),
        told="parts > no. 2 (BODY) > name: BODY is the vehicle's body; accepted: another name",
    )
    yield case(
        "wire named as a part",
        BELL,
        ('name = "W3"', 'name = "relay"'),
        told="wires > no. 3 (relay) > name: found 'relay'; accepted: a name that nothing else "
        "has, and parts > no. 4 (relay) has this one",
    )
    yield case(
        "connector named as a wire",
        BELL,
        ('name = "W3"', 'name = "C1"'),
        told="wires > no. 3 (C1) > name: found 'C1'; accepted: a name that nothing else has, "
        "and connectors > no. 1 (C1) has this one",
    )
    yield case(
        "two places of a name",
        BELL,
        ('name = "loom"', 'name = "dash"'),
        told=[
            "places > no. 4 (dash) > name: found 'dash'; accepted: a name that nothing else has, "
            "and places > no. 2 (dash) has this one",
            "parts > no. 3 (S1) > place: found 'loom'; accepted: engine_bay, dash, pillar",
        ],
    )
    for place_of in ("parts > no. 1 (BAT)",):
        yield case(
            "unknown place",
            BELL,
            ('place = "engine_bay"', 'place = "engine_bey"'),
            told=f"{place_of} > place: found 'engine_bey'; did you mean 'engine_bay'?",
        )
    yield case(
        "connector in no place",
        BELL,
        ('title = "Bell connector"\nplace = "dash"', 'title = "Bell connector"\nplace = "das"'),
        told=f"{C1} > place: found 'das'; did you mean 'dash'?",
    )


def _wires() -> Iterator[object]:
    for name, end, told in [
        ("unknown terminal", "F1.inn", "found 'F1.inn'; did you mean 'F1.in'?"),
        ("unknown part", "F2.in", "found 'F2.in'; did you mean 'F1.in'?"),
        ("a part, no terminal", "relay", "found 'relay'; did you mean 'relay.87'?"),
        ("no such cavity", "C1.3", "found 'C1.3'; did you mean 'C1.2'?"),
        ("plugged terminal", "bell.a", "'bell.a' is plugged into C1.1; accepted: C1.1"),
        ("unit face", "C1.1@unit", "'C1.1@unit' is on the part's own face; accepted: C1.1"),
        ("both ends alike", "BAT.pos", "found 'BAT.pos'; accepted: another terminal than BAT.pos"),
    ]:
        yield case(name, BELL, ('end = "F1.in"', f'end = "{end}"'), told=f"{W1}end: {told}")
    yield case(
        "two names of one node",
        BELL,
        ('start = "C1.2"\nend = "G1"', 'start = "C1.2"\nend = "C1.2@harness"'),
        told="wires > no. 8 (W8) > end: found 'C1.2@harness'; accepted: another terminal than C1.2",
    )
    yield case(
        "in-line connector without a face",
        STEPS,
        ('end = "IL.1@harness"', 'end = "IL.1"'),
        told="wires > no. 14 (W14) > end: 'IL.1' has wires on both faces; "
        "accepted: IL.1@harness or IL.1@motor",
    )
    for colour, accepted in [
        ("red", f"one or two codes of {CODES}"),
        ("RDB", f"one or two codes of {CODES}"),
        ("RDBUGN", f"one or two codes of {CODES}"),
        ("", f"one or two codes of {CODES}"),
        ("RDRD", "RD, or two codes that differ"),
        ("GNYE", "codes other than GNYE, which is kept for protective conductors"),
        ("YEGN", "codes other than GNYE, which is kept for protective conductors"),
    ]:
        told = f"{W1}colour: found '{colour}'; accepted: {accepted}"
        yield case(f"colour {colour}", BELL, ('"RD"', f'"{colour}"'), told=told)
    for length, accepted in [("0", "above 0"), ("0.001", "0.01 to 200"), ("900", "0.01 to 200")]:
        told = f"{W1}length_m: found {float(length)}; accepted: {accepted}"
        yield case(f"length {length}", BELL, ("length_m = 0.6", f"length_m = {length}"), told=told)


def _connectors() -> Iterator[object]:
    def pins(new: str) -> tuple[str, str]:
        return (BELL_PINS, f'{new}labels = ["Bell')

    yield case(
        "no such pin",
        BELL,
        pins('pins = ["a", "c"]\n'),
        told=f"{C1} > pins > no. 2: found 'c'; accepted: a, b",
    )
    yield case(
        "pin plugged twice",
        BELL,
        pins('pins = ["a", "a"]\n'),
        told=f"{C1} > pins > no. 2: found 'a'; accepted: a terminal that is plugged once, "
        "and C1 cavity 1 has this one",
    )
    yield case(
        "pin plugged by two connectors",
        STEPS,
        ('pins = ["left_a", "left_b"', 'pins = ["request", "left_b"'),
        told="connectors > no. 2 (C2) > pins > no. 1: found 'request'; "
        "accepted: a terminal that is plugged once, and C1 cavity 1 has this one",
    )
    yield case(
        "fewer pins than labels",
        BELL,
        pins('pins = ["a"]\n'),
        told=f"{C1} > pins: found a list of 1; accepted: as many as labels, 2",
    )
    yield case(
        "spares alone",
        BELL,
        pins('pins = ["", ""]\n'),
        told=f"{C1} > pins: found only spares; accepted: a terminal of bell",
    )
    yield case(
        "unknown part",
        BELL,
        ('part = "bell"', 'part = "bel"'),
        told=f"{C1} > part: found 'bel'; did you mean 'bell'?",
    )
    yield case(
        "in-line connector with pins",
        STEPS,
        ('faces = ["harness", "motor"]', 'faces = ["harness", "motor"]\npins = ["a", "b"]'),
        told="connectors > no. 4 (IL) > pins: found a list of 2; "
        "accepted: no pins in an in-line connector, or the part that it plugs into",
    )
    yield case(
        "faces alike",
        BELL,
        ('part = "bell"', 'part = "bell"\nfaces = ["unit", "unit"]'),
        told=f"{C1} > faces: found 'unit'; accepted: two names that differ",
    )
    yield case(
        "face that no wire could name",
        BELL,
        ('part = "bell"', 'part = "bell"\nfaces = ["harness", "a b"]'),
        told=f"{C1} > faces: found 'a b'; accepted: a letter, then letters, digits and _",
    )
    yield case(
        "no cavities",
        BELL + '[[connectors]]\nname = "C9"\ntitle = "x"\nplace = "dash"\nlabels = []\n',
        told="connectors > no. 3 (C9) > labels: found a list of 0; accepted: 1 to 60 labels",
    )
    yield case(
        "no columns",
        BELL,
        ('part = "bell"', 'part = "bell"\ncolumns = 0'),
        told=f"{C1} > columns: found 0; accepted: 1 to 60",
    )
    yield case(
        "label without words",
        BELL,
        ('"Bell ground"', '" "'),
        told=f"{C1} > labels > no. 2: found ''; accepted: one line of 1 to 60 characters",
    )


def _parts() -> Iterator[object]:
    push = "parts > no. 6 (push)"
    yield case(
        "contact to itself",
        BELL,
        ('a = "a", b = "b"', 'a = "a", b = "a"'),
        told=[
            f"{push}: 'push.contact' joins push.a to itself; accepted: two ends",
            "connectors > no. 2 (C2) > pins > no. 2: found 'b'; accepted: a",
        ],
    )
    yield case(
        "positions twice",
        BELL,
        ('positions = ["released", "pressed"]', 'positions = ["released", "pressed", "pressed"]'),
        told=f"{push}: positions: found 'pressed' 2 times; accepted: each named once",
    )
    yield case(
        "twenty-five positions",
        BELL,
        ('"pressed"]\nrests', f'"pressed", {", ".join(repr(str(n)) for n in range(23))}]\nrests'),
        told=f"{push}: positions: found a list of 25; accepted: up to 24",
    )
    yield case(
        "contacts of one name",
        STEPS,
        ('{ name = "deploy", a', '{ name = "lamps", a'),
        told="parts > no. 6 (rocker): 'rocker.lamps' is there twice; accepted: once",
    )
    yield case(
        "terminals of one name",
        STEPS,
        ('{ name = "left", feed = "feed_left" }', '{ name = "left", feed = "ground" }'),
        told=[
            "parts > no. 8 (unit): terminal 'ground' is there 2 times; accepted: once",
            "connectors > no. 1 (C1) > pins > no. 2: found 'feed_left'; did you mean 'feed_right'?",
        ],
    )
    yield case(
        "no channels",
        STEPS,
        ('[{ name = "left", feed = "feed_left" }, { name = "right", feed = "feed_right" }]', "[]"),
        told="parts > no. 8 (unit): channels is empty; accepted: at least one channel",
    )
    yield case(
        "controller never sleeps",
        STEPS,
        ("channels = [", "wake_volt = 6\nchannels = ["),
        told="parts > no. 8 (unit): sleep_volt is 7.5; accepted: below wake_volt, 6.0",
    )
    yield case(
        "terminal that no wire could name",
        BELL
        + part(
            "spare",
            "switch",
            'positions = ["p"]\nrests = "p"\n'
            'contacts = [{ name = "c", a = "x.y", b = "z", closed = [] }]',
        ),
        told="parts > no. 9 (spare): terminal 'x.y'; accepted: letters, digits and _",
    )
    yield case(
        "switch without contacts",
        BELL + part("spare", "switch", 'positions = ["p"]\nrests = "p"\ncontacts = []'),
        told="parts > no. 9 (spare): found no terminals; accepted: at least one contact",
    )


def _the_rest() -> Iterator[object]:
    for name, wires, told in [
        ("unknown wire", '["W5", "W77"]', "wires > no. 2: found 'W77'; did you mean 'W7'?"),
        ("one wire", '["W5"]', "wires: found a list of 1; accepted: two wires or more"),
        ("a wire twice", '["W5", "W5"]', "wires: found a wire twice; accepted: each once"),
    ]:
        change = ('["W5", "W7"]', wires)
        yield case(f"bundle of {name}", BELL, change, told=f"bundles > no. 1 > {told}")
    for name, pair, told in [
        ("unknown name", '["W5", "W77"]', "no. 2: found 'W77'; did you mean 'W7'?"),
        ("a name twice", '["W5", "W5"]', "no. 2: found 'W5'; accepted: each name once"),
    ]:
        change = ("[[bundles]]", f"[[mirror]]\npair = {pair}\n[[bundles]]")
        yield case(f"mirror of {name}", BELL, change, told=f"mirror > no. 1 > pair > {told}")
    for name, keys, told in [
        ("unknown name", 'name = "W77"\nshare = 0.4', "name: found 'W77'; did you mean 'W7'?"),
        (
            "name twice",
            'name = "W7"\nshare = 0.4\n[[unsure]]\nname = "W7"\nshare = 0.4\n',
            "name: found 'W7'; accepted: each name once",
        ),
        ("share", 'name = "W7"\nshare = 0.9', "share: found 0.9; accepted: 0 to 0.6"),
    ]:
        number = "no. 2" if "twice" in name else "no. 1"
        where = f"unsure > {number} ({'W77' if 'unknown' in name else 'W7'}) > "
        change = ("[[bundles]]", f"[[unsure]]\n{keys}\n[[bundles]]")
        yield case(f"unsure: {name}", BELL, change, told=where + told)
    for name, keys, told in [
        ("unknown part", 'part = "bel"', "part: found 'bel'; did you mean 'bell'?"),
        ("unknown side", 'part = "bell"\nleft = ["c"]', "left: found 'c'; accepted: a, b, C1"),
        (
            "both sides",
            'part = "bell"\nleft = ["a"]\nright = ["a"]',
            "right: found 'a'; accepted: each terminal on one side",
        ),
        (
            "part twice",
            'part = "push"\n[[hints]]\npart = "push"\n',
            "part: found 'push'; accepted: one hint for each part",
        ),
        ("rank", 'part = "bell"\nrank = -1', "rank: found -1; accepted: 0 to 400"),
    ]:
        change = ("[[bundles]]", f"[[hints]]\n{keys}\n[[bundles]]")
        yield case(
            f"hint: {name}", BELL, change, told=f"hints > no. {1 + keys.count('[[')} > {told}"
        )
    for name, live_wire, told in [
        ("unknown", "F1.outt", "found 'F1.outt'; did you mean 'F1.out'?"),
        ("plugged", "bell.a", "'bell.a' is plugged into C1.1; accepted: C1.1"),
        (
            "not constant",
            "relay.87",
            "relay.87 has no constant feed; accepted: a terminal that a battery's positive post "
            "reaches with every switch as found",
        ),
    ]:
        change = ('live_wire = "F1.out"', f'live_wire = "{live_wire}"')
        yield case(f"live wire {name}", BELL, change, told=f"live_wire: {told}")
    yield case(
        "minutes",
        BELL,
        ("minutes = 4", "minutes = -4"),
        told="places > no. 2 (dash) > minutes: found -4.0; accepted: 0 to 600",
    )


TABLE = [*_names(), *_wires(), *_connectors(), *_parts(), *_the_rest()]


@pytest.mark.parametrize(("text", "told"), TABLE)
def test_each_rule_tells_its_sentence_alone(text: str, told: list[str]) -> None:
    assert problems(text) == tuple(f"mine.toml: {what}" for what in told)


BAT = "parts > no. 1 (BAT)"
TO_GROUND = "accepted: a ground wire from BAT.neg to BODY or to a ground point"
LOAD = "accepted: a load between the posts"

GRAPHS = [
    case(
        "no battery",
        BELL,
        ('kind = "battery"', 'kind = "resistor"'),
        ("volt = 12.65\n", ""),
        ('"BAT.pos"', '"BAT.a"'),
        ('"BAT.neg"', '"BAT.b"'),
        told="parts: found no battery; accepted: at least one part of kind 'battery'",
    ),
    case(
        "nine batteries",
        BELL + "".join(part(f"BAT{n}", "battery", "volt = 12\nohm = 0.01") for n in range(8)),
        told="parts: found 9 batteries; accepted: up to 8",
    ),
    case(
        "no ground",
        BELL,
        ('start = "BAT.neg"\nend = "BODY"', 'start = "G1"\nend = "BODY"'),
        told=[
            f"{BAT}: BAT.neg is joined to nothing; accepted: a wire to each terminal",
            f"{BAT}: found no path from BAT.neg to BODY; {TO_GROUND}",
        ],
    ),
    case(
        "ground through a load",
        BELL + part("R1", "resistor", "ohm = 5") + wire("W10", "BAT.neg", "R1.a"),
        ('start = "BAT.neg"\nend = "BODY"', 'start = "R1.b"\nend = "BODY"'),
        told=f"{BAT}: found no path from BAT.neg to BODY; {TO_GROUND}",
    ),
    case(
        "loose terminals",
        BELL + part("R1", "resistor", "ohm = 5"),
        told="parts > no. 9 (R1): R1.a and R1.b are joined to nothing; "
        "accepted: a wire to each terminal",
    ),
    case(
        "loose ground point",
        BELL + part("G3", "ground"),
        told="parts > no. 9 (G3): G3 is joined to nothing; accepted: a wire to each terminal",
    ),
    case(
        "loose cavity",
        STEPS,
        ('start = "C1.5"', 'start = "BODY"'),
        told="connectors > no. 1 (C1): C1.5 is joined to nothing; "
        "accepted: a wire, or a label that begins with Spare",
    ),
    case(
        "wire to an empty cavity",
        STEPS + wire("W25", "C1.6", "G1"),
        ('"Spare"', '"Sixth"'),
        told="connectors > no. 1 (C1): C1.6@unit is joined to nothing; "
        "accepted: a pin of the part, or a label that begins with Spare",
    ),
    case(
        "in-line connector wired on one face",
        STEPS,
        ('end = "IL.1@harness"', 'end = "IL.2@harness"'),
        told="connectors > no. 4 (IL): IL.1@harness is joined to nothing; "
        "accepted: a wire to both faces, or a label that begins with Spare",
    ),
    case(
        "floating island",
        BELL
        + part("R1", "resistor", "ohm = 5")
        + part("R2", "resistor", "ohm = 5")
        + wire("W10", "R1.a", "R2.a")
        + wire("W11", "R1.b", "R2.b"),
        told="parts: R1.a, R1.b, R2.a and R2.b are joined to each other alone; "
        "accepted: a path to the battery and the body",
    ),
    case(
        "shorted by wires",
        BELL + wire("W10", "BAT.pos", "G1"),
        told=f"{BAT}: W10, G1 and W9 join its posts with no load between and no fuse; {LOAD}",
    ),
    case(
        "shorted post to post",
        BELL + wire("W10", "BAT.pos", "BAT.neg"),
        told=f"{BAT}: W10 joins its posts with no load between and no fuse; {LOAD}",
    ),
    case(
        "shorted through a fuse",
        BELL + wire("W10", "S1.out", "BODY"),
        told=f"{BAT}: W1, F1, W2, S1, W10 and W9 join its posts with no load between, "
        f"so F1 would blow; {LOAD}",
    ),
    case(
        "shorted when the push is pressed",
        BELL + wire("W10", "S1.out", "C2.1"),
        told=f"{BAT}: W1, F1, W2, S1, W10, C2.1, push, C2.2, W6, G2 and W9 join its posts with "
        f"no load between, so F1 would blow; {LOAD}",
    ),
]


@pytest.mark.parametrize(("text", "told"), GRAPHS)
def test_what_the_wires_join_is_judged(text: str, told: list[str]) -> None:
    assert problems(text) == tuple(f"mine.toml: {what}" for what in told)


SECOND = part("BAT2", "battery", "volt = 12.6\nohm = 0.01")

GOOD = [
    case(
        "two batteries in parallel",
        BELL + SECOND + wire("W10", "BAT2.neg", "G1") + wire("W11", "BAT2.pos", "BAT.pos"),
        told=[],
    ),
    case(
        "two batteries in series",
        BELL + SECOND + wire("W10", "BAT2.neg", "BODY"),
        ('start = "BAT.neg"\nend = "BODY"', 'start = "BAT.neg"\nend = "BAT2.pos"'),
        told=[],
    ),
    case("wire to a spare cavity", STEPS + wire("W25", "C1.6", "G1"), told=[]),
    case(
        "the wired face by its full name", BELL, ('end = "C2.1"', 'end = "C2.1@harness"'), told=[]
    ),
    case("battery grounded at a ground point", BELL, ('end = "BODY"', 'end = "G1"'), told=[]),
    case(
        "hints",
        BELL + '[[hints]]\npart = "bell"\nrank = 4\nrow = 1.5\nleft = ["C1"]\n'
        '[[hints]]\npart = "push"\nright = ["a"]\n',
        told=[],
    ),
    case(
        "a changeover switch that could short if both contacts closed",
        BELL
        + part(
            "flip",
            "switch",
            'positions = ["up", "down"]\nrests = "down"\ncontacts = [\n'
            '{ name = "up", a = "feed", b = "out", closed = ["up"] },\n'
            '{ name = "down", a = "ground", b = "out", closed = ["down"] }]',
        )
        + part("R1", "resistor", "ohm = 5")
        + wire("W10", "S1.out", "flip.feed")
        + wire("W11", "flip.ground", "G1")
        + wire("W12", "flip.out", "R1.a")
        + wire("W13", "R1.b", "G1"),
        told=[],
    ),
]


@pytest.mark.parametrize(("text", "told"), GOOD)
def test_sound_circuits_are_not_complained_of(text: str, told: list[str]) -> None:
    assert problems(text) == tuple(told)


def test_what_names_an_unreadable_part_is_not_judged_too() -> None:
    text = edited(STEPS, ('kind = "reversing_controller"', 'kind = "controller"'))
    (sentence,) = problems(text)
    assert sentence.startswith("mine.toml: parts > no. 8 (unit) > kind: found 'controller'; ")


def test_a_circuit_made_in_the_program_is_checked_as_a_file_is() -> None:
    circuit = library_circuit("call_bell")
    longer = (replace(circuit.wires[0], length_m=-1.0), *circuit.wires[1:])
    assert check_circuit(replace(circuit, wires=longer)) == (
        "call_bell: wires > no. 1 (W1) > length_m: found -1.0; accepted: above 0",
    )
    assert check_circuit(replace(circuit, wires=circuit.wires[:-1])) == (
        "call_bell: parts > no. 1 (BAT): BAT.neg is joined to nothing; "
        "accepted: a wire to each terminal",
        f"call_bell: parts > no. 1 (BAT): found no path from BAT.neg to BODY; {TO_GROUND}",
    )


def test_a_draft_of_a_whole_circuit_names_every_entry_once() -> None:
    circuit = library_circuit("side_steps")
    draft = draft_of(circuit)
    named = (circuit.places, circuit.parts, circuit.connectors, circuit.wires)
    assert len(draft.names) == sum(map(len, named))
    assert draft.where["wires"][3] == "wires > no. 4 (W4)"


def test_a_feed_conducts_to_the_rocker_and_not_through_a_lamp() -> None:
    circuit = library_circuit("side_steps")
    graph = conductor_graph(circuit, next(settings_of(circuit)))
    assert path_between(graph, "BAT.pos", "C3.1@unit") == ["W3", "F3", "W6", "key", "W7", "C3.1"]
    assert path_between(graph, "left_lamp.a", "left_lamp.b") == []
    assert path_between(graph, "BAT.pos", BODY) == []


@pytest.mark.parametrize("name", circuit_names())
def test_colours_are_one_or_two_iec_codes_and_none_is_gnye(name: str) -> None:
    """IEC 60757:2021, letter codes as quoted in an extract."""
    one_or_two = re.compile(f"({'|'.join(COLOURS)}){{1,2}}")
    for each in library_circuit(name).wires:
        assert one_or_two.fullmatch(each.colour)
        assert each.colour not in ("GNYE", "YEGN")

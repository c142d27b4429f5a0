"""What a tester sets before reading: made from names, checked, put into words, stored."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any, Literal, TypedDict, Unpack, cast, get_args

from circuits.model import Circuit, CircuitError, Jumper, Part, Setting
from circuits.parts.switching import Positioned
from circuits.points import find_point, nearest
from circuits.spec import MOMENTS, Moment

MOVERS = ("motor", "starter")
"""The sorts of part that move, so that a reading can be taken while they do."""

MOMENT_WORDS: Mapping[Moment, str] = {
    "just_operated": "just operated",
    "moving": "while moving",
    "at_rest": "at rest",
}


class SettingParts(TypedDict, total=False):
    """What ``setting_from`` takes; whatever is left out is as found."""

    positions: Mapping[str, str]
    unmated: Iterable[str]
    pulled: Iterable[str]
    isolated: bool
    jumpers: Iterable[tuple[str, str]]
    moment: str | None
    moved: str
    warm: bool


def switches(circuit: Circuit) -> Iterator[tuple[str, Positioned]]:
    """Yield the switches of a circuit by name, in the order of its file."""
    for part in circuit.parts:
        if isinstance(part.spec, Positioned):
            yield part.name, part.spec


def setting_from(circuit: Circuit, **parts: Unpack[SettingParts]) -> Setting:
    """Return the setting that these names make, in the one form that compares equal.

    A switch named in the position in which it is found is left out. Without a moment, it
    is *moving* when a switch is out of the position it is found in and the circuit has a
    motor, else *at rest*.

    Raises
    ------
    CircuitError
        If the circuit has no such thing, or two of them contradict each other.
    """
    found = {name: spec.rests for name, spec in switches(circuit)}
    positions = tuple(
        sorted(p for p in parts.get("positions", {}).items() if found.get(p[0]) != p[1])
    )
    moment = parts.get("moment") or usual_moment(circuit, dict(positions))
    setting = Setting(
        positions=positions,
        unmated=frozenset(parts.get("unmated", ())),
        pulled=frozenset(parts.get("pulled", ())),
        isolated=parts.get("isolated", False),
        jumpers=tuple(Jumper(*ends) for ends in parts.get("jumpers", ())),
        moment=cast("Moment", moment),
        moved=parts.get("moved", ""),
        warm=parts.get("warm", False),
    )
    return check_setting(circuit, setting)


def usual_moment(circuit: Circuit, positions: Mapping[str, str]) -> Moment:
    """Return the moment at which a reading is taken when nobody says."""
    out = any(positions.get(name, spec.rests) != spec.rests for name, spec in switches(circuit))
    return "moving" if out and has_mover(circuit) else "at_rest"


def has_mover(circuit: Circuit) -> bool:
    """Say whether anything in the circuit moves."""
    return any(part.spec.sort in MOVERS for part in circuit.parts)


def moments(circuit: Circuit) -> tuple[Moment, ...]:
    """Return the moments at which a reading may differ, in their order; none if all are alike.

    Where anything moves they are all three.
    """
    found = {moment for part in circuit.parts for moment in part.spec.passing}
    return tuple(moment for moment in MOMENTS if moment in found)


def check_setting(circuit: Circuit, setting: Setting) -> Setting:
    """Return the setting if a tester can bring the circuit into it.

    Raises
    ------
    CircuitError
        One sentence for each thing that the circuit lacks or that cannot be.
    """
    problems = [
        *_position_problems(circuit, setting),
        *_unknown("connector", setting.unmated, circuit.connector_by_name, circuit),
        *_unknown("fuse", setting.pulled, _fuses(circuit), circuit),
        *_jumper_problems(circuit, setting),
        *_moved_problems(circuit, setting),
    ]
    if setting.moment not in MOMENTS:
        problems.append(f"moment {setting.moment!r}: accepted: {', '.join(MOMENTS)}")
    if problems:
        raise CircuitError(*problems)
    return setting


def _fuses(circuit: Circuit) -> tuple[str, ...]:
    return tuple(part.name for part in circuit.parts if part.spec.sort == "fuse")


def _unknown(
    what: str, found: Iterable[str], known: Iterable[str], circuit: Circuit
) -> Iterator[str]:
    names = tuple(known)
    for name in sorted(set(found) - set(names)):
        yield f"{what} {name!r}: {circuit.name} has none such{nearest(name, names)}"


def _position_problems(circuit: Circuit, setting: Setting) -> Iterator[str]:
    known = dict(switches(circuit))
    named = [name for name, _ in setting.positions]
    yield from _unknown("switch", named, known, circuit)
    for name in sorted({name for name in named if named.count(name) > 1}):
        yield f"switch {name}: set to two positions; accepted: one"
    for name, position in setting.positions:
        if name in known and position not in known[name].positions:
            names = known[name].positions
            yield f"switch {name}: has no position {position!r}{nearest(position, names)}"


def _jumper_problems(circuit: Circuit, setting: Setting) -> Iterator[str]:
    for number, lead in enumerate(setting.jumpers, start=1):
        nodes = set()
        try:
            for end in (lead.start, lead.end):
                nodes.add(find_point(circuit, setting, end).node)
        except CircuitError as error:
            yield f"jumper {number}: {error.problems[0]}"
            continue
        if len(nodes) == 1:
            yield (
                f"jumper {number}: both ends are on {lead.start}; "
                "accepted: two different test points"
            )


def with_exposed_jumpers(circuit: Circuit, setting: Setting) -> Setting:
    """Return the setting without the jumpers that have an end where the setting lets no clip."""
    kept = tuple(
        lead
        for lead in setting.jumpers
        if not any(_jumper_problems(circuit, replace(setting, jumpers=(lead,))))
    )
    return replace(setting, jumpers=kept)


def crossed_jumpers(one: Jumper, other: Jumper) -> tuple[Jumper, Jumper]:
    """Return two jumper leads crossed: what they feed gets the other polarity.

    The ends that change places are those on one connector or part, so that leads that were
    clipped on the other way about are not put across the supply.
    """
    if _owner(one.end) == _owner(other.start) or _owner(one.start) == _owner(other.end):
        return Jumper(one.start, other.start), Jumper(one.end, other.end)
    return Jumper(one.start, other.end), Jumper(other.start, one.end)


def _owner(point: str) -> str:
    return point.partition(".")[0]


def _moved_problems(circuit: Circuit, setting: Setting) -> Iterator[str]:
    moved = setting.moved
    if not moved:
        return
    yield from _unknown(
        "wiggle",
        [moved],
        (*circuit.connector_by_name, *circuit.part_by_name, *circuit.wire_by_name),
        circuit,
    )
    if moved in setting.unmated:
        yield f"wiggle {moved}: the connector is unplugged; accepted: one that is mated, or a part"
    if moved in setting.pulled:
        yield f"wiggle {moved}: the fuse is out; accepted: one that is in its holder"


def setting_words(circuit: Circuit, setting: Setting) -> str:
    """Return a setting in words: ``key On, rocker Deploy, C2 unplugged, while moving``."""
    words = [
        f"{name} {spec.label(setting.position(name, spec.rests))}"
        for name, spec in switches(circuit)
    ]
    words += [f"{name} unplugged" for name in _in_order(circuit, setting.unmated)]
    words += [f"{name} out" for name in _in_order(circuit, setting.pulled)]
    words += ["battery isolated"] if setting.isolated else []
    words += [f"jumper {lead.start} to {lead.end}" for lead in setting.jumpers]
    words += ["warmed up"] if setting.warm else []
    if setting.moved:
        how = "tapped" if setting.moved in circuit.part_by_name else "wiggled"
        words.append(f"{setting.moved} {how}")
    if has_mover(circuit) or setting.moment != "at_rest":
        words.append(MOMENT_WORDS[setting.moment])
    return ", ".join(words) or "as found"


def _in_order(circuit: Circuit, names: Iterable[str]) -> list[str]:
    """Return names of parts and connectors in the order of the circuit's file."""
    things: tuple[Part | Any, ...] = (*circuit.parts, *circuit.connectors)
    order = {thing.name: number for number, thing in enumerate(things)}
    return sorted(names, key=lambda name: (order.get(name, len(order)), name))


def setting_to_json(setting: Setting) -> dict[str, Any]:
    """Return a setting as plain data that JSON can hold, the same for equal settings."""
    return {
        "positions": dict(setting.positions),
        "unmated": sorted(setting.unmated),
        "pulled": sorted(setting.pulled),
        "isolated": setting.isolated,
        "jumpers": [[lead.start, lead.end] for lead in setting.jumpers],
        "moment": setting.moment,
        "moved": setting.moved,
        "warm": setting.warm,
    }


_Shape = Literal["text", "yes or no", "a table of texts", "a list of texts", "a list of pairs"]

_SHAPES: Mapping[str, _Shape] = {
    "positions": "a table of texts",
    "unmated": "a list of texts",
    "pulled": "a list of texts",
    "isolated": "yes or no",
    "jumpers": "a list of pairs",
    "moment": "text",
    "moved": "text",
    "warm": "yes or no",
}


def setting_from_json(data: Mapping[str, Any]) -> Setting:
    """Return the setting that ``setting_to_json`` made; what is left out is as found.

    Whether a circuit has all that it names is for ``check_setting`` to say.

    Raises
    ------
    CircuitError
        If a key or its value is not one that a setting has.
    """
    problems = [
        f"setting: has no key {key!r}{nearest(key, _SHAPES)}" for key in data.keys() - _SHAPES
    ]
    problems += [
        f"setting: {key} is {data[key]!r}; accepted: {shape}"
        for key, shape in _SHAPES.items()
        if key in data and not _fits(shape, data[key])
    ]
    moment = data.get("moment", "at_rest")
    if not problems and moment not in get_args(Moment):
        problems.append(f"setting: moment is {moment!r}{nearest(moment, MOMENTS)}")
    if problems:
        raise CircuitError(*problems)
    return Setting(
        positions=tuple(sorted(data.get("positions", {}).items())),
        unmated=frozenset(data.get("unmated", ())),
        pulled=frozenset(data.get("pulled", ())),
        isolated=data.get("isolated", False),
        jumpers=tuple(Jumper(*ends) for ends in data.get("jumpers", ())),
        moment=moment,
        moved=data.get("moved", ""),
        warm=data.get("warm", False),
    )


def _texts(found: Any, length: int | None = None) -> bool:
    return (
        isinstance(found, list | tuple)
        and all(isinstance(item, str) for item in found)
        and (length is None or len(found) == length)
    )


def _fits(shape: _Shape, found: Any) -> bool:
    match shape:
        case "text":
            return isinstance(found, str)
        case "yes or no":
            return isinstance(found, bool)
        case "a table of texts":
            return isinstance(found, Mapping) and _texts([*found, *found.values()])
        case "a list of texts":
            return _texts(found)
        case "a list of pairs":
            return isinstance(found, list | tuple) and all(_texts(pair, 2) for pair in found)

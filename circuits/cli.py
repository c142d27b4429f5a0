"""The command line: circuits listed, shown, read, drawn, checked and written as decks.

A command prints its answer and returns 0, or one sentence on standard error and returns 2.
What solves or draws is imported by the command that needs it.
"""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from circuits.arguments import (
    circuit_argument,
    circuit_named,
    draw_arguments,
    file_argument,
    measurement_of,
    no_arguments,
    read_arguments,
    vehicle_arguments,
    vehicle_of,
)
from circuits.commands import Command, answer, tell

if TYPE_CHECKING:
    from circuits.measurement import Measurement


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0, or 2 after one sentence on stderr."""
    return answer("python -m circuits", __doc__ or "", COMMANDS, argv)


def _list(options: argparse.Namespace) -> int:
    from circuits.files import circuit_names, library_circuit  # noqa: PLC0415
    from circuits.listing import summary_data  # noqa: PLC0415

    rows = [summary_data(library_circuit(name)) for name in circuit_names()]
    lines = (f"{row['name']:<16}{row['title']}: {row['summary']}" for row in rows)
    return tell(options, {"circuits": rows}, lines)


def _show(options: argparse.Namespace) -> int:
    from circuits.listing import circuit_data  # noqa: PLC0415

    data = circuit_data(circuit_named(options.circuit))
    return tell(options, data, _show_lines(data))


def _show_lines(data: Mapping[str, Any]) -> Iterable[str]:
    yield f"{data['title']} ({data['name']})"
    yield data["summary"]
    for name, text in data["views"].items():
        yield f"\n{name.capitalize()}"
        yield textwrap.fill(" ".join(text.split()), 96)
    yield "\nParts"
    yield from _columns((p["name"], p["sort"], p["title"], p["place"]) for p in data["parts"])
    yield "\nSwitches"
    yield from _columns(
        (s["name"], ", ".join(s["positions"]), f"rests in {s['rests']}") for s in data["switches"]
    )
    for connector in data["connectors"]:
        yield f"\n{connector['title']} {connector['name']}"
        yield from _columns((str(c["cavity"]), c["label"]) for c in connector["cavities"])
    yield "\nWires"
    yield from _columns(
        (w["name"], w["colour"], f"{w['area_mm2']:g} mm2", f"{w['length_m']:g} m", *_ends(w))
        for w in data["wires"]
    )
    yield "\nHealthy, volts against the body"
    settings = data["healthy"]
    for number, row in enumerate(settings, start=1):
        yield f"  ({number}) {row['setting']}"
    heads = ("cavity", *(f"({number})" for number in range(1, len(settings) + 1)))
    cavities = settings[0]["volts"]
    yield from _columns(
        [heads, *((point, *(row["volts"][point] for row in settings)) for point in cavities)]
    )


def _ends(wire: Mapping[str, Any]) -> tuple[str, str]:
    return (wire["start"], wire["end"])


def _columns(rows: Iterable[Sequence[str]]) -> Iterable[str]:
    """Yield rows as lines of aligned columns."""
    table = [tuple(row) for row in rows]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    for row in table:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        yield "  " + "  ".join(cells).rstrip()


def _points(options: argparse.Namespace) -> int:
    from circuits.listing import points_data  # noqa: PLC0415

    rows = points_data(circuit_named(options.circuit))
    lines = _columns(
        (r["name"], r["title"], r["place"], f"{r['minutes']:g} min", r["exposed"]) for r in rows
    )
    return tell(options, {"points": rows}, lines)


def _faults(options: argparse.Namespace) -> int:
    from circuits.listing import faults_data  # noqa: PLC0415

    rows = faults_data(circuit_named(options.circuit))
    lines = _columns(
        (
            f"{r['place']}:{r['kind']}",
            f"{r['title']}: {r['words']}",
            " ".join(f"{value:g}" for value in r["severities"]),
            r["unit"],
        )
        for r in rows
    )
    return tell(options, {"faults": rows}, lines)


def _read(options: argparse.Namespace) -> int:
    what, vehicle = measurement_of(options), vehicle_of(options)
    from circuits.instruments import read  # noqa: PLC0415
    from circuits.listing import reading_data  # noqa: PLC0415

    data = reading_data(vehicle, read(vehicle, what))
    return tell(options, {**data, "where": what.where()}, _reading_lines(data, what))


def _reading_lines(data: Mapping[str, Any], what: Measurement) -> Iterable[str]:
    yield f"{shown(data['display'], data['unit'])}{', beeps' if data['beep'] else ''}"
    yield f"  {what.instrument}, {what.where()}; {data['setting']}"
    if data["blown"]:
        yield f"  blown: {', '.join(data['blown'])}"
    for caution in data["cautions"]:
        yield f"  caution: {caution}"


def shown(display: str, unit: str) -> str:
    """Return a display with its unit: ``12.61 V``, ``44.21 kΩ``, ``OL``, ``bright``.

    >>> shown("44.21k", "Ω"), shown("OL", "V"), shown("12.61", "V")
    ('44.21 kΩ', 'OL', '12.61 V')
    """
    if not any(character.isdigit() for character in display):
        return display
    number = display.rstrip("kM")
    return f"{number} {display[len(number) :]}{unit}"


def _netlist(options: argparse.Namespace) -> int:
    vehicle = vehicle_of(options)
    from circuits.netlist import netlist  # noqa: PLC0415

    text = netlist(vehicle)
    return tell(options, {"netlist": text}, [text.rstrip()])


def _draw(options: argparse.Namespace) -> int:
    vehicle = vehicle_of(options)
    from circuits.drawing import draw  # noqa: PLC0415

    svg = draw(vehicle.circuit, vehicle.setting, theme="print")
    options.output.write_text(svg, encoding="utf-8")
    return tell(options, {"file": str(options.output)}, [f"drawn: {options.output}"])


def _check(options: argparse.Namespace) -> int:
    from circuits.files import check_circuit_file  # noqa: PLC0415

    problems = check_circuit_file(options.file)
    data = {"file": str(options.file), "problems": list(problems)}
    if problems and not options.json:
        print("\n".join(problems), file=sys.stderr)
    else:
        tell(options, data, [f"{options.file}: good"])
    return 2 if problems else 0


COMMANDS: Mapping[str, Command] = {
    "list": (_list, "the circuits of the library", no_arguments),
    "show": (_show, "what a circuit is made of and what it reads healthy", circuit_argument),
    "points": (_points, "where a probe can touch", circuit_argument),
    "faults": (_faults, "which faults a circuit can have", circuit_argument),
    "read": (_read, "what an instrument shows", read_arguments),
    "netlist": (_netlist, "a deck that ngspice -b runs as it is", vehicle_arguments),
    "draw": (_draw, "the circuit as SVG; faults are checked, never drawn", draw_arguments),
    "check": (_check, "every problem of a circuit file", file_argument),
}

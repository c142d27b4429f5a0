"""Circuit files: TOML in, ``Circuit`` out. The only opener of files in this package."""

import hashlib
import json
import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from circuits.model import (
    Circuit,
    CircuitError,
    Connector,
    Hint,
    Part,
    Place,
    Views,
    Wire,
)
from circuits.parts.kinds import KINDS
from circuits.points import nearest

LIBRARY = Path(__file__).parent / "library"


def circuit_names() -> tuple[str, ...]:
    """Return the names of the circuits in the library."""
    return tuple(sorted(path.stem for path in LIBRARY.glob("*.toml")))


@lru_cache(maxsize=64)
def library_circuit(name: str) -> Circuit:
    """Return a circuit of the library by name."""
    if name not in circuit_names():
        raise CircuitError(f"circuit {name!r}: not in the library{nearest(name, circuit_names())}")
    return load_circuit(LIBRARY / f"{name}.toml")


def load_circuit(path: Path) -> Circuit:
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    return circuit_from(data, name=path.stem)


def circuit_from(data: dict[str, Any], *, name: str) -> Circuit:
    digest = hashlib.sha256(json.dumps([name, data], sort_keys=True).encode()).hexdigest()
    parts = []
    for row in data.get("parts", []):
        row = dict(row)
        common = {key: row.pop(key) for key in ("name", "title", "place", "short") if key in row}
        spec = TypeAdapter(KINDS[row.pop("kind")]).validate_python(row)
        parts.append(Part(**common, spec=spec))
    many = lambda key, kind: tuple(TypeAdapter(kind).validate_python(r) for r in data.get(key, []))
    return Circuit(
        name=name,
        title=data["title"],
        summary=data["summary"],
        places=many("places", Place),
        parts=tuple(parts),
        connectors=many("connectors", Connector),
        wires=many("wires", Wire),
        live_wire=data["live_wire"],
        bundles=tuple(tuple(b["wires"]) for b in data.get("bundles", [])),
        views=TypeAdapter(Views).validate_python(data.get("views", {})),
        hints=many("hints", Hint),
        digest=digest,
    )

"""A process that builds tables ahead, so that no learner waits for one.

``python -m exercises.planning.worker FOLDER`` builds the tables of all circuits of the
library that the folder lacks, the smallest first, and then waits. A line of JSON on its
standard input is a wish, ``{"name": ..., "circuit": ...}`` with the data of a circuit file, null
for one of the library: that table is built before the others, also in the midst of one. A
line of JSON on its standard output tells how far the table of a circuit is,
``{"digest": ..., "share": ...}``, or that it cannot be built, ``{"digest": ..., "refused": ...}``
with the reason. It ends when its input does, so it never outlives the process that started
it, however that one ends.
"""

import json
import logging
import os
import sys
import threading
from collections.abc import Callable, Iterable
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any, TextIO

from circuits.faults import all_faults
from circuits.files import circuit_from, circuit_names, library_circuit
from circuits.model import Circuit, CircuitError
from exercises.planning.ahead import build_ahead
from exercises.planning.allowed import allowed_settings
from exercises.planning.keep import file_of
from exercises.planning.table import Table

LOWEST = 19
"""How far the process stands back behind all others."""

Tell = Callable[[dict[str, Any]], None]
Build = Callable[..., Table]


class Worker:
    """Builds one table at a time; a wish that comes meanwhile goes first."""

    def __init__(
        self,
        folder: Path,
        wishes: "SimpleQueue[Circuit]",
        tell: Tell,
        *,
        build: Build = build_ahead,
    ) -> None:
        self.folder, self.wishes, self.tell, self._build = folder, wishes, tell, build
        self._begun: set[str] = set()

    def go_through(self, circuits: Iterable[Circuit]) -> None:
        """Build the tables that are not there yet, the smallest first, and what is wished."""
        lacking = []
        for circuit in sorted(circuits, key=size_of):
            if file_of(self.folder, circuit).is_file():
                self.tell({"digest": circuit.digest, "share": 1.0})
            else:
                lacking.append(circuit)
        for circuit in lacking:
            self.grant()
            self.make(circuit)

    def grant(self) -> None:
        """Build what has been wished for by now."""
        try:
            while True:
                self.make(self.wishes.get_nowait())
        except Empty:
            return

    def make(self, circuit: Circuit) -> None:
        """Build the table of a circuit unless that has begun, other wishes in between."""
        digest = circuit.digest
        if digest in self._begun:
            return
        self._begun.add(digest)

        def progress(share: float) -> None:
            # the table is ready when it is kept, which comes after its last share
            self.tell({"digest": digest, "share": min(share, 0.99)})
            self.grant()

        try:
            self._build(self.folder, circuit, workers=1, progress=progress)
        except OSError as error:
            self.tell({"digest": digest, "refused": str(error)})
        except Exception:  # one circuit that fails must not cost the others their tables
            logging.getLogger(__name__).exception("the table of %s", circuit.name)
            self.tell({"digest": digest, "refused": "the log of the server says why"})
        else:
            self.tell({"digest": digest, "share": 1.0})
        finally:
            self._begun.discard(digest)


def size_of(circuit: Circuit) -> int:
    """Return what a table takes to build, roughly: faults times settings."""
    return len(all_faults(circuit)) * len(allowed_settings(circuit))


def listen(lines: TextIO, wishes: "SimpleQueue[Circuit]") -> None:
    """Put the circuits that are wished for into a queue until there are no more lines."""
    for line in lines:
        try:
            wish = json.loads(line)
            name, data = wish["name"], wish["circuit"]
            wishes.put(library_circuit(name) if data is None else circuit_from(data, name=name))
        except (ValueError, LookupError, TypeError, CircuitError):
            logging.getLogger(__name__).exception("no circuit: %.200s", line)


def main(folder: Path) -> None:
    """Build tables until the input ends."""
    if hasattr(os, "nice"):
        os.nice(LOWEST)
    wishes: SimpleQueue[Circuit] = SimpleQueue()

    def listening() -> None:
        listen(sys.stdin, wishes)
        for part in folder.glob(f"*.{os.getpid()}.part"):
            part.unlink(missing_ok=True)
        os._exit(0)  # in the midst of a table: nobody is there any more to want it

    threading.Thread(target=listening, daemon=True).start()
    worker = Worker(folder, wishes, _print)
    worker.go_through(library_circuit(name) for name in circuit_names())
    while True:
        worker.make(wishes.get())


def _print(told: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(told) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(Path(sys.argv[1]))

"""Print what marks each kind of learner gets: ``python -m tests.exercises.learners [CIRCUIT ...]``.

All circuits without one, two exercises each.
"""

import sys
import tempfile
from pathlib import Path

from circuits.files import LIBRARY, library_circuit
from exercises.planning.ahead import build_ahead
from tests.exercises.learners.figures import chosen, rows, table_lines

EXERCISES = 2


def main(names: list[str]) -> None:
    """Print the tables of some circuits."""
    with tempfile.TemporaryDirectory() as folder:
        for name in names or sorted(path.stem for path in LIBRARY.glob("*.toml")):
            table = build_ahead(Path(folder), library_circuit(name), workers=2)
            exercises = chosen(name, EXERCISES)
            found = list(rows(exercises, table))
            print("\n".join(table_lines(name, found)), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

"""``python -m exercises``."""

import sys

from circuits.commands import as_process
from exercises.cli import main

if __name__ == "__main__":
    sys.exit(as_process(main))

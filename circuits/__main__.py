"""``python -m circuits``."""

import sys

from circuits.cli import main
from circuits.commands import as_process

if __name__ == "__main__":
    sys.exit(as_process(main))

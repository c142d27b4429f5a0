"""``python -m exercises``: see ``exercises.cli``."""

import sys

from exercises.cli import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

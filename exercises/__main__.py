"""``python -m exercises``: see ``exercises.cli``."""

import io
import os
import sys

from exercises.cli import main


def run() -> int:
    """Run the command line as a process: UTF-8 out, silent when a reader has gone."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(encoding="utf-8")
    try:
        code = main()
        sys.stdout.flush()
    except BrokenPipeError:
        # What is left in the buffer has no reader: let it go where it troubles nobody.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return code


if __name__ == "__main__":
    sys.exit(run())

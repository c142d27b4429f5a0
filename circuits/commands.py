"""The frame of a command line: one parser, one sentence for whatever goes wrong.

A command takes the parsed options, prints its answer and returns 0. Anything refused is one
sentence on standard error and exit code 2; a reader that has gone is no error.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NoReturn

from circuits.model import CircuitError
from circuits.points import nearest

Run = Callable[[argparse.Namespace], int]
Command = tuple[Run, str, Callable[[argparse.ArgumentParser], None]]
"""What runs it, what it is for, and what adds its arguments."""


class Parser(argparse.ArgumentParser):
    """An argument parser whose complaint is one sentence."""

    def error(self, message: str) -> NoReturn:
        """Raise what ``answer`` tells in one sentence."""
        raise CircuitError(f"{self.prog}: {message}")


def answer(
    prog: str, about: str, commands: Mapping[str, Command], argv: Sequence[str] | None
) -> int:
    """Run one command and return its exit code: 0, or 2 after one sentence on stderr."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    try:
        _check_known(prog, commands, arguments)
        options = _parser(prog, about, commands).parse_args(arguments)
        run: Run = options.run
        return run(options)
    except CircuitError as error:
        more = len(error.problems) - 1
        rest = f" (and {more} more)" if more > 0 else ""
        print(error.problems[0] + rest, file=sys.stderr)
    except ArithmeticError as error:
        print(f"the circuit does not settle: {error}", file=sys.stderr)
    except BrokenPipeError:
        raise  # no reader is left to tell anything to
    except OSError as error:
        print(f"{error.filename or 'output'}: {error.strerror}", file=sys.stderr)
    return 2


def _check_known(prog: str, commands: Mapping[str, Command], arguments: Sequence[str]) -> None:
    first = arguments[0] if arguments else ""
    if first not in commands and first not in {"-h", "--help"}:
        what = f"command {first!r}: there is none such" if first else "no command"
        raise CircuitError(f"{prog}: {what}{nearest(first, commands)}")


def _parser(prog: str, about: str, commands: Mapping[str, Command]) -> Parser:
    top = Parser(prog=prog, description=about, allow_abbrev=False)
    added = top.add_subparsers(required=True, metavar="COMMAND")
    for name, (run, words, arguments) in commands.items():
        sub = added.add_parser(name, help=words, description=words, allow_abbrev=False)
        sub.add_argument("--json", action="store_true", help="print one JSON object")
        sub.set_defaults(run=run)
        arguments(sub)
    return top


def tell(options: argparse.Namespace, data: Mapping[str, Any], lines: Iterable[str]) -> int:
    """Print an answer as one JSON object or as lines, and return 0."""
    if options.json:
        print(json.dumps(data, ensure_ascii=False, allow_nan=False))
    else:
        print("\n".join(lines))
    return 0


def as_process(main: Callable[[], int]) -> int:
    """Run a command line as a process: UTF-8 out, silent when a reader has gone."""
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

"""What the developers' page and the README promise is there."""

import re
from pathlib import Path

import pytest

from circuits.faultkinds import KINDS as FAULT_KINDS
from circuits.faults import CONDITIONS
from circuits.filecheck.draft import TABLES
from circuits.instruments import INSTRUMENTS
from circuits.parts.kinds import KINDS as PART_KINDS

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "name", [*PART_KINDS, *FAULT_KINDS, *CONDITIONS, *INSTRUMENTS, *TABLES], ids=str
)
def test_the_developers_page_names_it(name: str) -> None:
    assert f"`{name}`" in PAGE


def test_every_module_that_the_developers_page_shows_is_there() -> None:
    rooms = PAGE.partition("```\n")[2].partition("```")[0]
    folder, missing = ROOT, []
    for line in rooms.splitlines():
        names = re.findall(r"[\w/*]+\.(?:py|toml)|[\w]+/", line.partition("   ")[0] or line)
        if re.match(r"\w+/", line):
            folder = ROOT / line.split("/")[0]
        for name in names:
            found = list(folder.glob(name)) or list(ROOT.glob(name))
            missing += [] if found else [f"{folder.name}/{name}"]
    assert missing == []


def test_the_readme_marks_one_command_to_run_and_one_to_test() -> None:
    for mark in ("run", "test"):
        block = README.partition(f"<!-- {mark} -->")[2].partition("<!-- end -->")[0]
        commands = [line for line in block.splitlines() if line and not line.startswith("```")]
        assert len(commands) == 1
        assert commands[0].startswith("python3 -m venv .venv && ")


def test_every_subcommand_in_the_readme_is_one_that_there_is() -> None:
    from circuits.cli import COMMANDS as CIRCUIT_COMMANDS
    from exercises.cli import COMMANDS as EXERCISE_COMMANDS

    shown = re.findall(r"python -m (circuits|exercises) (\w+)", README)
    assert shown
    for package, command in shown:
        assert command in (CIRCUIT_COMMANDS if package == "circuits" else EXERCISE_COMMANDS)

"""What the developers' page and the README promise is there."""

import re
from pathlib import Path

import pytest

from circuits.cli import COMMANDS as CIRCUIT_COMMANDS
from circuits.faultkinds import KINDS as FAULT_KINDS
from circuits.faults import CONDITIONS
from circuits.filecheck.draft import TABLES
from circuits.instruments import INSTRUMENTS
from circuits.parts.kinds import KINDS as PART_KINDS
from exercises.cli import COMMANDS as EXERCISE_COMMANDS

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "name", [*PART_KINDS, *FAULT_KINDS, *CONDITIONS, *INSTRUMENTS, *TABLES], ids=str
)
def test_the_developers_page_names_it(name: str) -> None:
    assert f"`{name}`" in PAGE


def _rooms() -> dict[str, set[str]]:
    """Return the modules that the page's plan of the rooms names, by package."""
    plan = PAGE.partition("```\n")[2].partition("```")[0]
    rooms: dict[str, set[str]] = {}
    package = ""
    for line in plan.splitlines():
        names = line.strip().partition("   ")[0].split()
        if not line.startswith(" "):
            package = names.pop(0).strip("/")
        rooms.setdefault(package, set()).update(names)
    return rooms


@pytest.mark.parametrize("package", ["circuits", "exercises"])
def test_the_plan_of_the_rooms_names_every_module_and_no_other(package: str) -> None:
    there = {p.name for p in (ROOT / package).glob("*.py")} - {"__init__.py", "__main__.py"}
    there |= {f"{p.name}/" for p in (ROOT / package).iterdir() if p.is_dir()}
    assert _rooms()[package] == there - {"__pycache__/"}


def test_the_readme_marks_one_command_to_run_and_one_to_test() -> None:
    for mark in ("run", "test"):
        block = README.partition(f"<!-- {mark} -->")[2].partition("<!-- end -->")[0]
        commands = [line for line in block.splitlines() if line and not line.startswith("```")]
        assert len(commands) == 1
        assert commands[0].startswith("python3 -m venv .venv && ")


def test_every_subcommand_in_the_readme_is_one_that_there_is() -> None:
    shown = re.findall(r"python -m (circuits|exercises) (\w+)", README)
    assert shown
    for package, command in shown:
        assert command in (CIRCUIT_COMMANDS if package == "circuits" else EXERCISE_COMMANDS)

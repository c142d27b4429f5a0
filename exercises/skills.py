"""The skills that exercises train and primers teach: twelve names, a title each."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Skill:
    """A skill: its name, its title in trade words, and the primer that teaches it."""

    name: str
    title: str
    primer: str


SKILLS: tuple[Skill, ...] = (
    Skill("reading_diagram", "Reading the diagram", "reading_diagram"),
    Skill("meter", "Setting up the meter", "meter"),
    Skill("supply_ground", "Supply and ground checks", "supply_ground"),
    Skill("voltage_drop", "Voltage drop under load", "voltage_drop"),
    Skill("resistance", "Resistance and its traps", "resistance"),
    Skill("body_path", "Path to the body", "body_path"),
    Skill("motor_or_harness", "Motor or harness", "motor_or_harness"),
    Skill("current", "Reading current", "current"),
    Skill("relays", "Relays", "relays"),
    Skill("shared_grounds", "Shared grounds", "shared_grounds"),
    Skill("intermittents", "Intermittent faults", "intermittents"),
    Skill("drains", "Battery drains", "drains"),
)


def _by_words() -> Mapping[str, Skill]:
    words = {}
    for skill in SKILLS:
        for text in (skill.name, skill.title):
            words[_folded(text)] = skill
    return words


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()


_SKILL_BY_WORDS = _by_words()


def skill_named(words: str) -> Skill | None:
    """Return the skill of these words: its name, its title, or an exercise's words for it.

    >>> skill_named("shared  grounds").name
    'shared_grounds'
    """
    return _SKILL_BY_WORDS.get(_folded(words))


def primer_for(skill: str) -> str | None:
    """Return the name of the primer that teaches a skill; None for an unknown skill.

    >>> primer_for("Voltage drop under load"), primer_for("whistling")
    ('voltage_drop', None)
    """
    found = skill_named(skill)
    return found.primer if found else None

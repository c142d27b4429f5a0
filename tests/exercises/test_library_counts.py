"""How many exercises the library has, of which sorts: counted in the files themselves."""

from collections import Counter

from circuits.faultkinds import KINDS
from circuits.files import circuit_names
from circuits.model import Fault
from exercises.files import exercise_names, library_exercise
from exercises.primer_files import primer_names
from exercises.skills import SKILLS, primer_for

LIBRARY = tuple(library_exercise(name) for name in exercise_names())


def _hidden() -> Counter[str]:
    """Return in how many exercises each kind of fault is the hidden one, or one of two."""
    return Counter(kind for one in LIBRARY for kind in {fault.kind for fault in one.faults})


def _comes_and_goes(fault: Fault) -> bool:
    return bool(fault.when or KINDS[fault.kind].when)


def _circuits() -> Counter[str]:
    return Counter(exercise.circuit.name for exercise in LIBRARY)


def test_there_are_at_least_seventy() -> None:
    assert len(LIBRARY) >= 70


def test_every_circuit_has_at_least_three() -> None:
    assert len(circuit_names()) >= 14
    assert [name for name in circuit_names() if _circuits()[name] < 3] == []


def test_every_kind_of_fault_is_hidden_in_at_least_two() -> None:
    found = _hidden()
    assert [kind for kind in KINDS if found[kind] < 2] == []


def test_at_least_five_have_nothing_at_fault() -> None:
    assert len([one for one in LIBRARY if not one.faults]) >= 5


def test_at_least_eight_have_a_fault_that_comes_and_goes() -> None:
    assert len([one for one in LIBRARY if any(map(_comes_and_goes, one.faults))]) >= 8


def test_at_least_six_have_two_faults_at_once() -> None:
    assert len([one for one in LIBRARY if len(one.faults) == 2]) >= 6


def test_every_level_from_1_to_4_has_its_share() -> None:
    """A tenth of the library at the least: enough for a class to work through a level."""
    found = Counter(exercise.level for exercise in LIBRARY)
    assert set(found) == {1, 2, 3, 4}
    assert min(found.values()) >= len(LIBRARY) / 10


def test_every_exercise_trains_a_skill_that_a_primer_teaches() -> None:
    assert [one.name for one in LIBRARY if primer_for(one.skill) not in primer_names()] == []


def _untrained() -> set[str]:
    trained: set[str] = {one.skill.casefold() for one in LIBRARY}
    return {skill.name for skill in SKILLS if skill.title.casefold() not in trained}


def test_every_skill_is_the_subject_of_an_exercise_but_the_meter_s() -> None:
    """Setting up the meter is part of every job, and no complaint slip asks for it."""
    assert _untrained() == {"meter"}

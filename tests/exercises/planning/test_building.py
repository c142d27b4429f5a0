"""Tables built beside a server: in which order, what is told, and that nothing is left behind."""

import io
import json
import os
import signal
import subprocess
import sys
import time
import tomllib
from queue import SimpleQueue

import pytest

from circuits.files import LIBRARY, library_circuit
from exercises.planning.building import ROOT, Building
from exercises.planning.keep import file_of, kept
from exercises.planning.worker import Worker, listen, size_of
from tests.conftest import FULL

NAMES = ("side_steps", "call_bell", "roof_vent")
CIRCUITS = tuple(library_circuit(name) for name in NAMES)
SMALLEST_FIRST = tuple(c.name for c in sorted(CIRCUITS, key=size_of))


class _Builds:
    """Stands in for the building itself, which takes seconds: notes what is begun and ended."""

    def __init__(self, *, meanwhile=lambda *_: None, fails=()) -> None:
        self.begun, self.ended = [], []
        self.meanwhile, self.fails = meanwhile, dict(fails)

    def __call__(self, _folder, circuit, *, workers, progress):
        assert workers == 1
        self.begun.append(circuit.name)
        for share in (0.5, 1.0):
            self.meanwhile(circuit.name, share)
            progress(share)
        if circuit.name in self.fails:
            raise self.fails[circuit.name]
        self.ended.append(circuit.name)


def _worker(folder, builds, wishes=None):
    told: list[dict] = []
    return Worker(folder, wishes or SimpleQueue(), told.append, build=builds), told


def _shares(told, name):
    digest = library_circuit(name).digest
    return [one["share"] for one in told if one["digest"] == digest]


def test_the_smallest_come_first(tmp_path) -> None:
    builds = _Builds()
    worker, told = _worker(tmp_path, builds)
    worker.go_through(CIRCUITS)
    assert tuple(builds.ended) == SMALLEST_FIRST
    assert SMALLEST_FIRST[0] == "call_bell"
    assert _shares(told, "side_steps") == [0.5, 0.99, 1.0]


def test_a_wish_is_granted_before_the_others(tmp_path) -> None:
    wishes = SimpleQueue()
    wishes.put(library_circuit("side_steps"))
    builds = _Builds()
    _worker(tmp_path, builds, wishes)[0].go_through(CIRCUITS)
    assert builds.ended[0] == "side_steps"


def test_a_wish_in_the_midst_of_a_table_is_granted_there_and_loses_nothing(tmp_path) -> None:
    wishes = SimpleQueue()

    def wish(name, share):
        if (name, share) == ("call_bell", 0.5):
            wishes.put(library_circuit("side_steps"))
            wishes.put(library_circuit("call_bell"))  # is being built: not begun twice

    builds = _Builds(meanwhile=wish)
    worker, told = _worker(tmp_path, builds, wishes)
    worker.go_through([library_circuit("call_bell")])
    assert builds.begun == ["call_bell", "side_steps"]
    assert builds.ended == ["side_steps", "call_bell"]
    assert _shares(told, "call_bell") == [0.5, 0.99, 1.0]


def test_what_is_kept_already_is_told_at_once_and_not_built(tmp_path) -> None:
    file_of(tmp_path, library_circuit("side_steps")).write_bytes(b"a table")
    builds = _Builds()
    worker, told = _worker(tmp_path, builds)
    worker.go_through(CIRCUITS)
    assert told[0] == {"digest": library_circuit("side_steps").digest, "share": 1.0}
    assert "side_steps" not in builds.begun


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), ValueError("odd")])
def test_a_table_that_cannot_be_built_is_told_and_costs_the_others_nothing(tmp_path, error) -> None:
    builds = _Builds(fails=[("call_bell", error)])
    worker, told = _worker(tmp_path, builds)
    worker.go_through(CIRCUITS)
    assert set(builds.ended) == {"side_steps", "roof_vent"}
    digest = library_circuit("call_bell").digest
    assert [one["digest"] for one in told if "refused" in one] == [digest]


def test_wishes_are_read_line_by_line_and_what_is_none_is_passed_over() -> None:
    body = tomllib.loads((LIBRARY / "call_bell.toml").read_text(encoding="utf-8"))
    good = json.dumps({"name": "call_bell", "circuit": body})
    bad = json.dumps({"name": "call_bell", "circuit": {"title": 3}})
    wishes = SimpleQueue()
    known = json.dumps({"name": "side_steps", "circuit": None})
    unknown = json.dumps({"name": "none such", "circuit": None})
    listen(io.StringIO(f"not json\n[]\n{bad}\n{unknown}\n{good}\n{known}\n"), wishes)
    assert wishes.get_nowait() == library_circuit("call_bell")
    assert wishes.get_nowait() == library_circuit("side_steps")
    assert wishes.empty()


def test_a_process_that_nobody_started_has_built_nothing(tmp_path) -> None:
    assert Building(tmp_path).share(library_circuit("call_bell").digest) is None


_LONGEST_S = 120


def _wait_for(what) -> None:
    """Wait until something holds; a real process takes its time on a busy machine."""
    for _ in range(10 * _LONGEST_S):
        if what():
            return
        time.sleep(0.1)
    raise AssertionError("it never came true")


def _alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.skipif(not FULL, reason="builds a table in a process of its own: LAB_FULL=1 asks")
def test_a_table_that_is_wished_for_is_built_by_a_process_that_can_be_stopped(tmp_path) -> None:
    circuit = library_circuit("call_bell")
    body = tomllib.loads((LIBRARY / "call_bell.toml").read_text(encoding="utf-8"))
    building = Building(tmp_path)
    building.want(circuit.digest, circuit.name, body)
    _wait_for(lambda: building.share(circuit.digest) == 1.0)
    assert kept(tmp_path, circuit) is not None
    process = building._process
    assert process is not None
    building.stop()
    assert process.poll() == 0
    assert building.share(circuit.digest) is None
    assert not list(tmp_path.glob("*.part"))


_HOLDER = """
import sys, time
from pathlib import Path
from exercises.planning.building import Building
building = Building(Path(sys.argv[1]))
building.start()
print(building._process.pid, flush=True)
time.sleep(600)
"""


@pytest.mark.skipif(not FULL, reason="starts processes of its own: LAB_FULL=1 asks")
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_the_process_ends_with_the_one_that_started_it_however_that_ends(tmp_path, how) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", _HOLDER, str(tmp_path)], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    worker = int(holder.stdout.readline())
    assert _alive(worker)
    holder.send_signal(how)
    holder.wait()
    holder.stdout.close()
    _wait_for(lambda: not _alive(worker))

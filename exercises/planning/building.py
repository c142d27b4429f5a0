"""The process that builds tables ahead, as whoever started it sees it."""

import json
import os
import subprocess
import sys
import threading
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
MOST_STARTS = 3
"""Times that a process which ended by itself is started again."""

PATIENCE_S = 10.0
"""How long the process may take to end, on a busy machine."""

ONE_CORE = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}


class Building:
    """Tables in the making: one process at low priority, and how far it says it is.

    The process ends with the one that holds this, whose end of the pipe closes then.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock, self._pen = threading.Lock(), threading.Lock()
        self._shares: dict[str, float] = {}
        self._refused: dict[str, str] = {}
        self._wished: set[str] = set()
        self._starts = 0
        self._process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start the process unless it runs."""
        with self._lock:
            self._start()

    def _start(self) -> None:
        if self._process is not None and self._process.poll() is None:
            return
        if self._starts >= MOST_STARTS:
            return
        self._starts += 1
        self._wished.clear()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "exercises.planning.worker", str(self.folder)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            cwd=ROOT,
            env=os.environ | ONE_CORE,
            start_new_session=True,  # Ctrl-C is for the server; its end is the worker's
        )
        threading.Thread(target=self._hear, args=(self._process,), daemon=True).start()

    def _hear(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        with process.stdout as lines:
            for line in lines:
                self._note(json.loads(line))

    def _note(self, told: Mapping[str, Any]) -> None:
        digest = told["digest"]
        with self._lock:
            if "share" in told:
                self._shares[digest] = told["share"]
                self._refused.pop(digest, None)
            else:
                self._refused[digest] = told["refused"]
                self._wished.discard(digest)

    def want(self, digest: str, name: str, circuit: Mapping[str, Any] | None = None) -> None:
        """Have the table of a circuit built before others, without data one of the library.

        It never waits for the process.
        """
        with self._lock:
            self._start()
            process = self._process
            if digest in self._wished or process is None or process.poll() is not None:
                return
            self._wished.add(digest)
            self._shares.pop(digest, None)
        line = json.dumps({"name": name, "circuit": circuit}) + "\n"
        threading.Thread(target=self._write, args=(process, line), daemon=True).start()

    def _write(self, process: subprocess.Popen[str], line: str) -> None:
        assert process.stdin is not None
        # an end that is closed is told by the process's own: the next wish starts another
        with self._pen, suppress(OSError, ValueError):
            process.stdin.write(line)
            process.stdin.flush()

    def share(self, digest: str) -> float | None:
        """Return how much of a circuit's table is built, None where nobody builds it."""
        with self._lock:
            running = self._process is not None and self._process.poll() is None
            if not running or digest in self._refused:
                return None
            return self._shares.get(digest, 0.0)

    def stop(self) -> None:
        """End the process and wait for it."""
        with self._lock:
            process, self._process, self._starts = self._process, None, MOST_STARTS
        if process is not None:
            assert process.stdin is not None
            process.stdin.close()
            try:
                process.wait(PATIENCE_S)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()

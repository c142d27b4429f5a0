"""Writers that are killed in the middle of it: run as a process of its own.

It forks a writer a turn, reads which events the writer says are kept, kills it at a moment that
the turn draws, and at the end prints all that was acknowledged as JSON.
"""

import json
import os
import signal
import sys
import time
from random import Random

from exercises.events import Draft
from exercises.store import open_store


def write(url: str, attempt: str, turn: int, pipe: int) -> None:
    """Write events until killed, and tell of each once it is kept."""
    store = open_store(url)
    events = store.events(attempt)
    seen = events[-1].seq if events else 0
    while True:
        draft = Draft("reading", {"n": seen, "text": "x" * 300})
        answer = store.append(attempt, seen=seen, draft=draft, key=f"{turn}:{seen}", at=seen)
        seen = answer.event.seq  # type: ignore[union-attr]
        os.write(pipe, f"{seen} {turn}:{seen - 1}\n".encode())


def killed_turn(url: str, attempt: str, turn: int) -> list[str]:
    """Return what one writer acknowledged before it was killed."""
    random = Random(turn)
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        write(url, attempt, turn, writing)
    os.close(writing)
    with os.fdopen(reading) as said:
        lines = [said.readline() for _ in range(random.randint(0, 9))]
        time.sleep(random.random() * 0.01)
        os.kill(child, signal.SIGKILL)
        lines += said.readlines()  # acknowledged while the signal was on its way
    status = os.waitpid(child, 0)[1]
    if not os.WIFSIGNALED(status):
        raise SystemExit(f"turn {turn}: the writer ended by itself: {status}")
    return [line for line in lines if line.endswith("\n")]


if __name__ == "__main__":
    address, to, turns = sys.argv[1:]
    told = [line for turn in range(int(turns)) for line in killed_turn(address, to, turn)]
    print(json.dumps(told))

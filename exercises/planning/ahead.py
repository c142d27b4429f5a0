"""Tables built ahead, several processes side by side: for the rim to start, never a learner."""

from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from circuits.model import Circuit
from exercises.planning.keep import ready
from exercises.planning.table import Asked, Made, Progress, Table


def build_ahead(
    folder: Path, circuit: Circuit, *, workers: int, progress: Progress = lambda _: None
) -> Table:
    """Return the table of a circuit, built by so many processes and kept unless it is there.

    Raises
    ------
    OSError
        If it cannot be kept.
    """
    if workers < 2:
        return ready(folder, circuit, progress=progress)
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:

        def each(act: Callable[[Asked], Made], asked: Iterable[Asked], /) -> Iterable[Made]:
            return pool.map(act, asked)

        return ready(folder, circuit, each=each, progress=progress)

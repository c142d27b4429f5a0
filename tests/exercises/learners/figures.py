"""What marks each kind of learner gets: played on exercises of a circuit, and averaged."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean

from exercises.exercise import Exercise
from exercises.files import LIBRARY, library_exercise
from exercises.marking import COLUMNS, Mark, mark, weighed
from exercises.planning.policy import plan_for
from exercises.planning.table import Table
from tests.exercises.learners.players import BY_CHANCE, PLAYERS, Bench

SEEDS = 3
"""How often those play who leave something to chance."""


@dataclass(frozen=True)
class Row:
    """The marks of one kind of learner on one circuit."""

    player: str
    marks: tuple[Mark, ...]

    def mean(self, column: str) -> float:
        """Return the mean of a column."""
        return fmean(one.score(column) for one in self.marks)

    @property
    def weighed(self) -> float:
        """The mean of the weighted sum, by the published weights."""
        return fmean(weighed(one) for one in self.marks)

    @property
    def evidenced(self) -> float:
        """The share of attempts with the verdict *evidenced*."""
        return fmean(one.evidenced for one in self.marks)


def chosen(circuit: str, count: int) -> list[Exercise]:
    """Return the first exercises of a circuit with one hidden fault, by level and slip."""
    found = [library_exercise(path.stem) for path in _files(circuit)]
    found = [one for one in found if len(one.faults) == 1 and not one.faults[0].when]
    found = [one for one in found if not one.asks_suspects and not one.asks_expected]
    return sorted(found, key=lambda one: (one.level, one.slip))[:count]


def _files(circuit: str) -> Iterator[Path]:
    for path in sorted(LIBRARY.glob("*.toml")):
        if f'circuit = "{circuit}"' in path.read_text(encoding="utf-8"):
            yield path


def rows(
    exercises: list[Exercise],
    table: Table,
    *,
    seeds: int = SEEDS,
    players: Collection[str] = tuple(PLAYERS),
) -> Iterator[Row]:
    """Yield the marks of each kind of learner on some exercises of a circuit."""
    benches = [(one, plan_for(one, table)) for one in exercises]
    for name in players:
        play = PLAYERS[name]
        times = range(seeds if name in BY_CHANCE else 1)
        marks = [mark(play(Bench(one, plan, seed))) for one, plan in benches for seed in times]
        yield Row(name, tuple(marks))


def table_lines(circuit: str, found: list[Row]) -> Iterator[str]:
    """Yield the table of a circuit."""
    yield f"{circuit:<20}{'  '.join(f'{name:>12}' for name in (*COLUMNS, 'sum', 'evidenced'))}"
    for row in found:
        means = [*(row.mean(name) for name in COLUMNS), row.weighed, row.evidenced]
        yield f"  {row.player:<18}{'  '.join(f'{mean:12.2f}' for mean in means)}"

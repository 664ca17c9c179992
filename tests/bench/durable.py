"""Events made durable by the journal, against the same rows written by hand with `sqlite3`.

The rows, tables, indexes, pragmas and transactions are the journal's own: what it writes is written down once
and then written again, without its checks, its chain, its tables' working-in, its lease and its second place.
By itself (`python tests/bench/durable.py`) it also prints the rates and what an act costs a processor.
"""

from __future__ import annotations

import sqlite3
import statistics
import tempfile
import time
from collections.abc import Iterable, Sequence
from functools import partial
from itertools import groupby
from pathlib import Path
from typing import NamedTuple
from unittest import mock

from trainer.record import store
from trainer.record.journal import StationJournal
from trainer.rehearsal.invented.making import make_class
from trainer.run.events import Event
from trainer.run.fakes import FakeClock

SEED = 7
RUNS = 2
ROUNDS = 5
LEAST = 0.8
"""Of the rate of the same rows by hand."""

Cell = str | bytes | int | float | None
Write = tuple[str, Sequence[Cell]]
Act = tuple[Event, ...]


class Taken(NamedTuple):
    """Seconds for all: by the clock, and of this process on a processor."""

    wall: float
    processor: float


class Noting(sqlite3.Connection):
    """A connection that writes down what is written through it, by transaction."""

    noted: list[list[Write]] = []  # noqa: RUF012 - of all connections together

    def execute(  # type: ignore[override]  # by place only, as all of ours are
        self, sql: str, parameters: Sequence[Cell] = (), /
    ) -> sqlite3.Cursor:
        """As of the connection."""
        if sql.startswith("BEGIN"):
            self.noted.append([])
        elif self.noted and sql.startswith(("INSERT", "UPDATE", "DELETE")):
            self.noted[-1].append((sql, parameters))
        return super().execute(sql, parameters)


def acts() -> list[Act]:
    """The events of a few wet runs as a station appends them: those of one moment at once."""
    made = make_class(SEED, RUNS, rehearsals=False)
    return [tuple(at_once) for run in made.runs for _, at_once in groupby(run, key=lambda one: one.stamp)]


def appended(path: Path, told: Iterable[Act]) -> Taken:
    """Seconds that a new record takes to keep all of them, each act durable before the next."""
    with StationJournal(path, FakeClock()) as journal:
        wall, processor = time.perf_counter(), time.process_time()
        for act in told:
            journal.append(act)
        return Taken(time.perf_counter() - wall, time.process_time() - processor)


def noted(folder: Path, told: Sequence[Act]) -> list[list[Write]]:
    """What the journal writes for each act."""
    path = folder / "noted.db"
    connecting = partial(sqlite3.connect, factory=Noting)
    with mock.patch("sqlite3.connect", connecting), StationJournal(path, FakeClock()) as journal:
        Noting.noted.clear()
        for act in told:
            journal.append(act)
    return Noting.noted.copy()


def by_hand(path: Path, transactions: Iterable[Sequence[Write]]) -> Taken:
    """Seconds for the same rows, each transaction durable before the next."""
    StationJournal(path, FakeClock()).close()  # the tables
    connection = store.connect(path)  # the pragmas
    try:
        wall, processor = time.perf_counter(), time.process_time()
        for writes in transactions:
            connection.execute("BEGIN IMMEDIATE")
            for sql, row in writes:
                connection.execute(sql, row)
            connection.execute("COMMIT")
        return Taken(time.perf_counter() - wall, time.process_time() - processor)
    finally:
        connection.close()


def rounds(told: Sequence[Act]) -> tuple[list[Taken], list[Taken]]:
    """Ours and by hand, taking turns."""
    ours, base = [], []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        writes = noted(folder, told)
        for turn in range(ROUNDS):
            ours.append(appended(folder / f"ours-{turn}.db", told))
            base.append(by_hand(folder / f"base-{turn}.db", writes))
    return ours, base


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms an act, baseline in ms, limit of the ratio)."""
    told = acts()
    ours, base = rounds(told)
    middle = [statistics.median(one.wall for one in taken) * 1000 / len(told) for taken in (ours, base)]
    return [("an act made durable / the same rows by sqlite3", middle[0], middle[1], 1 / LEAST)]


def main() -> None:
    """Print rates and ratios."""
    told = acts()
    events = sum(map(len, told))
    for name, taken in zip(("journal", "by hand"), rounds(told), strict=True):
        wall = statistics.median(one.wall for one in taken)
        processor = statistics.median(one.processor for one in taken)
        print(  # noqa: T201
            f"{name:8} {events / wall:7.0f} events/s  {wall / len(told) * 1000:6.3f} ms an act, "
            f"{processor / len(told) * 1000:6.3f} of them on a processor"
        )


if __name__ == "__main__":
    main()

"""Events made durable by the journal, against the same rows written by hand with `sqlite3`.

The rows, tables, indexes, pragmas and transactions are the journal's own: what it writes is written down once
and then written again, without its checks, its chain, its tables' working-in, its lease and its second place.
By itself (`python tests/bench/durable.py`) it also prints the rates and what an act costs a processor.
"""

from __future__ import annotations

import math
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing
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
RUNS = 8
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


def noted(folder: Path, told: Sequence[Act]) -> list[list[Write]]:
    """What the journal writes for each act."""
    path = folder / "noted.db"
    connecting = partial(sqlite3.connect, factory=Noting)
    with mock.patch("sqlite3.connect", connecting), StationJournal(path, FakeClock()) as journal:
        Noting.noted.clear()
        for act in told:
            journal.append(act)
    return Noting.noted.copy()


def by_hand(connection: sqlite3.Connection, writes: Iterable[Write]) -> None:
    """The rows of one act in one transaction."""
    connection.execute("BEGIN IMMEDIATE")
    for sql, row in writes:
        connection.execute(sql, row)
    connection.execute("COMMIT")


def timed(call: Callable[[], None]) -> Taken:
    """What one call takes."""
    wall, processor = time.perf_counter(), time.process_time()
    call()
    return Taken(time.perf_counter() - wall, time.process_time() - processor)


def in_turns(folder: Path, told: Sequence[Act]) -> tuple[Taken, Taken]:
    """Ours and by hand, each act durable before the next: act by act in turns, since disks have moods."""
    transactions = noted(folder, told)
    StationJournal(folder / "base.db", FakeClock()).close()  # the tables
    ours: list[Taken] = []
    base: list[Taken] = []
    with (
        StationJournal(folder / "ours.db", FakeClock()) as journal,
        closing(store.connect(folder / "base.db")) as connection,  # the pragmas
    ):
        for turn, (act, writes) in enumerate(zip(told, transactions, strict=True)):
            pair = [
                (ours, partial(journal.append, act)),
                (base, partial(by_hand, connection, writes)),
            ]
            for taken, call in pair if turn % 2 else reversed(pair):
                taken.append(timed(call))
    return _sum(ours), _sum(base)


def _sum(taken: Sequence[Taken]) -> Taken:
    return Taken(sum(one.wall for one in taken), sum(one.processor for one in taken))


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms an act, baseline in ms, limit of the ratio)."""
    told = acts()
    with tempfile.TemporaryDirectory() as name:
        ours, base = in_turns(Path(name), told)
    each = 1000 / len(told)
    return [
        ("an act made durable / the same rows by sqlite3", ours.wall * each, base.wall * each, 1 / LEAST),
        ("of that on a processor", ours.processor * each, base.processor * each, math.inf),
    ]


def main() -> None:
    """Print rates and what is not waiting for the disk."""
    told = acts()
    events = sum(map(len, told))
    with tempfile.TemporaryDirectory() as name:
        for what, taken in zip(("journal", "by hand"), in_turns(Path(name), told), strict=True):
            print(  # noqa: T201
                f"{what:8} {events / taken.wall:6.0f} events/s {taken.wall / len(told) * 1e3:5.2f} ms an act,"
                f" {taken.processor / len(told) * 1000:6.3f} of them on a processor"
            )


if __name__ == "__main__":
    main()

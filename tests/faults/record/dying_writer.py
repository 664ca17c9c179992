"""A program that writes histories in children which die at a given point; driven by `deaths`.

It reads orders, one JSON object a line: `record`, `acts` (how many), `sabotage` ('' for the real thing), and
where the child dies: `at` (the n-th point, 0: at none) or `after` (seconds,
killed from outside, counted from its first word where `at_work`, else from its birth). It answers
with one JSON line: `lines` (what the child said), `died`, `failed` (ended with an error).

A point is each statement of SQL, BEGIN and COMMIT among them, each opening, renaming and removing of a file,
and each return from an append, before it is acknowledged.
"""

from __future__ import annotations

import json
import os
import select
import signal
import sqlite3
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from unittest.mock import patch

from history_kit import Say, Witness
from record_kit import SHORT_RUN, SOURCE, Station, opened, real_hash

from trainer.record import keeping, store
from trainer.record.journal import StationJournal
from trainer.record.projections import Projector
from trainer.run.events import Event
from trainer.run.ports import Journal

WATCHED = {"open", "os.rename", "os.remove", "os.mkdir", "os.chmod", "sqlite3.connect"}


class Points:
    """Counts the points a child passes, and kills it at one of them."""

    def __init__(self, deadly: int) -> None:
        self.passed = 0
        self._deadly = deadly

    def __call__(self, *_: object) -> None:
        """One more point."""
        self.passed += 1
        if self.passed == self._deadly:
            os.kill(os.getpid(), signal.SIGKILL)

    def audit(self, event: str, _: object) -> None:
        """A hook for `sys.addaudithook`."""
        if event in WATCHED:
            self()

    def opened(self, path: Path) -> sqlite3.Connection:
        """In place of `store.opened`: each statement is a point."""
        connection = real_opened(path)
        connection.set_trace_callback(self)
        return connection


real_opened = store.opened


class Watched(Witness):
    """A witness with a point between keeping and acknowledging."""

    def __init__(self, journal: StationJournal, say: Say, points: Points) -> None:
        super().__init__(journal, say)
        self.station = journal
        self.points = points

    def keep(self, events: Sequence[Event]) -> None:
        """Keep; then the moment before anybody is told."""
        super().keep(events)
        self.points()


class Early(Watched):
    """Sabotage: acknowledges before it keeps."""

    def append(self, events: Sequence[Event]) -> None:
        """The other way round."""
        ids = " ".join(event.id for event in events)
        self._say(f"intent {ids}\nack {ids}\n")
        self.keep(events)


class Idle(Projector):
    """Works nothing into the tables."""

    def take(self, event: Event, person: str) -> None:
        """Nothing of it."""

    def save(self) -> None:
        """Nothing was taken."""


class Apart(Watched):
    """Sabotage: the tables for reading are written in a transaction of their own."""

    def keep(self, events: Sequence[Event]) -> None:
        """Events first, tables later."""
        with patch.object(keeping, "Projector", Idle):
            super().keep(events)
        with self.station.changing() as (connection, _, _now):
            tables = Projector(connection, events[0].run)
            for event in events:
                tables.take(event, "T-01")
            tables.save()


class Forgetful(Watched):
    """Sabotage: the last events of a long history are acknowledged and never kept."""

    def keep(self, events: Sequence[Event]) -> None:
        """Keep, or only pretend to."""
        if events[-1].seq < 5:
            super().keep(events)


KINDS = {"": Watched, "early": Early, "apart": Apart, "forgetful": Forgetful}


def write(acts: int, journal: Journal, station: Station) -> None:
    """Open a run, or go on with it, and append acts, two events each; then a sign-off, which is marked."""
    run = "r1"
    kept = station.kept.setdefault(run, [])
    if not kept:
        station.keep(journal, run, (None, opened()), SHORT_RUN[0])
    for act in range(acts):
        station.keep(journal, run, *SHORT_RUN[2 + act % 12 : 4 + act % 12])
    station.keep(journal, run, SHORT_RUN[-1])


def child(order: dict[str, object], say: Say, points: Points) -> None:
    """Open the record and write."""
    record = Path(str(order["record"]))
    station = Station(record.parent.parent, record.name)
    with station.open() as journal:
        journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
        if journal.open_runs():
            journal.take_lease("r1")
            station.kept["r1"] = list(journal.events("r1"))
            station.clock.pass_time(len(station.kept["r1"]))
        witness = KINDS[str(order["sabotage"])](journal, say, points)
        write(int(str(order["acts"])), witness, station)


def live_and_die(order: dict[str, object]) -> dict[str, object]:
    """Fork a child for one order; what it said, and how it ended."""
    reading, writing = os.pipe()
    life, living = os.pipe()  # ends with the child
    points = Points(int(str(order.get("at", 0))))
    pid = os.fork()
    if pid == 0:
        os.close(reading)
        os.close(life)
        status = 1
        try:
            with ExitStack() as stack:
                stack.enter_context(patch.object(store, "opened", points.opened))
                sys.addaudithook(points.audit)
                child(order, lambda line: _say(writing, line), points)
            status = 0
        finally:
            os._exit(status)  # a fork must not run the parent's way out
    os.close(writing)
    os.close(living)
    if after := order.get("after"):
        if order["at_work"]:
            select.select([reading], [], [], 30)
        select.select([life], [], [], float(str(after)))
        os.kill(pid, signal.SIGKILL)
    os.close(life)
    with os.fdopen(reading, encoding="ascii") as pipe:
        lines = pipe.readlines()
    _, status = os.waitpid(pid, 0)
    return {
        "lines": lines,
        "died": os.WIFSIGNALED(status),
        "failed": os.WIFEXITED(status) and os.WEXITSTATUS(status) != 0,
    }


def _say(pipe: int, line: str) -> None:
    os.write(pipe, line.encode("ascii"))


def main() -> None:
    """Answer orders until there are no more."""
    for line in sys.stdin:
        sys.stdout.write(json.dumps(live_and_die(json.loads(line))) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()

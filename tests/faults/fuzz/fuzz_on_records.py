"""Fuzzed: the record's file, as bytes and as rows written over by hand."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path

from fuzz_kit import Target, folder
from run_kit import Sink

from trainer.procedure.text import unclean
from trainer.record.exposures import seconds_per_unit
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.rebuild import rebuild
from trainer.record.verify import verify
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble
from trainer.run.session import Run


class Record:
    """A sound record of one run; and what the program asks of a record."""

    def __init__(self) -> None:
        self.folder = folder()
        self.sound = self.folder / "sound.db"
        clock = FakeClock()
        sink = Sink.open().until("let-it-soften")
        with StationJournal(self.sound, clock) as journal:
            plan = sink.plan
            journal.keep_procedure(plan.content_hash, plan.source, "plate", plan.procedure.revision)
            for event in sink.events:
                journal.append([event])
        self.plan = sink.plan
        self.path = self.folder / "record.db"

    def lay(self, data: bytes) -> None:
        """Put `data` where the record is, with the sound record's key and second place."""
        self.path.write_bytes(data)
        for tail in (".key", ".heads"):
            source = Path(f"{self.sound}{tail}")
            if source.exists():
                shutil.copy(source, f"{self.path}{tail}")
        Path(f"{self.path}-journal").unlink(missing_ok=True)

    def use(self) -> None:
        """Everything a program does with a record. Only JournalTrouble comes out."""
        told(lambda: verify(self.path).as_text())
        told(self._work)
        told(lambda: str(rebuild(self.path)))

    def _work(self) -> str:
        clock = FakeClock()
        with StationJournal(self.path, clock) as journal:
            seconds_per_unit(journal)
            People(journal).all()
            for found in journal.open_runs():
                told(partial(self._go_on, journal, found.run, clock))
        return ""

    def _go_on(self, journal: StationJournal, run: str, clock: FakeClock) -> str:
        journal.events(run)
        journal.head_of(run)
        journal.take_lease(run)
        taken = Run.take_up(self.plan, run, journal=journal, clock=clock)
        taken.note("still here")
        return str(taken.view().notice)


def told(use: Callable[[], str]) -> None:
    """Do it; what is said, or told as trouble, can be shown."""
    try:
        said = use()
    except JournalTrouble as trouble:
        said = str(trouble)
    assert unclean(said) is None


def records() -> Target:
    """The bytes of a record's file."""
    record = Record()

    def target(data: bytes) -> None:
        record.lay(data)
        record.use()

    return target


def record_rows() -> Target:
    """A sound record with values written over by hand: lines of JSON [table, column, row number, value]."""
    record = Record()

    def target(data: bytes) -> None:
        record.lay(record.sound.read_bytes())
        with closing(sqlite3.connect(record.path, isolation_level=None)) as connection:
            connection.executescript("DROP TRIGGER events_never_change; DROP TRIGGER events_never_go;")
            connection.execute("PRAGMA ignore_check_constraints = ON")
            for line in data.decode("utf-8", "replace").splitlines():
                _write_over(connection, line)
        record.use()

    return target


def _write_over(connection: sqlite3.Connection, line: str) -> None:
    """One change by hand; what SQLite itself refuses stays as it was."""
    try:
        table, column, row, value = json.loads(line)
        columns = [found[1] for found in connection.execute(f"PRAGMA table_info({table})")]
        name = columns[column % len(columns)]
        keys = connection.execute(f"SELECT {columns[0]}, {columns[1 % len(columns)]} FROM {table}").fetchall()  # noqa: S608 - our tables
        first, second = keys[row % len(keys)]
        connection.execute(
            f"UPDATE {table} SET {name} = ? WHERE {columns[0]} = ? AND {columns[1 % len(columns)]} = ?",  # noqa: S608
            (value, first, second),
        )
    except (ValueError, TypeError, ZeroDivisionError, OverflowError, sqlite3.Error):
        return

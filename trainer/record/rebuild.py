"""The projections made again from the events."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from trainer.record import schema
from trainer.record.migrations import applied, migrate, refuse_newer
from trainer.record.packing import unpacked
from trainer.record.projections import Projector
from trainer.record.store import connect, troubles, writing
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble

KEPT = "SELECT run, seq, person, body FROM events WHERE body IS NOT NULL ORDER BY run, seq"
"""Every event that is not erased, in order."""

_KEPT_OF_RUN = "SELECT run, seq, person, body FROM events WHERE body IS NOT NULL AND run = ? ORDER BY seq"


@frozen
class Rebuilt:
    """What was worked through."""

    runs: int
    events: int


def rebuild(path: Path, at: str = "") -> Rebuilt:
    """Make all projections again, in one transaction: all or nothing. Raises JournalTrouble.

    An earlier record is brought up first. at: the present time, for the row that says so.
    """
    with troubles(path):
        connection = connect(path, make=False)
        try:
            number = applied(connection, path)
            refuse_newer(number, path)
            if number == 0:
                raise JournalTrouble(f"The record {path} is empty: there is nothing to rebuild.")
            migrate(connection, path, at)
            with writing(connection):
                for table in schema.PROJECTED:
                    connection.execute(f"DELETE FROM {table}")  # noqa: S608 - our own table names
                events = replay(connection, connection)
            runs: int = connection.execute("SELECT count(*) FROM runs").fetchone()[0]
        finally:
            connection.close()
    return Rebuilt(runs, events)


def rebuild_run(connection: sqlite3.Connection, run: str) -> None:
    """Make the rows of one run again. Inside a transaction."""
    for table in schema.PROJECTED:
        connection.execute(f"DELETE FROM {table} WHERE run = ?", (run,))  # noqa: S608 - our own table names
    replay(connection, connection, run)


def replay(
    source: sqlite3.Connection, target: sqlite3.Connection, run: str | None = None, *, leave_out: bool = False
) -> int:
    """Work the events of `source` (of one run, or of all) into the tables of `target`; how many there are.

    leave_out: an event that cannot be read is left out; else it raises JournalTrouble.
    """
    runs = [(run,)] if run is not None else source.execute("SELECT DISTINCT run FROM events").fetchall()
    return sum(_replay(source, target, one, leave_out=leave_out) for (one,) in runs)


def _replay(source: sqlite3.Connection, target: sqlite3.Connection, run: str, *, leave_out: bool) -> int:
    rows = source.execute(_KEPT_OF_RUN, (run,)).fetchall()
    tables = Projector(target, run)
    for _, seq, person, body in rows:
        try:
            event = unpacked(body, run, seq)
        except JournalTrouble:
            if leave_out:
                continue
            raise
        tables.take(event, person)
    tables.save()
    # What is erased in part cannot be gone on with: it is no longer among the open runs.
    if source.execute("SELECT 1 FROM events WHERE run = ? AND body IS NULL LIMIT 1", (run,)).fetchone():
        target.execute("UPDATE runs SET closed = 'erased' WHERE closed = '' AND run = ?", (run,))
    return len(rows)


Dump = dict[str, list[tuple[object, ...]]]


def dump(connection: sqlite3.Connection, run: str | None = None) -> Dump:
    """Every row of every projection (of one run, or all) in the order of keys: equal dumps, equal tables."""
    which = "" if run is None else "WHERE run = ?"
    values = () if run is None else (run,)
    select = "SELECT * FROM {table} {which} ORDER BY 1, 2"
    return {
        table: connection.execute(select.format(table=table, which=which), values).fetchall()
        for table in schema.PROJECTED
    }

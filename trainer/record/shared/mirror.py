"""Runs of the shared record worked through as a station works them: the tables for reading made again.

The events of some runs are put into a record in memory, and the station's own code makes the tables of them.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from typing import TYPE_CHECKING, Any, Final

from trainer.record import schema
from trainer.record.rebuild import Dump, dump, replay
from trainer.record.shared.batches import KeptEvent
from trainer.run.ports import JournalTrouble

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]

RUNS_AT_ONCE: Final = 50
"""So much is in memory at a time, whatever the record holds: some fifteen thousand events."""


_EVENTS = (
    "SELECT run, seq, id::text, stored, digest, head, person, salt, body FROM sinkside.events "
    "WHERE site = %s AND run = ANY(%s) ORDER BY run, seq, id"
)


def runs_of(connection: Connection, site: str) -> list[str]:
    """Every run of a station that has events, or stands in its list of runs, or in a table for reading."""
    parts = " UNION ".join(
        f"SELECT run FROM sinkside.{table} WHERE site = %(site)s"  # noqa: S608 - our tables
        for table in ("events", "heads", *schema.READ)
    )
    return [row[0] for row in connection.execute(f"{parts} ORDER BY run", {"site": site})]


def some_at_once(runs: Sequence[str]) -> Iterator[Sequence[str]]:
    """Runs in portions that fit into memory."""
    for begin in range(0, len(runs), RUNS_AT_ONCE):
        yield runs[begin : begin + RUNS_AT_ONCE]


def events_of(connection: Connection, site: str, runs: Sequence[str]) -> dict[str, list[KeptEvent]]:
    """The events of some runs, by run, in order."""
    found: dict[str, list[KeptEvent]] = {run: [] for run in runs}
    for row in connection.execute(_EVENTS, (site, list(runs))):
        event = KeptEvent(*row)
        found[event.run].append(event)
    return found


def made_again(events: Mapping[str, Iterable[KeptEvent]]) -> tuple[Dump, dict[str, str]]:
    """The tables for reading as these events give them, by run; what cannot be read is left out.

    Beside them, for runs of which nothing could be made at all, the sentence that says why.
    """
    try:
        return _made_again(one for run in events.values() for one in run), {}
    except JournalTrouble:
        return _one_by_one(events)


def _one_by_one(events: Mapping[str, Iterable[KeptEvent]]) -> tuple[Dump, dict[str, str]]:
    """The same, run by run, since one of them cannot be worked in."""
    tables: Dump = {table: [] for table in schema.PROJECTED}
    spoiled: dict[str, str] = {}
    for run, of_run in events.items():
        try:
            for table, rows in _made_again(of_run).items():
                tables[table] += rows
        except JournalTrouble as trouble:
            spoiled[run] = str(trouble)
    return tables, spoiled


def _made_again(events: Iterable[KeptEvent]) -> Dump:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as memory:
        for statement in (*schema.TRUTH, *schema.PROJECTIONS):
            memory.execute(statement)
        places = ", ".join("?" * len(KeptEvent._fields))
        memory.executemany(f"INSERT OR IGNORE INTO events VALUES ({places})", events)  # noqa: S608
        replay(memory, memory, leave_out=True)
        return dump(memory)


def as_kept(connection: Connection, site: str, runs: Sequence[str]) -> Dump:
    """The same tables as they lie in the shared record."""
    return {
        table: connection.execute(
            f"SELECT {columns(table)} FROM sinkside.{table} WHERE site = %s AND run = ANY(%s) ORDER BY 1, 2",  # noqa: S608
            (site, list(runs)),
        ).fetchall()
        for table in schema.READ
    }


def columns(table: str) -> str:
    """The columns of a table for reading, without the site, as SQL wants them."""
    return ", ".join(f'"{name}"' for name in COLUMNS[table])


def put_back(connection: Connection, site: str, runs: Sequence[str], tables: Dump) -> None:
    """Exchange the rows of some runs. Inside a transaction."""
    for table in schema.READ:
        connection.execute(
            f"DELETE FROM sinkside.{table} WHERE site = %s AND run = ANY(%s)",  # noqa: S608 - our tables
            (site, list(runs)),
        )
        places = ", ".join(["%s"] * (len(COLUMNS[table]) + 1))
        with connection.cursor() as cursor:
            cursor.executemany(
                f"INSERT INTO sinkside.{table} (site, {columns(table)}) VALUES ({places})",  # noqa: S608
                [(site, *row) for row in tables[table]],
            )


def _columns() -> Mapping[str, tuple[str, ...]]:
    with closing(sqlite3.connect(":memory:")) as memory:
        for statement in schema.PROJECTIONS:
            memory.execute(statement)
        return {
            table: tuple(row[1] for row in memory.execute(f"PRAGMA table_info({table})"))
            for table in schema.READ
        }


COLUMNS: Final = _columns()
"""The columns of the tables for reading as the station's own record has them."""

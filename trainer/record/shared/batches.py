"""What is to be forwarded, read from the record piece by piece.

Each piece is read in one short read transaction of a connection of its own: a trainee's act waits for it some
milliseconds at most. A piece is whole: of every run in it there are all events up to that moment, so that the
tables for reading that go with it say what its events say.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from trainer.record import schema
from trainer.record.migrations import MIGRATIONS
from trainer.record.shared.cursor import Cursor, read
from trainer.record.store import opened, troubles

MOST_EVENTS = 500
"""In a piece, before the rest of its runs. Whoever writes waits while one is read: 7 ms (21 ms for 2,000)."""

Cell = str | int | float | bytes | None
Row = tuple[Cell, ...]


EventRow = tuple[str, int, str, str, bytes, bytes, str, bytes | None, str | None]
"""A `KeptEvent` as it is read: to name its cells would take as long as half of reading it."""


class KeptEvent(NamedTuple):
    """An event as it is kept. In the order of the columns that are read."""

    run: str
    seq: int
    id: str
    stored: str
    digest: bytes
    head: bytes
    person: str
    salt: bytes | None
    body: str | None


class Told(NamedTuple):
    """An erasure of the record: a sealed line."""

    number: int
    at: str
    run: str
    seqs: str
    mac: bytes


@dataclass(frozen=True, slots=True)
class Batch:
    """A piece to forward in one transaction.

    cursor: where the record is forwarded to, once it is kept. runs: those it touches. ahead: of those that
    have events behind the cursor, the last. tables: of those runs, the rows of each table for reading. heads:
    run, number, opened, count, head, marked. sources: content hash, procedure, revision, bytes, kept_at.
    tries: day, what was found, how many. more: is still to come. arrays: by table, the rows as they are sent,
    once that is worked out.
    """

    cursor: Cursor
    events: Sequence[EventRow]
    runs: Sequence[str]
    ahead: Mapping[str, int]
    tables: Mapping[str, Sequence[Row]]
    heads: Sequence[Row]
    sources: Sequence[Row]
    erasures: Sequence[Told]
    station: Row | None
    tries: Sequence[Row]
    more: bool
    arrays: Mapping[str, Sequence[Sequence[object]]] = field(default_factory=dict)


@contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection that only reads, to a record that is there. Raises JournalTrouble."""
    with troubles(path):
        connection = opened(path)  # not read-only: what a crash left half-done must be rolled back first
        try:
            connection.execute("PRAGMA query_only = ON")
            yield connection
        finally:
            connection.close()


@contextmanager
def moment(connection: sqlite3.Connection) -> Iterator[None]:
    """The record as it stands at one moment. Whoever writes waits until the end of it."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        connection.execute("COMMIT")


_EVENT = "run, seq, id, stored, digest, head, person, salt, body"
_NEXT = f"SELECT {_EVENT} FROM events WHERE rowid > ? ORDER BY rowid LIMIT ?"  # noqa: S608 - our columns
_PLACE = "SELECT rowid FROM events WHERE run = ? AND seq = ?"
_REST = f"SELECT {_EVENT} FROM events WHERE run = ? AND seq > ? ORDER BY seq"  # noqa: S608 - the same
_ERASURES = "SELECT number, at, run, seqs, mac FROM erasures WHERE number > ? ORDER BY number LIMIT ?"
_HEADS = "SELECT run, number, opened, count, head, marked FROM heads WHERE run IN ({})"
_SOURCES = (
    "SELECT content_hash, procedure, revision, source, kept_at FROM procedures WHERE content_hash IN "
    "(SELECT content_hash FROM runs WHERE run IN ({}))"
)
_TRIES = "SELECT substr(at, 1, 10), found, count(*) FROM pin_tries GROUP BY 1, 2"
_STATION = "SELECT key_fingerprint, runs, erasures FROM station"


def next_batch(
    connection: sqlite3.Connection,
    cursor: Cursor,
    known_sources: Collection[str],
    ahead: Mapping[str, int],
    most: int = MOST_EVENTS,
) -> Batch:
    """The next piece behind `cursor`; with no events and `more` false where all is told.

    known_sources: content hashes that the shared record has already. ahead: of runs that were told whole by
    an earlier piece, the last event told.
    """
    with moment(connection):
        rows: list[EventRow] = connection.execute(_NEXT, (cursor.last, most)).fetchall()
        base = [row for row in rows if row[1] > ahead.get(row[0], 0)] if ahead else rows
        ends = len(rows) < most  # erasures come last, so that the runs they touch are told whole by then
        erasures = (
            [Told(*row) for row in connection.execute(_ERASURES, (cursor.erasure, most))] if ends else []
        )
        runs = list(dict.fromkeys([row[0] for row in base] + [one.run for one in erasures]))
        heads = _of_runs(connection, _HEADS, runs)
        rest = _rest(connection, {row[0]: row[1] for row in base}, heads)
        last, ident, beyond = _reached(connection, cursor, rows, rest)
        tables = {
            table: _of_runs(connection, f"SELECT * FROM {table} WHERE run IN ({{}})", runs)  # noqa: S608 - ours
            for table in schema.READ
        }
        sources = [row for row in _of_runs(connection, _SOURCES, runs) if row[0] not in known_sources]
        station = connection.execute(_STATION).fetchone()
        tries = connection.execute(_TRIES).fetchall() if ends else []
    moved = Cursor(last, ident, erasures[-1].number if erasures else cursor.erasure, len(MIGRATIONS))
    more = not ends or len(erasures) == most
    return Batch(moved, [*base, *rest], runs, beyond, tables, heads, sources, erasures, station, tries, more)


def _rest(connection: sqlite3.Connection, told: Mapping[str, int], heads: Sequence[Row]) -> list[EventRow]:
    """What the runs of a piece have behind its end. told: of each, the last event that the piece has."""
    found: list[EventRow] = []
    for run, _, _, count, *_ in heads:
        last = told.get(str(run))
        if last is not None and isinstance(count, int) and count > last:
            found += connection.execute(_REST, (run, last)).fetchall()
    return found


def _reached(
    connection: sqlite3.Connection, cursor: Cursor, rows: Sequence[EventRow], rest: Sequence[EventRow]
) -> tuple[int, str, dict[str, int]]:
    """Place and id of the last event up to which all are told, and of runs told beyond it the last event.

    Mostly one terminal is at work, and what a run has behind the end of a piece is all that follows there.
    """

    def place(row: EventRow) -> int:
        return int(connection.execute(_PLACE, row[:2]).fetchone()[0])

    if not rows:
        return cursor.last, cursor.id, {}
    end, beyond = place(rows[-1]), {row[0]: row for row in rest}
    last, row = max([(place(row), row) for row in beyond.values()], default=(end, rows[-1]))
    if last - end == len(rest):  # places are numbered without a gap: no event is ever taken out
        return last, row[2], {}
    return end, rows[-1][2], {run: row[1] for run, row in beyond.items()}


def _of_runs(connection: sqlite3.Connection, question: str, runs: Sequence[str]) -> list[Row]:
    """Ask a question with `{}` for a list of runs."""
    found: list[Row] = []
    for begin in range(0, len(runs), 500):
        some = runs[begin : begin + 500]
        found += connection.execute(question.format(", ".join("?" * len(some))), some).fetchall()
    return found


def together(parts: Sequence[Batch]) -> Batch:
    """Pieces one after another as one; of a run that is in several, the latest rows count."""
    last = {run: number for number, part in enumerate(parts) for run in part.runs}
    apart = sum(len(part.runs) for part in parts) == len(last)

    def latest(rows: Callable[[Batch], Sequence[Row]]) -> list[Row]:
        return [
            row
            for number, part in enumerate(parts)
            for row in rows(part)
            if apart or last[str(row[0])] == number
        ]

    def of(table: str) -> Callable[[Batch], Sequence[Row]]:
        return lambda part: part.tables[table]

    return replace(
        parts[-1],
        events=[one for part in parts for one in part.events],
        runs=list(last),
        ahead={run: seq for part in parts for run, seq in part.ahead.items()},
        tables={table: latest(of(table)) for table in schema.READ},
        heads=latest(lambda part: part.heads),
        sources=list(dict.fromkeys(row for part in parts for row in part.sources)),
        erasures=[one for part in parts for one in part.erasures],
    )


def something_waits(connection: sqlite3.Connection) -> bool:
    """Whether the record has events or erasures that were not told yet, as far as it knows."""
    with moment(connection):
        told = read(connection)
        last, erasure = connection.execute(
            "SELECT (SELECT ifnull(max(rowid), 0) FROM events), (SELECT ifnull(max(number), 0) FROM erasures)"
        ).fetchone()
    return bool(last != told.last or erasure != told.erasure or told.schema != len(MIGRATIONS))

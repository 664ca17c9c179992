"""How far a record is forwarded: the place of the last event sent, in the order in which events were kept.

The shared record has the cursor that counts, moved in the transaction that keeps the events. The record has
a copy, so that a station that is cut off knows how many wait. The cursor is held against the record's own
events before it is believed: a record put back from a backup, or a shared one, goes on from where both agree.
"""

from __future__ import annotations

import sqlite3
from typing import Final

from trainer.record import about
from trainer.record.migrations import MIGRATIONS
from trainer.run.frozen import frozen

FORWARDED: Final = "forwarded"
"""The name under which the copy is kept among what is to be known of the record."""

SITE: Final = "site"
"""The name under which the station's id in the shared record is kept."""


@frozen
class Cursor:
    """last: rowid of the last event that was sent (0: none), id: that event's. erasure: number of the last
    erasure told. schema: the record's own; with another one, its tables for reading are others too."""

    last: int = 0
    id: str = ""
    erasure: int = 0
    schema: int = 0


def read(connection: sqlite3.Connection) -> Cursor:
    """The record's own copy; the beginning where there is none, or none that can be read."""
    row = connection.execute("SELECT value FROM about WHERE name = ?", (FORWARDED,)).fetchone()
    parts = str(row[0]).split(" ") if row else []
    if len(parts) != 4:
        return Cursor()
    last, erasure, schema, ident = parts
    if not all(part.isascii() and part.isdecimal() for part in (last, erasure, schema)):
        return Cursor()
    return Cursor(int(last), ident, int(erasure), int(schema))


def write(connection: sqlite3.Connection, cursor: Cursor) -> None:
    """Keep the copy. Inside a transaction."""
    value = f"{cursor.last} {cursor.erasure} {cursor.schema} {cursor.id}"
    about.write(connection, FORWARDED, value)


def agreed(connection: sqlite3.Connection, told: Cursor | None) -> Cursor:
    """Where to go on: what the shared record told, if the record has that very event in that place.

    Else one of them was put back from a backup, or the record's tables for reading were made anew: everything
    is told again, and what is known changes nothing.
    """
    if told is None or told.schema != len(MIGRATIONS):
        return Cursor()
    if told.last == 0:
        return told
    row = connection.execute("SELECT id FROM events WHERE rowid = ?", (told.last,)).fetchone()
    known = connection.execute("SELECT ifnull(max(number), 0) FROM erasures").fetchone()[0]
    return told if row is not None and row[0] == told.id and told.erasure <= known else Cursor()


def waiting(connection: sqlite3.Connection) -> int:
    """How many events wait to be forwarded, as far as the record knows. Events are never taken out."""
    last = connection.execute("SELECT ifnull(max(rowid), 0) FROM events").fetchone()[0]
    return max(0, int(last) - read(connection).last)

"""The record's schema, brought up to date step by step."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

from trainer.record import schema, schema_first
from trainer.record.store import writing
from trainer.run.ports import JournalTrouble

Migration = Callable[[sqlite3.Connection], None]


def first_tables(connection: sqlite3.Connection) -> None:
    """Events, heads, people and projections."""
    connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    for statement in (*schema_first.TRUTH, *schema.EVENT_TRIGGERS.values(), *schema_first.PROJECTIONS):
        connection.execute(statement)


def tables_for_review(connection: sqlite3.Connection) -> None:
    """What is to be known of the record, and what the review reads: visits, plates, signatures, settings."""
    connection.execute(schema.ABOUT)
    _projections_anew(connection)


def _projections_anew(connection: sqlite3.Connection) -> None:
    """All tables for reading as they are today, whatever they were. An event that cannot be read is left out.

    One bad run must not shut the others out; `verify` says what is wrong with it.
    """
    from trainer.record.rebuild import replay  # it knows of migrations itself

    for table in dict.fromkeys((*schema_first.PROJECTED, *schema.PROJECTED)):
        connection.execute(f"DROP TABLE IF EXISTS {table}")
    for statement in schema.PROJECTIONS:
        connection.execute(statement)
    replay(connection, connection, leave_out=True)


MIGRATIONS: tuple[Migration, ...] = (first_tables, tables_for_review)
"""In order. A migration is never changed or taken out once a station has run it; a change is a new one."""


def applied(connection: sqlite3.Connection, path: Path) -> int:
    """How many migrations the file has seen; 0 for an empty one. Raises JournalTrouble for a foreign file."""
    # tables first: where another terminal makes them at this moment, its mark is there once they are
    if not connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]:
        return 0
    if connection.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
        raise JournalTrouble(
            f"The file {path} is a database of another program, not a Sinkside record. "
            "Name the right file with --record."
        )
    number: object = connection.execute("SELECT max(number) FROM migrations").fetchone()[0]
    if not isinstance(number, int) or number < 1:
        raise JournalTrouble(
            f"The record {path} is damaged: it does not say which schema it has. Keep the file as it is, "
            "and go on with a copy from a backup."
        )
    return number


def refuse_newer(number: int, path: Path) -> None:
    """Raise JournalTrouble where the file was written by a newer Sinkside."""
    if number > len(MIGRATIONS):
        raise JournalTrouble(
            f"The record {path} was written by a newer Sinkside (schema {number}; this one knows "
            f"{len(MIGRATIONS)}). Install the newer version; the record was left as it is."
        )


def migrate(connection: sqlite3.Connection, path: Path, at: str) -> None:
    """Apply what is missing, each migration in one transaction with the row that records it.

    at: the present time, for that row. Raises JournalTrouble where the file is newer than this program.
    """
    number = applied(connection, path)
    refuse_newer(number, path)
    while number < len(MIGRATIONS):
        with writing(connection):
            number = applied(connection, path)  # again, now that no other terminal can write in between
            refuse_newer(number, path)
            if number < len(MIGRATIONS):
                step = MIGRATIONS[number]
                step(connection)
                number += 1
                row = (number, step.__name__, at)
                connection.execute("INSERT INTO migrations (number, name, at) VALUES (?, ?, ?)", row)

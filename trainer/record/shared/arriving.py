"""Where many rows arrive: temporary tables, since COPY writes to none whose rows are guarded.

They are made when first wanted, so that the few events of a run at work leave nothing behind at the server.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from trainer.record import schema

if TYPE_CHECKING:
    from psycopg import Connection

    from trainer.record.shared.batches import Row

EVENTS: Final = "events"
_EVENT_COLUMNS: Final = (
    *(("run", "text"), ("seq", "int4"), ("id", "text"), ("stored", "text"), ("digest", "bytea")),
    *(("head", "bytea"), ("person", "text"), ("salt", "bytea"), ("body", "text")),
)
_TYPES: Final = {"TEXT": "text", "INTEGER": "int8", "REAL": "float8", "BLOB": "bytea"}


@cache
def columns() -> dict[str, tuple[tuple[str, str], ...]]:
    """Names and PostgreSQL types of the columns that a station sends, by table."""
    found: dict[str, tuple[tuple[str, str], ...]] = {EVENTS: _EVENT_COLUMNS}
    with closing(sqlite3.connect(":memory:")) as memory:
        for statement in schema.PROJECTIONS:
            memory.execute(statement)
        for table in schema.READ:
            rows = memory.execute(f"SELECT name, type FROM pragma_table_info('{table}') ORDER BY cid")  # noqa: S608 - ours
            found[table] = tuple((name, _TYPES[kind]) for name, kind in rows)
    return found


class Arriving:
    """The temporary tables of one connection: `arriving_events`, `arriving_runs`, ..."""

    def __init__(self, connection: Connection[tuple[Any, ...]]) -> None:
        self._connection = connection
        self._there: set[str] = set()

    def copy(self, table: str, rows: Sequence[Row]) -> None:
        """Put rows there; they are gone at the end of the transaction."""
        self._make(table)
        with (
            self._connection.cursor() as cursor,
            cursor.copy(f"COPY arriving_{table} FROM STDIN (FORMAT BINARY)") as copy,
        ):
            copy.set_types([kind for _, kind in columns()[table]])
            for row in rows:
                copy.write_row(row)

    def _make(self, table: str) -> None:
        if table in self._there:
            return
        shape = ", ".join(f'"{name}" {kind}' for name, kind in columns()[table])
        self._connection.execute(
            f"CREATE TEMP TABLE IF NOT EXISTS arriving_{table} ({shape}) ON COMMIT DELETE ROWS"
        )
        self._there.add(table)

    def forget(self) -> None:
        """A transaction was undone, and tables with it, perhaps."""
        self._there.clear()

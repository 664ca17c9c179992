"""What a credential sees of the shared record as a station's file is: for exports, which read such files.

The copy lies in a file without a name that is gone when it is closed, so that its size does not matter.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import islice
from pathlib import Path

from trainer.record import schema
from trainer.record.migrations import migrate
from trainer.record.part import Only, Part
from trainer.record.shared.reading import COLUMNS, Reading, columns_of, reading

_AT_ONCE = 10_000
_COPIED = {name: ", ".join(columns) for name, columns in COLUMNS.items()} | {"schools": "run, school"}


@contextmanager
def copied(part: Part, at: str, only: Only) -> Iterator[sqlite3.Connection]:
    """The copy, as the shared record stands now. at: the present time. Raises SharedTrouble, NoSuchPlace.

    Of other runs nothing is fetched. A table of its own, `schools`, says of which school each run is.
    """
    with closing(sqlite3.connect("", isolation_level=None)) as copy:
        copy.execute("PRAGMA synchronous = OFF")
        with reading(part, only) as record:
            migrate(copy, Path(record.shown), at)
            copy.execute("BEGIN")
            copy.execute("CREATE TABLE schools (run TEXT PRIMARY KEY, school TEXT NOT NULL)")
            for table, names in _COPIED.items():
                _copy(record, copy, table, names)
            for table in schema.READ:
                _copy(record, copy, table, ", ".join(f'"{name}"' for name in columns_of(table)))
            copy.execute("COMMIT")
        yield copy


def _copy(record: Reading, copy: sqlite3.Connection, table: str, names: str) -> None:
    """All rows of a table, some thousand at a time."""
    rows = record.stream(f"SELECT {names} FROM {table}")  # noqa: S608 - our tables and columns
    places = ", ".join("?" * len(names.split(", ")))
    while some := list(islice(rows, _AT_ONCE)):
        copy.executemany(f"INSERT INTO {table} ({names}) VALUES ({places})", some)  # noqa: S608 - the same

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
from trainer.record.shared.address import SharedAddress
from trainer.record.shared.reading import COLUMNS, Reading, columns_of, reading

_AT_ONCE = 10_000
_COPIED = {name: ", ".join(columns) for name, columns in COLUMNS.items()}


@contextmanager
def copied(address: SharedAddress, at: str) -> Iterator[sqlite3.Connection]:
    """The copy, as the shared record stands now. at: the present time. Raises SharedTrouble."""
    with closing(sqlite3.connect("", isolation_level=None)) as copy:
        migrate(copy, Path(address.shown), at)
        copy.execute("PRAGMA synchronous = OFF")
        with reading(address) as record:
            copy.execute("BEGIN")
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

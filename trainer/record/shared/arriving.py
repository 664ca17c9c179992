"""Many rows in one statement: each column goes as an array, and the server makes rows of them again.

COPY writes to no table whose rows are guarded. A temporary table in between would be a file at the server, to
be filled, read and cut off again with every piece; arrays stay in memory. They are put together here, in the
form in which PostgreSQL takes them (`array_recv`), since there are some hundred thousand cells in a piece.
"""

from __future__ import annotations

import re
import sqlite3
import struct
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import UTC, date, datetime
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final, TypeVar

from trainer.record import schema

if TYPE_CHECKING:
    from psycopg import Connection

    from trainer.record.shared.batches import Row

    Driver = Connection[tuple[Any, ...]]

EVENTS: Final = "events"
_EVENT_COLUMNS: Final = (
    *(("run", "text"), ("seq", "int4"), ("id", "uuid"), ("stored", "text"), ("digest", "bytea")),
    *(("head", "bytea"), ("person", "text"), ("salt", "bytea"), ("body", "text")),
)
_TYPES: Final = {"TEXT": "text", "INTEGER": "int8", "REAL": "float8", "BLOB": "bytea"}
UUID7: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
"""A UUIDv7 as it is written (RFC 9562, sections 4 and 5.7)."""

R = TypeVar("R")
Arrays = Sequence[object]
"""The columns of some rows, in order, each as one value."""

AT_ONCE: Final = 4000
"""Rows in a statement: so many that asking costs little, so few that they fit into the processors' caches."""


class NoId(ValueError):  # noqa: N818 - caught, and never shown
    """An event has an id that is none."""


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


def rows_of(table: str) -> str:
    """The rows as SQL has them, with a place for each of their `arrays`."""
    parts = ", ".join(f'unnest(%s::{kind}[]) AS "{name}"' for name, kind in columns()[table])
    return f"(SELECT {parts}) AS arriving"  # in step with each other, and without being put down anywhere


def arrays(driver: Driver, table: str, rows: Sequence[Row]) -> list[Arrays]:
    """Rows of a table as arrays, some thousand rows at a time.

    driver: a connection of which nothing is asked, so any thread may call it. Raises NoId, psycopg.Error.
    """
    kinds = [kind for _, kind in columns()[table]]
    return [
        [_array(driver, kind, column) for kind, column in zip(kinds, zip(*some, strict=True), strict=True)]
        for some in in_turns(rows)
    ]


def in_turns(rows: Sequence[R]) -> Iterator[Sequence[R]]:
    """The rows that go in one statement after another."""
    return (rows[begin : begin + AT_ONCE] for begin in range(0, len(rows), AT_ONCE))


def month_of(ids: Sequence[str]) -> date | None:
    """The month that UUIDv7s were all made in, as `sinkside.month_of` has it; None where they are of several.

    It may also be one that no calendar here has: then the server is to work it out too.
    """
    months = {_month(min(ids)), _month(max(ids))}  # written in small letters, they are in order of time
    return months.pop() if len(months) == 1 else None


def _month(made: str) -> date | None:
    seconds = int(made[:8] + made[9:13], 16) // 1000  # the first 48 bits are milliseconds (RFC 9562, 5.7)
    try:
        return datetime.fromtimestamp(seconds, UTC).date().replace(day=1)
    except (OverflowError, OSError, ValueError):
        return None


def let_through(connection: Driver) -> None:
    """Have a connection send arrays as they are."""
    for of, dumper in _dumpers():
        connection.adapters.register_dumper(of, dumper)


class _Texts(bytes):
    """An array of texts."""


class _Blobs(bytes):
    """An array of bytes."""


class _Ids(bytes):
    """An array of UUIDs."""


class _Decimals(bytes):
    """An array of floats."""


_ARRAYS: Final[dict[str, tuple[type[bytes], int, int]]] = {
    "text": (_Texts, 25, 1009),
    "bytea": (_Blobs, 17, 1001),
    "uuid": (_Ids, 2950, 2951),
    "float8": (_Decimals, 701, 1022),
}
"""By type: its arrays here, and how PostgreSQL numbers the type and arrays of it (`pg_type.dat`)."""


def _array(driver: Driver, kind: str, column: Sequence[Any]) -> object:
    if kind not in _ARRAYS:  # whole numbers go as text
        return "{" + ",".join(["NULL" if cell is None else str(cell) for cell in column]) + "}"
    if kind == "uuid":
        if not all(map(UUID7.fullmatch, column)):
            raise NoId
        whole = bytes.fromhex("".join(column).replace("-", ""))
        column = [whole[at : at + 16] for at in range(0, len(whole), 16)]
    of, oid, _ = _ARRAYS[kind]
    # One dimension, whether there are NULLs, the type, how many cells, the number of the first.
    return of(b"".join((_HEAD(1, int(None in column), oid, len(column), 1), _cells(driver, column))))


_HEAD: Final = struct.Struct(">5i").pack
_BEFORE: Final = 11 + 4 + 4 + 2
"""Bytes of COPY's binary format before a first cell: signature, flags, extension's length, cells in a row."""


def _cells(driver: Driver, column: Sequence[Any]) -> memoryview:
    """The cells of a column, each behind its length: as the driver packs a row of so many for COPY.

    An array has its cells in the same form, and nothing that could be written here is as quick.
    """
    from psycopg import Copy
    from psycopg.copy import FileWriter

    packed = BytesIO()
    with Copy(driver.cursor(), binary=True, writer=FileWriter(packed)) as copy:
        copy.write_row(column)
    return packed.getbuffer()[_BEFORE:-2]


@cache
def _dumpers() -> tuple[tuple[type, type], ...]:
    from psycopg.adapt import Dumper
    from psycopg.pq import Format

    def as_it_is(number: int) -> type[Dumper]:
        class AsItIs(Dumper):
            format = Format.BINARY
            oid = number

            def dump(self, obj: bytes) -> bytes:
                return obj

        return AsItIs

    return tuple((of, as_it_is(number)) for of, _, number in _ARRAYS.values())

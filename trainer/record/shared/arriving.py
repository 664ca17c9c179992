"""Many rows in one statement: each column goes as an array, and the server makes rows of them again.

COPY writes to no table whose rows are guarded. A temporary table in between would be a file at the server, to
be filled, read and cut off again with every piece; arrays stay in memory. They are put together here, in the
form in which PostgreSQL takes them (`array_recv`), since there are some hundred thousand cells in a piece.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from functools import cache
from itertools import chain
from typing import TYPE_CHECKING, Any, Final

from trainer.record import schema

if TYPE_CHECKING:
    from psycopg import Connection

    from trainer.record.shared.batches import Row

EVENTS: Final = "events"
_EVENT_COLUMNS: Final = (
    *(("run", "text"), ("seq", "int4"), ("id", "uuid"), ("stored", "text"), ("digest", "bytea")),
    *(("head", "bytea"), ("person", "text"), ("salt", "bytea"), ("body", "text")),
)
_TYPES: Final = {"TEXT": "text", "INTEGER": "int8", "REAL": "float8", "BLOB": "bytea"}
_OIDS: Final = {"text": (25, 1009), "bytea": (17, 1001), "uuid": (2950, 2951)}
"""Of a type and of its arrays, as PostgreSQL numbers them (`pg_type.dat`)."""
_NULL: Final = b"\xff\xff\xff\xff"
"""The length that says that a cell is NULL."""
UUID7: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
"""A UUIDv7 as it is written (RFC 9562, sections 4 and 5.7)."""

Arrays = Sequence[object]
"""The columns of some rows, in order, each as one value."""


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


def arrays(table: str, rows: Sequence[Row]) -> Arrays:
    """Rows of a table as arrays; at least one. Raises NoId."""
    kinds = [kind for _, kind in columns()[table]]
    return [_array(kind, column) for kind, column in zip(kinds, zip(*rows, strict=True), strict=True)]


def let_through(connection: Connection[tuple[Any, ...]]) -> None:
    """Have a connection send arrays as they are."""
    for of, dumper in _dumpers():
        connection.adapters.register_dumper(of, dumper)


class _Texts(bytes):
    """An array of texts."""


class _Blobs(bytes):
    """An array of bytes."""


class _Ids(bytes):
    """An array of UUIDs."""


class _Lengths(dict[int, bytes]):
    """Lengths as they stand before cells; most of them come again and again."""

    def __missing__(self, length: int) -> bytes:
        written = length.to_bytes(4, "big")
        if length < 10_000:
            self[length] = written
        return written


_LENGTHS: Final = _Lengths()


def _array(kind: str, column: Sequence[Any]) -> object:
    match kind:
        case "text":
            return _Texts(_written(kind, [text if text is None else text.encode() for text in column]))
        case "bytea":
            return _Blobs(_written(kind, column))
        case "uuid":
            if not all(map(UUID7.fullmatch, column)):
                raise NoId
            whole = bytes.fromhex("".join(column).replace("-", ""))
            return _Ids(_written(kind, [whole[at : at + 16] for at in range(0, len(whole), 16)]))
        case _:  # numbers, as text
            return "{" + ",".join(["NULL" if cell is None else repr(cell) for cell in column]) + "}"


def _written(kind: str, cells: Sequence[bytes | None]) -> bytes:
    """One dimension, whether there are NULLs, the type, how many, the first one's number; then the cells."""
    there = [cell for cell in cells if cell is not None]
    gaps = len(there) < len(cells)
    head = b"".join(map(_LENGTHS.__getitem__, (1, int(gaps), _OIDS[kind][0], len(cells), 1)))
    if gaps:
        return head + b"".join([_NULL if cell is None else _LENGTHS[len(cell)] + cell for cell in cells])
    sizes = list(map(len, there))
    if len(set(sizes)) == 1:  # as of ids, times and digests
        before = _LENGTHS[sizes[0]]
        return head + before + before.join(there)
    return head + b"".join(chain.from_iterable(zip(map(_LENGTHS.__getitem__, sizes), there, strict=True)))


@cache
def _dumpers() -> tuple[tuple[type, type], ...]:
    from psycopg.adapt import Dumper
    from psycopg.pq import Format

    def as_it_is(kind: str) -> type[Dumper]:
        class AsItIs(Dumper):
            format = Format.BINARY
            oid = _OIDS[kind][1]

            def dump(self, obj: bytes) -> bytes:
                return obj

        return AsItIs

    return (_Texts, as_it_is("text")), (_Blobs, as_it_is("bytea")), (_Ids, as_it_is("uuid"))

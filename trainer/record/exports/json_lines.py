"""One JSON value a line (RFC 8259), each in canonical form (RFC 8785): the same record, the same bytes."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.record import chain
from trainer.record.exports.source import Source
from trainer.record.exports.tables import Table, Told, wanted_events


def event_lines(source: Source, told: Told) -> Iterator[bytes]:
    """Every wanted event whole, as the record keeps it. told: hears of runs that had to be left out."""
    for _, one in wanted_events(source, told):
        yield chain.canonical(one.value) + b"\n"


def row_lines(table: Table) -> Iterator[bytes]:
    """The rows of a table, an object each."""
    names = [column.name for column in table.columns]
    for row in table.rows:
        yield chain.canonical(dict(zip(names, row, strict=True))) + b"\n"

"""Tables as Parquet. Imports polars (170 ms): only from a command that writes such a file."""

from __future__ import annotations

import io

import polars as pl
from polars.datatypes import DataTypeClass

from trainer.record.exports.tables import Cell, Column, Kind, Table
from trainer.run.clock import to_ms
from trainer.run.ports import JournalTrouble

_AT = pl.Datetime("ms", "UTC")
_TYPES: dict[Kind, DataTypeClass | pl.DataType] = {
    "text": pl.String,
    "whole": pl.Int64,
    "number": pl.Float64,
    "truth": pl.Boolean,
    "time": _AT,
}


def parquet_bytes(table: Table) -> bytes:
    """The file. Times are UTC to the millisecond. Raises JournalTrouble where a row was spoiled."""
    columns: list[list[Cell]] = [[] for _ in table.columns]
    for row in table.rows:
        for column, cell, kept in zip(table.columns, row, columns, strict=True):
            kept.append(_moment(cell, table.name) if column.kind == "time" else cell)
    frame = pl.DataFrame(
        [_series(column, kept, table.name) for column, kept in zip(table.columns, columns, strict=True)]
    )
    written = io.BytesIO()
    frame.write_parquet(written)
    return written.getvalue()


def _series(column: Column, cells: list[Cell], name: str) -> pl.Series:
    try:
        if column.kind == "time":
            return pl.Series(column.name, cells, dtype=pl.Int64, strict=True).cast(_AT)
        return pl.Series(column.name, cells, dtype=_TYPES[column.kind], strict=True)
    except (TypeError, pl.exceptions.PolarsError) as error:
        raise JournalTrouble(_SPOILED.format(name=name)) from error


def _moment(cell: Cell, name: str) -> int | None:
    """Milliseconds since 1970; none where nothing happened."""
    if cell is None or cell == "":
        return None
    try:
        return to_ms(str(cell))
    except ValueError as error:
        raise JournalTrouble(_SPOILED.format(name=name)) from error


_SPOILED = (
    "The table {name} holds what was never written there. Make it again with `sinkside record rebuild`."
)

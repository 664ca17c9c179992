"""From the shared record to frames and facts: by COPY into polars, no value through Python."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

import polars as pl

from trainer.insight.dropped import LookUp, wanted
from trainer.insight.frames import SCHEMAS, Frames
from trainer.insight.read import ClassRecord, as_it_is, kept_as, plans
from trainer.insight.sound import MAY_LACK, sound
from trainer.record.shared.address import SharedAddress
from trainer.record.shared.reading import Reading, reading
from trainer.run.ports import JournalTrouble

_NOTHING = "\\N"
"""How a column says that it holds nothing; columns that always say something are not looked at for it."""
_BLOCK = 32 << 20
"""Bytes that are parsed at a time."""


def read_shared(address: SharedAddress, look_up: LookUp = wanted) -> ClassRecord:
    """What the credential sees of the shared record, as it stands now; nobody who writes waits for it.

    Raises SharedTrouble where it cannot be reached or read; JournalTrouble where nothing is in it.
    """
    with reading(address) as record:
        frames = Frames(**{table: _frame(record, table, look_up) for table in SCHEMAS})
        if frames.runs.is_empty():
            raise JournalTrouble(
                f"The shared record at {address.shown} holds no run that this credential sees. Stations "
                "forward theirs with `sinkside record forward`."
            )
        facts, unread = plans(record, look_up)
        invented, troubles = record.invented, tuple(record.troubles)
    frames, left_out = sound(frames)
    return ClassRecord(frames, facts, invented, (*troubles, *left_out, *unread))


def _frame(record: Reading, table: str, look_up: LookUp) -> pl.DataFrame:
    schema = SCHEMAS[table]
    kept = pl.Schema({name: kept_as(kind) for name, kind in schema.items()})
    question = f"SELECT {', '.join(map(_asked, kept, kept.values()))} FROM {table} ORDER BY {_order(table)}"  # noqa: S608 - our own names
    parts = [pl.DataFrame(schema=schema)]
    for block in _blocks(record, question):
        look_up()
        rows = pl.read_csv(
            block,
            has_header=False,
            schema=kept,
            null_values={name: _NOTHING for name in kept if name in MAY_LACK or kept[name] != pl.String},
            empty_string_is_null=False,
        )
        parts.append(as_it_is(rows, schema))
    return pl.concat(parts, rechunk=True)


def _blocks(record: Reading, question: str) -> Iterator[BytesIO]:
    """Rows as CSV, some ten megabytes at a time."""
    block = BytesIO()
    for rows in record.as_csv(question):
        block.write(rows)
        if block.tell() >= _BLOCK:
            block.seek(0)
            yield block
            block = BytesIO()
    if block.tell():
        block.seek(0)
        yield block


def _asked(name: str, kind: pl.DataType) -> str:
    """A column; a number that is none becomes nothing, which the run is then left out for."""
    if kind != pl.Float64:
        return f'"{name}"'
    return f'CASE WHEN "{name}" > \'-Infinity\' AND "{name}" < \'Infinity\' THEN "{name}" END AS "{name}"'


def _order(table: str) -> str:
    """As a station's file gives its rows."""
    return {"runs": "opened_at, run", "settings": "run, name", "plates": "run, plate"}.get(
        table, "run, plate, seq"
    )

"""From the shared record to frames and facts: by COPY into polars, no value through Python."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO

import polars as pl

from trainer.insight.dropped import LookUp, wanted
from trainer.insight.frames import SCHEMAS, Frames
from trainer.insight.read import ClassRecord, as_it_is, condition_on, end_of, kept_as, plans, works_of
from trainer.insight.sound import MAY_LACK, sound
from trainer.record.part import EVERY_RUN, Only, Part
from trainer.record.shared.address import SharedAddress
from trainer.record.shared.reading import Reading, reading
from trainer.run.ports import JournalTrouble

_NOTHING = "\\N"
"""How a column says that it holds nothing; columns that always say something are not looked at for it."""
_BLOCK = 32 << 20
"""Bytes that are parsed at a time."""


def read_shared(of: SharedAddress | Part, look_up: LookUp = wanted, only: Only = EVERY_RUN) -> ClassRecord:
    """What the credential sees of the shared record, or a part of that; nobody who writes waits for it.

    only: as in `read.read`; nothing else is fetched. Raises SharedTrouble where it cannot be reached or read;
    NoSuchPlace; JournalTrouble where nothing is in it.
    """
    with reading(of) as record:
        frames = Frames(**{table: _frame(record, table, look_up, only) for table in SCHEMAS})
        if frames.runs.is_empty() and not record.execute("SELECT run FROM runs LIMIT 1").fetchone():
            raise JournalTrouble(
                f"The shared record at {record.shown} holds no run that this credential sees. Stations "
                "forward theirs with `sinkside record forward`."
            )
        facts, unread = plans(record, look_up)
        invented, troubles = record.invented, tuple(record.troubles)
        end, works = end_of(record), works_of(record)
    frames, left_out = sound(frames)
    return ClassRecord(frames, facts, invented, (*troubles, *left_out, *unread), only, end, works)


def _frame(record: Reading, table: str, look_up: LookUp, only: Only) -> pl.DataFrame:
    schema = SCHEMAS[table]
    kept = pl.Schema({name: kept_as(kind) for name, kind in schema.items()})
    condition, values = condition_on(table, only)
    names = ", ".join(map(_asked, kept, kept.values()))
    question = f"SELECT {names} FROM {table} {condition} ORDER BY {_order(table)}"  # noqa: S608 - our own names
    parts = [pl.DataFrame(schema=schema)]
    for block in _blocks(record, question, values):
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


def _blocks(record: Reading, question: str, values: Sequence[str | int]) -> Iterator[BytesIO]:
    """Rows as CSV, some ten megabytes at a time."""
    block = BytesIO()
    for rows in record.as_csv(question, values):
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

"""From a record's file to frames and facts. What cannot be read of it is told, and the rest goes on."""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import polars as pl

from trainer.insight.dropped import LookUp, wanted
from trainer.insight.facts import Facts, ProcedureFacts, facts_of
from trainer.insight.frames import AT, SCHEMAS, Frames
from trainer.insight.sound import sound
from trainer.procedure.load import load_bytes
from trainer.procedure.problems import first_sentence
from trainer.procedure.text import clean, one_line
from trainer.record.asking import Asked
from trainer.record.migrations import applied, migrate, refuse_newer
from trainer.record.store import snapshot
from trainer.run.clock import from_ms
from trainer.run.ports import JournalTrouble

if TYPE_CHECKING:
    from trainer.record.shared.reading import Place

_AT_ONCE = 16_384
"""Rows made into a frame at a time: as Python's values a million rows would take a gigabyte."""
_LINES = ("note", "reason", "excused")
"""Columns whose texts may have several lines."""
_PLAIN = r"^[\x20-\x7e]*$"
_NOT_UTF8 = (
    "Some texts of the record {path} are damaged: what cannot be read of them is shown as \ufffd. "
    "See `sinkside record verify`."
)


@dataclass(frozen=True, slots=True)
class ClassRecord:
    """What a record holds. invented: empty for a real one. troubles: sentences on what is left out."""

    frames: Frames
    facts: Facts
    invented: str
    troubles: tuple[str, ...]


def read(path: Place, look_up: LookUp = wanted) -> ClassRecord:
    """The record at `path`, a file or the shared one, as it stands at this moment.

    Nobody who writes is held up, and nothing is changed.

    A record of an older Sinkside is brought up to date in memory. look_up: called between pieces of the work.
    Raises JournalTrouble for a file that is missing, empty, foreign, newer or damaged as a whole.
    """
    if not isinstance(path, Path):
        from trainer.insight.read_shared import read_shared  # psycopg: 60 ms

        return read_shared(path, look_up)
    with snapshot(path) as copy:
        if not (number := applied(copy, path)):
            raise JournalTrouble(f"The record {path} is empty: nobody has worked with it yet.")
        refuse_newer(number, path)
        migrate(copy, path, from_ms(0))
        troubles: list[str] = []
        try:
            frames = frames_of(copy, look_up)
        except sqlite3.OperationalError as error:
            if "decode to UTF-8" not in str(error):
                raise
            copy.text_factory = _as_far_as_it_goes
            frames = frames_of(copy, look_up)
            troubles.append(one_line(_NOT_UTF8.format(path=path)))
        frames, left_out = sound(frames)
        facts, unread = plans(copy, look_up)
        about = copy.execute("SELECT value FROM about WHERE name = 'invented'").fetchone()
    return ClassRecord(frames, facts, one_line(about[0]) if about else "", (*troubles, *left_out, *unread))


def _as_far_as_it_goes(text: bytes) -> str:
    return text.decode("utf-8", "replace")


def frames_of(connection: sqlite3.Connection, look_up: LookUp = wanted) -> Frames:
    """The tables of a record as they lie there. Raises sqlite3.Error."""
    return Frames(**{table: _frame(connection, table, schema, look_up) for table, schema in SCHEMAS.items()})


def _frame(connection: sqlite3.Connection, table: str, schema: pl.Schema, look_up: LookUp) -> pl.DataFrame:
    """A table of the record. Times that are none become null."""
    kept = pl.Schema({name: kept_as(kind) for name, kind in schema.items()})
    names = ", ".join(f'"{name}"' for name in schema)
    order = "opened_at, run" if table == "runs" else "run" if table == "settings" else "run, plate"
    rows = connection.execute(f"SELECT {names} FROM {table} ORDER BY {order}")  # noqa: S608 - our own names
    parts = [pl.DataFrame(schema=kept)]
    while some := rows.fetchmany(_AT_ONCE):
        look_up()
        parts.append(pl.DataFrame(some, schema=kept, orient="row"))
    return as_it_is(pl.concat(parts), schema)


def as_it_is(rows: pl.DataFrame, schema: pl.Schema) -> pl.DataFrame:
    """Rows as a record keeps them (`kept_as`), clean and of the kinds that findings want."""
    return _cleaned(rows).select(_as_it_is(name, kind) for name, kind in schema.items())


def kept_as(kind: pl.DataType) -> pl.DataType:
    """What a record keeps a column as: times are texts, truths numbers."""
    if kind == AT:
        return pl.String()
    return pl.Int64() if kind == pl.Boolean else kind


def _as_it_is(name: str, kind: pl.DataType) -> pl.Expr:
    if kind == AT:
        return pl.col(name).str.to_datetime(
            "%Y-%m-%dT%H:%M:%S%.3fZ", time_unit="ms", time_zone="UTC", strict=False
        )
    return pl.col(name).cast(kind)


def _cleaned(frame: pl.DataFrame) -> pl.DataFrame:
    """Without control characters and the like: a file may have been changed by anything."""
    for name, kind in frame.schema.items():
        if kind != pl.String:
            continue
        odd = frame[name].filter(~frame[name].str.contains(_PLAIN)).unique().drop_nulls().to_list()
        cleaned = clean if name in _LINES else one_line
        new = {text: cleaned(text) for text in odd if cleaned(text) != text}
        if new:
            frame = frame.with_columns(pl.col(name).replace(new))
    return frame


def plans(connection: Asked, look_up: LookUp) -> tuple[dict[str, ProcedureFacts], list[str]]:
    """Facts of the procedures that runs were bound to, by content hash, and what cannot be read of them."""
    rows = connection.execute(
        "SELECT content_hash, procedure, revision, source FROM procedures ORDER BY kept_at, content_hash"
    ).fetchall()
    facts: dict[str, ProcedureFacts] = {}
    troubles: list[str] = []
    for content_hash, procedure, revision, source in rows:
        look_up()
        name = one_line(f"`{procedure}`, revision {revision}")
        if hashlib.sha256(source).hexdigest() != content_hash:
            troubles.append(
                f"The kept text of the procedure {name} is not the one its runs were bound to. {_KEPT}"
            )
            continue
        loaded = load_bytes(source, f"{procedure}.yaml")
        if loaded.plan is None:
            said = first_sentence(loaded.problems, loaded.file)
            troubles.append(one_line(f"The procedure {name} can no longer be read: {said} {_KEPT}"))
            continue
        facts[content_hash] = facts_of(loaded.plan)
    return facts, troubles


_KEPT = "Its runs are counted; its words and rules are not there."

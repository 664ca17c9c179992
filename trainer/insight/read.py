"""From a record's file to frames and facts. What cannot be read of it is told, and the rest goes on."""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import polars as pl

from trainer.insight.dropped import LookUp, wanted
from trainer.insight.facts import Facts, ProcedureFacts, facts_of
from trainer.insight.frames import AT, SCHEMAS, Frames
from trainer.insight.glance import UNKNOWN, as_text, moment
from trainer.insight.results import Wanted
from trainer.insight.sound import sound
from trainer.procedure.load import load_bytes
from trainer.procedure.problems import first_sentence
from trainer.procedure.text import clean, one_line
from trainer.record.asking import Asked
from trainer.record.migrations import applied, migrate, refuse_newer
from trainer.record.part import EVERY_RUN, Only, narrow, part_of
from trainer.record.store import snapshot
from trainer.run.clock import from_ms
from trainer.run.ports import JournalTrouble

if TYPE_CHECKING:
    from trainer.record.part import Place

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
    """What a record holds. invented: empty for a real one. troubles: sentences on what is left out.

    only: what was read of it. Of all of the record: end, when the last thing was done, UTC; works, the ids
    of the procedures in it.
    """

    frames: Frames
    facts: Facts
    invented: str
    troubles: tuple[str, ...]
    only: Only = EVERY_RUN
    end: datetime | None = None
    works: frozenset[str] = frozenset()

    def looked_at(self, now: datetime) -> datetime:
        """When it is looked at: now; an invented one no later than its end, since its term is over."""
        return min(now, self.end) if self.invented and self.end is not None else now

    def holds(self, only: Only) -> bool:
        """Whether all that is asked for is in it."""
        return self.only in (EVERY_RUN, only)


def needed(wanted: Wanted) -> Only:
    """What has to be read for a review of what is wanted: of all trainees, since they are compared."""
    return Only(
        wanted.procedures,
        None if wanted.kind is None else wanted.kind == "rehearsal",
        "" if wanted.since is None else as_text(wanted.since),
        "" if wanted.until is None else as_text(wanted.until),
    )


_OF_ALL = ("runs", "plates", "answers")
"""What readiness and refreshing go by, whatever kind and period are looked at (see `review.review`)."""


def condition_on(table: str, only: Only) -> tuple[str, tuple[str | int, ...]]:
    """The condition on rows of a table of the record, with WHERE; empty where all are wanted.

    Of runs, plates and answers the procedure alone is asked for; all else is of the runs wanted, no others.
    """
    if table in _OF_ALL:
        only = Only(only.procedures)
    condition, values = only.condition()
    if not condition:
        return "", ()
    if table == "runs":
        return f"WHERE {condition}", values
    return f"WHERE run IN (SELECT run FROM runs WHERE {condition})", values  # noqa: S608 - our own names


def read(path: Place, look_up: LookUp = wanted, only: Only = EVERY_RUN) -> ClassRecord:
    """The record at `path`, a file or the shared one or a part of it, as it stands at this moment.

    Nobody who writes is held up, and nothing is changed. Only what is asked for is read: see `needed`.

    A record of an older Sinkside is brought up to date in memory. look_up: called between pieces of the work.
    Raises JournalTrouble for a file that is missing, empty, foreign, newer or damaged as a whole.
    """
    part = part_of(path)
    if not isinstance(part.record, Path):
        from trainer.insight.read_shared import read_shared  # psycopg: 60 ms

        return read_shared(part, look_up, only)
    path = part.record
    with snapshot(path) as copy:
        if not (number := applied(copy, path)):
            raise JournalTrouble(f"The record {path} is empty: nobody has worked with it yet.")
        refuse_newer(number, path)
        migrate(copy, path, from_ms(0))
        narrow(copy, part, SCHEMAS)
        troubles: list[str] = []
        try:
            frames = frames_of(copy, look_up, only)
        except sqlite3.OperationalError as error:
            if "decode to UTF-8" not in str(error):
                raise
            copy.text_factory = _as_far_as_it_goes
            frames = frames_of(copy, look_up, only)
            troubles.append(one_line(_NOT_UTF8.format(path=path)))
        frames, left_out = sound(frames)
        facts, unread = plans(copy, look_up)
        about = copy.execute("SELECT value FROM about WHERE name = 'invented'").fetchone()
        end, works = end_of(copy), works_of(copy)
    invented = one_line(about[0]) if about else ""
    return ClassRecord(frames, facts, invented, (*troubles, *left_out, *unread), only, end, works)


def _as_far_as_it_goes(text: bytes) -> str:
    return text.decode("utf-8", "replace")


def end_of(connection: Asked) -> datetime | None:
    """When the last thing was done, whatever part of the record is looked at; None where that is no time."""
    found = moment(connection.execute("SELECT max(last_at) FROM runs").fetchone()[0])
    return None if found == UNKNOWN else found


def works_of(connection: Asked) -> frozenset[str]:
    """The ids of the procedures that runs were opened with, whatever part of the record is looked at."""
    rows = connection.execute("SELECT DISTINCT procedure FROM runs WHERE procedure <> ''").fetchall()
    return frozenset(one_line(str(row[0])) for row in rows)


def frames_of(connection: sqlite3.Connection, look_up: LookUp = wanted, only: Only = EVERY_RUN) -> Frames:
    """The tables of a record as they lie there. Raises sqlite3.Error."""
    return Frames(**{table: _frame(connection, table, look_up, only) for table in SCHEMAS})


def _frame(connection: sqlite3.Connection, table: str, look_up: LookUp, only: Only) -> pl.DataFrame:
    """A table of the record. Times that are none become null."""
    schema = SCHEMAS[table]
    condition, values = condition_on(table, only)
    kept = pl.Schema({name: kept_as(kind) for name, kind in schema.items()})
    names = ", ".join(f'"{name}"' for name in schema)
    order = "opened_at, run" if table == "runs" else "run" if table == "settings" else "run, plate"
    question = f"SELECT {names} FROM {table} {condition} ORDER BY {order}"  # noqa: S608 - our own names
    rows = connection.execute(question, values)
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

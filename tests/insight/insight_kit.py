"""What the tests of findings share: frames from a few rows, and a record of runs of the test plate."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import polars as pl

from trainer.insight.frames import AT, SCHEMAS, Frames
from trainer.procedure.plan import Plan
from trainer.record.journal import StationJournal
from trainer.run.clock import to_ms
from trainer.run.events import Event
from trainer.run.fakes import FakeClock
from trainer.run.ids import Ids

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
_USUAL: Mapping[str, object] = {
    "run": "r1",
    "trainee": "T-01",
    "procedure": "plate",
    "revision": 1,
    "content_hash": "",
    "guidance": "cued",
    "rehearsal": False,
    "opened_at": START,
    "last_at": START,
    "at": START,
    "closed": "done",
    "closed_at": START,
    "plate": 1,
    "stage": "vacuum",
    "step": "read-gauge",
    "skill": "contact",
    "task": "reading",
    "mark": "reading",
    "outcome": "ok",
    "ended": "finished",
    "seconds": 10.0,
    "active": 10.0,
    "form": "choice",
    "name": "asked",
    "answer": '["a"]',
    "right": True,
    "hit": True,
    "unit": "inHg",
    "verdict": "ok",
    "how": "passed",
    "word": "passed",
    "by": "I-1",
    "visit": 1,
}
"""What a row says where a test does not care."""
_NULL = ("hesitation", "passes")
_NOTHING: Mapping[object, object] = {pl.String(): "", pl.Int64(): 0, pl.Float64(): 0.0, pl.Boolean(): False}


def frames(**tables: Iterable[Mapping[str, object]]) -> Frames:
    """Frames of so many rows; each says only what matters, `seq` counts up."""
    made = {}
    for name, schema in SCHEMAS.items():
        rows = [
            {column: row.get(column, _usual(column, kind, seq)) for column, kind in schema.items()}
            for seq, row in enumerate(tables.get(name, ()), start=1)
        ]
        made[name] = pl.DataFrame(rows, schema=schema)
    return Frames(**made)


def _usual(column: str, kind: pl.DataType, seq: int) -> object:
    if column == "seq":
        return seq
    if column in _USUAL:
        return _USUAL[column]
    return None if column in _NULL or kind == AT else _NOTHING[kind]


def record_of(path: Path, plan: Plan, runs: Sequence[Sequence[Event]]) -> Path:
    """A record at `path` that holds these runs of `plan`, as run-1, run-2 and so on."""
    ids = Ids()
    with StationJournal(path, FakeClock()) as journal:
        procedure = plan.procedure
        journal.keep_procedure(plan.content_hash, plan.source, procedure.id, procedure.revision)
        for number, events in enumerate(runs, start=1):
            journal.append(
                [replace(event, run=f"run-{number}", id=ids.new(to_ms(event.stamp.at))) for event in events]
            )
    return path

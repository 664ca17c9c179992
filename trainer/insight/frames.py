"""The frames that findings are made of: the record's tables for reading, as polars data frames.

Columns stand in the order of the record's tables. Times are UTC to the millisecond. `text` columns are clean
already: the record cleans what it is given.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl
from polars.datatypes import DataTypeClass

AT = pl.Datetime("ms", "UTC")


def _schema(columns: Mapping[str, DataTypeClass | pl.DataType]) -> pl.Schema:
    return pl.Schema(dict(columns))


RUNS = _schema(
    {
        "run": pl.String,
        "trainee": pl.String,
        "procedure": pl.String,
        "revision": pl.Int64,
        "content_hash": pl.String,
        "guidance": pl.String,  # full, cued, solo
        "rehearsal": pl.Boolean,
        "station": pl.String,  # empty where the station has no name
        "job": pl.String,
        "colour": pl.String,
        "opened_at": AT,
        "last_at": AT,
        "closed": pl.String,  # empty while open; done, stopped, erased
        "closed_at": AT,  # null while open
        "reason": pl.String,
        "plate": pl.Int64,
        "hints": pl.Int64,
        "spoiled": pl.Int64,
        "excused": pl.String,  # the reason; empty where it counts
        "handed": pl.Boolean,  # handed over to another trainee at some time
        "hazards_missed": pl.Int64,  # safety prompts that were shown and not accepted before the next step
    }
)
_ACT: dict[str, DataTypeClass | pl.DataType] = {
    "run": pl.String,
    "seq": pl.Int64,
    "at": AT,
    "trainee": pl.String,
    "plate": pl.Int64,
    "stage": pl.String,
    "step": pl.String,
    "skill": pl.String,  # null: of no skill
}
VISITS = _schema(
    _ACT
    | {
        "task": pl.String,  # none, or the task's key
        "visit": pl.Int64,
        "ended": pl.String,  # empty while shown; finished, again, guard, spoiled, closed
        "seconds": pl.Float64,  # on the screen; null where nobody knows
        "active": pl.Float64,  # less pauses, time nobody watched, and the time a wait ran
        "hesitation": pl.Float64,  # active seconds before the first act there; null: none
        "hints": pl.Int64,
        "slips": pl.Int64,
    }
)
ATTEMPTS = _schema(
    _ACT
    | {
        "task": pl.String,
        "outcome": pl.String,
        "seconds": pl.Float64,
        "mark": pl.String,  # the kind of mark by the rules of `run.scoring`; empty where it is no attempt
        "hit": pl.Boolean,  # null where it is no attempt
    }
)
ANSWERS = _schema(
    _ACT
    | {
        "name": pl.String,
        "form": pl.String,  # choice, choices, number, order, judge
        "answer": pl.String,  # a JSON list of texts
        "right": pl.Boolean,  # null where nobody knows
    }
)
READINGS = _schema(
    _ACT
    | {
        "name": pl.String,
        "value": pl.Float64,  # in `unit`
        "unit": pl.String,
        "verdict": pl.String,  # ok, miss, slip
    }
)
EXPOSURES = _schema(
    _ACT
    | {
        "rehearsal": pl.Boolean,
        "units": pl.Float64,
        "seconds": pl.Float64,
        "unwatched": pl.Float64,
        "outcome": pl.String,
    }
)
PLATES = _schema(
    {
        "run": pl.String,
        "plate": pl.Int64,
        "trainee": pl.String,  # who had the work when it ended (or has it)
        "at": AT,  # when its last word came
        "how": pl.String,  # empty while at work; spoiled, passed, not_yet (last sign-off), done, stopped
        "stage": pl.String,  # where it was given up; empty where it was not
        "step": pl.String,
        "reason": pl.String,
        "passes": pl.Boolean,  # the bench's verdict; null in a wet run
    }
)
SIGNATURES = _schema(
    _ACT  # step: the step that was signed (`of`)
    | {
        "by": pl.String,
        "word": pl.String,  # passed, not_yet
        "note": pl.String,
    }
)
SETTINGS = _schema({"run": pl.String, "name": pl.String, "value": pl.Float64})


@dataclass(frozen=True, slots=True)
class Frames:
    """One class's record, or a part of it. Each frame has the schema of its name above."""

    runs: pl.DataFrame
    visits: pl.DataFrame
    attempts: pl.DataFrame
    answers: pl.DataFrame
    readings: pl.DataFrame
    exposures: pl.DataFrame
    plates: pl.DataFrame
    signatures: pl.DataFrame
    settings: pl.DataFrame


SCHEMAS = {
    "runs": RUNS,
    "visits": VISITS,
    "attempts": ATTEMPTS,
    "answers": ANSWERS,
    "readings": READINGS,
    "exposures": EXPOSURES,
    "plates": PLATES,
    "signatures": SIGNATURES,
    "settings": SETTINGS,
}
"""By the name of the frame, which is the name of the record's table."""

"""Steps: how long, how hesitantly and how often wrong; and those that trip everybody, whoever they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import polars as pl

from trainer.insight.facts import ProcedureFacts
from trainer.insight.intervals import rate
from trainer.insight.joined import Joined, run_numbers
from trainer.insight.results import StepRow
from trainer.insight.spread import spread, spread_of
from trainer.insight.standing import Compared
from trainer.insight.tripping import tripping

BY = ["procedure", "step"]
LAST = 999
"""The place of what the newest revision does not have."""


def steps(j: Joined, facts: Mapping[str, ProcedureFacts]) -> tuple[StepRow, ...]:
    """A row for each step that was shown, by procedure, in the order of its file."""
    rows = _counted(j)
    found = [
        StepRow(
            procedure=row["procedure"],
            stage=row["stage"],
            step=row["step"],
            visits=row["visits"],
            trainees=row["trainees"],
            active=spread(row, "active"),
            hesitation=spread(row, "hesitation"),
            misses=rate(row["missed"] or 0, row["tried"] or 0),
            hints=row["hints"],
            slips=row["slips"],
            again=row["again"],
            spoiled=row["spoiled"] or 0,
            runs=runs,
        )
        for row, runs in zip(rows.drop("runs").iter_rows(named=True), j.run_ids(rows["runs"]), strict=True)
    ]
    places = {
        (one.id, step): place for one in facts.values() for place, step in enumerate(one.steps)
    }  # a step that the newest revision does not have comes last
    found.sort(key=lambda row: (row.procedure, places.get((row.procedure, row.step), LAST), row.step))
    return tuple(found)


def _counted(j: Joined) -> pl.DataFrame:
    """The figures of each step. Misses: of its marks, faults left out."""
    shown = (
        j.visits.lazy()
        .group_by(BY)
        .agg(
            pl.col("stage").last(),
            pl.len().alias("visits"),
            pl.col("trainee").n_unique().alias("trainees"),
            *spread_of("active"),
            *spread_of("hesitation"),
            pl.col("hints", "slips").sum(),
            (pl.col("ended") == "again").sum().alias("again"),
            run_numbers(),
        )
    )
    tried = marked(j).group_by(BY).agg(pl.len().alias("tried"), (~pl.col("hit")).sum().alias("missed"))
    given_up = j.plates.lazy().filter(pl.col("how") == "spoiled").group_by(BY).agg(pl.len().alias("spoiled"))
    return shown.join(tried, on=BY, how="left").join(given_up, on=BY, how="left").collect()


def marked(j: Joined) -> pl.LazyFrame:
    """The attempts at a step that can be hit or missed there."""
    return j.attempts.lazy().filter(pl.col("hit").is_not_null(), ~pl.col("mark").is_in(["", "fault"]))


def stands_out(rows: Sequence[StepRow], j: Joined, facts: Mapping[str, ProcedureFacts]) -> Compared:
    """Steps that trip everybody: by misses, by hesitation, or both."""
    return tripping({(row.procedure, row.step): row for row in rows}, j, facts)

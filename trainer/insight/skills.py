"""Trainees at skills: how far along each is."""

from __future__ import annotations

import polars as pl

from trainer.insight.intervals import rate
from trainer.insight.joined import Joined, run_numbers
from trainer.insight.results import SkillRow
from trainer.insight.states import RECENT, state


def at_skills(j: Joined) -> pl.LazyFrame:
    """The attempts that have a mark and belong to a skill."""
    marked = (pl.col("mark") != "") & pl.col("skill").is_not_null() & pl.col("hit").is_not_null()
    return j.attempts.lazy().filter(marked)


def skills(j: Joined) -> tuple[SkillRow, ...]:
    """A row for each trainee and skill with an attempt, by trainee and skill."""
    found = _counted(j)
    runs = j.run_ids(found["runs"])
    columns = found.drop("runs").to_dict(as_series=False)
    return tuple(
        SkillRow(
            trainee=trainee,
            skill=skill,
            rate=rate(k, n),
            recent=rate(recent_k, recent_n),
            peers=rate(all_k - k, all_n - n),
            state=state(recent_k, recent_n),
            hints=hints,
            faults=faults,
            last_at=last_at,
            runs=of,
        )
        for trainee, skill, n, k, recent_k, recent_n, faults, last_at, all_n, all_k, hints, of in zip(
            *(columns[name] for name in _COLUMNS), runs, strict=True
        )
    )


_COLUMNS = (
    "trainee",
    "skill",
    "n",
    "k",
    "recent_k",
    "recent_n",
    "faults",
    "last_at",
    "all_n",
    "all_k",
    "hints",
)


def _counted(j: Joined) -> pl.DataFrame:
    """The figures of each trainee and skill; `runs` as numbers."""
    last = pl.col("hit").sort_by("at", "no", "seq").tail(RECENT)
    counted = (
        at_skills(j)
        .group_by("trainee", "skill")
        .agg(
            pl.len().alias("n"),
            pl.col("hit").sum().alias("k"),
            last.sum().alias("recent_k"),
            last.len().alias("recent_n"),
            (pl.col("mark") == "fault").sum().alias("faults"),
            pl.col("at").max().alias("last_at"),
            run_numbers(),
        )
    )
    hints = (
        j.visits.lazy()
        .filter(pl.col("skill").is_not_null() & (pl.col("hints") > 0))
        .group_by("trainee", "skill")
        .agg(pl.col("hints").sum())
    )
    every = (pl.col("n").sum().over("skill").alias("all_n"), pl.col("k").sum().over("skill").alias("all_k"))
    return (
        counted.with_columns(*every)
        .join(hints, on=["trainee", "skill"], how="left")
        .with_columns(pl.col("hints").fill_null(0), pl.col("trainee", "skill").cast(pl.String))
        .sort("trainee", "skill")
        .collect()
    )

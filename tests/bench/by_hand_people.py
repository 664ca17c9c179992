"""Of the queries by hand: those on trainees and runs, and the interval of a rate."""

from __future__ import annotations

from datetime import datetime, timedelta

import polars as pl

from trainer.insight.facts import Facts, newest
from trainer.insight.frames import Frames

Z = 1.959964
"""The normal quantile of 0.975."""


def wilson(k: pl.Expr, n: pl.Expr, name: str) -> list[pl.Expr]:
    """Count, of all, low and high."""
    p = k / n
    middle, spread = p + Z**2 / (2 * n), Z * (p * (1 - p) / n + Z**2 / (4 * n**2)).sqrt()
    whole = 1 + Z**2 / n
    return [
        k.alias(f"{name}_k"),
        n.alias(f"{name}_n"),
        ((middle - spread) / whole).alias(f"{name}_low"),
        ((middle + spread) / whole).alias(f"{name}_high"),
    ]


def ready(frames: Frames, facts: Facts, now: datetime) -> pl.DataFrame:
    """For each trainee and procedure the runs held against the rule, and how many count."""
    rules = pl.LazyFrame(
        [
            (one.id, one.ready.solo_runs, timedelta(seconds=one.ready.within.to("s")))
            for one in newest(facts).values()
            if one.ready is not None
        ],
        schema={"procedure": pl.String, "wanted": pl.Int64, "within": pl.Duration("ms")},
        orient="row",
    )
    word = frames.signatures.lazy().sort("seq").group_by("run", "plate").agg(pl.col("word").last())
    age = pl.lit(now).cast(pl.Datetime("ms", "UTC")) - pl.col("closed_at")
    why = (
        pl.when("rehearsal")
        .then(pl.lit("a rehearsal"))
        .when(pl.col("guidance") != "solo")
        .then(pl.lit("not solo"))
        .when("handed")
        .then(pl.lit("handed over"))
        .when(pl.col("excused") != "")
        .then(pl.lit("excused"))
        .when(pl.col("closed") != "done")
        .then(pl.lit("not done"))
        .when(age > pl.col("within"))
        .then(pl.lit("longer ago"))
        .when(pl.col("hazards_missed") > 0)
        .then(pl.lit("a safety prompt was not accepted"))
        .when(pl.col("word").is_null() | (pl.col("word") != "passed"))
        .then(pl.lit("not passed"))
        .otherwise(pl.lit(""))
    )
    whole = (
        ~pl.col("rehearsal") & (pl.col("guidance") == "solo") & ~pl.col("handed") & (age <= pl.col("within"))
    )
    return (
        frames.runs.lazy()
        .sort("opened_at", "run")
        .join(rules, on="procedure")
        .join(word, on=["run", "plate"], how="left")
        .with_columns(why.alias("why"), whole.alias("whole"))
        .group_by("procedure", "trainee")
        .agg(
            "run",
            "opened_at",
            "why",
            pl.col("wanted").first(),
            (pl.col("why") == "").sum().alias("counted"),
            pl.col("whole").sum(),
        )
        .with_columns(*wilson(pl.col("counted"), pl.col("whole"), "good"))
        .sort("procedure", "trainee")
        .collect()
    )


def curves(runs: pl.LazyFrame, visits: pl.LazyFrame) -> list[pl.DataFrame]:
    """For each trainee and procedure, time and plates by number of run, and the line through their logs."""
    by = ["trainee", "procedure"]
    points = (
        runs.filter(~pl.col("rehearsal"), pl.col("closed") == "done", ~pl.col("handed"))
        .with_columns(
            pl.int_range(1, pl.len() + 1).over(by).alias("nth"), (pl.col("spoiled") + 1.0).alias("plates")
        )
        .join(visits.group_by("run").agg(pl.col("active").sum()), on="run")
    )
    return pl.collect_all([_fitted(points, by, what) for what in ("active", "plates")])


def _fitted(points: pl.LazyFrame, by: list[str], what: str) -> pl.LazyFrame:
    x, y = pl.col("nth").log(2), pl.col(what).log(2)
    slope = pl.cov(x, y) / x.var()
    left = (y.var() - slope * pl.cov(x, y)) * (pl.len() - 1) / (pl.len() - 2)
    return (
        points.group_by(by)
        .agg(
            "nth",
            what,
            "run",
            slope.alias("slope"),
            (2 ** (y.mean() - slope * x.mean())).alias("first"),
            (left / (x.var() * (pl.len() - 1))).sqrt().alias("error"),
        )
        .with_columns((2 ** pl.col("slope")).alias("rate"))
        .sort(by)
    )


def refresh(runs: pl.LazyFrame, facts: Facts) -> pl.DataFrame:
    """For each trainee and procedure the last wet run and the deadline."""
    after = pl.LazyFrame(
        [(one.id, timedelta(seconds=one.refresh_after)) for one in facts.values() if one.refresh_after],
        schema={"procedure": pl.String, "after": pl.Duration("ms")},
        orient="row",
    )
    return (
        runs.filter(~pl.col("rehearsal"), pl.col("closed") == "done", ~pl.col("handed"))
        .group_by("trainee", "procedure")
        .agg(pl.col("closed_at").max(), pl.col("run").unique())
        .join(after, on="procedure")
        .with_columns((pl.col("closed_at") + pl.col("after")).alias("due"))
        .sort("trainee", "procedure")
        .collect()
    )


def agreement(frames: Frames, head: pl.LazyFrame, attempts: pl.LazyFrame) -> pl.DataFrame:
    """Words on plates against the marks: counts of the four cells, by instructor."""
    clean = (
        attempts.filter(~pl.col("mark").is_in(["", "sign_off"]))
        .group_by("run", "plate")
        .agg(pl.col("hit").all().alias("clean"))
    )
    return (
        frames.signatures.lazy()
        .join(head, on="run")
        .sort("seq")
        .group_by("run", "plate")
        .agg(pl.col("by", "word").last())
        .join(clean, on=["run", "plate"], how="left")
        .group_by("by", "word", "clean")
        .agg(pl.len(), pl.col("run").unique())
        .collect()
    )

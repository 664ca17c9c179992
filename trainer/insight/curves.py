"""How time and plates fall with practice: the unit model T = a n^b, fitted by least squares on logarithms."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np
import polars as pl

from trainer.insight.joined import Joined
from trainer.insight.made import Made
from trainer.insight.results import CurvePoint, CurveRow, Interval
from trainer.insight.run_ids import RunIds

FEWEST = 4
"""Fewer runs make no curve."""
_FIGURES = ("trainee", "procedure", "what", "nth", "value", "no", "slope", "first", "error")
_WHAT: tuple[Literal["active time", "plates used"], ...] = ("active time", "plates used")


def curves(j: Joined, *, rehearsal: bool = False) -> tuple[CurveRow, ...]:
    """Of each trainee and procedure: seconds at work, and plates used, by number of the finished run.

    Wet runs, or rehearsals: never both, since a bench on a screen takes other times than a sink. A run that
    was stopped or handed over is no whole run of one trainee.
    """
    runs = _whole_runs(j, rehearsal=rehearsal)
    found = pl.concat([_curve(runs, what) for what in _WHAT]).collect().sort("trainee", "procedure", "what")
    return tuple(_rows(found, j.ids))


def _whole_runs(j: Joined, *, rehearsal: bool) -> pl.LazyFrame:
    """Each run that counts for a curve: its number among the trainee's, active seconds and plates used."""
    seconds = pl.col("active")
    # Threads add up in an order of their own: rounded, a sum of milliseconds is the same in any.
    active = j.visits.lazy().group_by("no").agg(seconds.sum().round(9), seconds.null_count().alias("gaps"))
    whole = (pl.col("closed") == "done") & (pl.col("rehearsal") == rehearsal) & ~pl.col("handed")
    known = (pl.col("gaps") == 0) & (pl.col("active") > 0)
    return (
        j.runs.lazy()
        .filter(whole)
        .select("no", "trainee", "procedure", (pl.col("spoiled") + 1.0).alias("plates used"))
        .with_columns(pl.int_range(1, pl.len() + 1, dtype=pl.Int64).over("trainee", "procedure").alias("nth"))
        .join(active, on="no", how="left")
        .with_columns(pl.when(known).then("active").alias("active time"))
    )


def _curve(runs: pl.LazyFrame, what: str) -> pl.LazyFrame:
    """A row a trainee and procedure: its points, and the straight line through their logarithms."""
    x, y = pl.col("nth").log(2), pl.col(what).log(2)
    middle_x, middle_y = x - x.mean(), y - y.mean()
    square, product = (middle_x * middle_x).sum(), (middle_x * middle_y).sum()
    slope = product / square
    rest = ((middle_y - slope * middle_x) ** 2).sum()
    return (
        runs.filter(pl.col(what).is_not_null())
        .sort("nth")
        .group_by("trainee", "procedure")
        .agg(
            pl.lit(what).alias("what"),
            pl.col("nth", "no"),
            pl.col(what).alias("value"),
            slope.alias("slope"),
            (2 ** (y.mean() - slope * x.mean())).alias("first"),
            (rest / (pl.len() - 2).cast(pl.Float64) / square).clip(lower_bound=0).sqrt().alias("error"),
        )
    )


def _rows(found: pl.DataFrame, ids: tuple[str, ...]) -> Iterator[CurveRow]:
    from scipy.special import stdtrit  # 40 ms, only here

    figures = found.select(_FIGURES).with_columns(pl.col("nth").list.len().alias("n"))
    reach = stdtrit(np.maximum(figures["n"].to_numpy() - 2, 1), 0.975).tolist()
    for (trainee, procedure, what, nths, values, runs, slope, first, error, n), wide in zip(
        figures.iter_rows(), reach, strict=True
    ):
        points = Made(CurvePoint, nths, values, RunIds(ids, runs))
        if n < FEWEST:
            yield CurveRow(trainee, procedure, what, points, None, None, None, None)
            continue
        interval = Interval(2 ** (slope - wide * error), 2 ** (slope + wide * error), "unit-curve")
        yield CurveRow(trainee, procedure, what, points, first, slope, 2**slope, interval)

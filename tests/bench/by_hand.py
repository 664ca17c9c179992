"""The columns of a review as somebody would ask polars for them: the baseline of `findings`."""

from __future__ import annotations

from datetime import datetime

import polars as pl
from by_hand_people import Z, agreement, curves, ready, refresh, wilson

from trainer.insight.facts import Facts, newest
from trainer.insight.frames import Frames

_OF_RUN = ("run", "procedure", "rehearsal", "station")
_WORDS_A_MINUTE = 600.0
_BASELINE = 20


def everything(frames: Frames, facts: Facts, now: datetime) -> list[pl.DataFrame]:
    """All tables, computed."""
    runs = frames.runs.filter(pl.col("excused") == "").sort("opened_at", "run")
    head = runs.select(_OF_RUN).lazy()
    visits, attempts = (frame.lazy().join(head, on="run") for frame in (frames.visits, frames.attempts))
    return [
        skills(visits, attempts),
        steps(visits, attempts, frames.plates.lazy().join(head, on="run")),
        hazards(visits, attempts, facts),
        *questions(frames.answers.lazy().join(head, on="run")),
        *waste(visits, frames.plates.lazy().join(head, on="run"), facts),
        *charts(frames, head),
        ready(frames, facts, now),
        *curves(runs.lazy(), visits),
        refresh(runs.lazy(), facts),
        agreement(frames, head, attempts),
    ]


def quartiles(name: str) -> list[pl.Expr]:
    """How many, the median and the quartiles."""
    value = pl.col(name)
    return [value.count().alias(f"{name}_n")] + [
        value.quantile(q, "linear").alias(f"{name}_{q}") for q in (0.25, 0.5, 0.75)
    ]


def skills(visits: pl.LazyFrame, attempts: pl.LazyFrame) -> pl.DataFrame:
    """A row for each trainee and skill."""
    by = ["trainee", "skill"]
    last = pl.col("hit").sort_by("at", "run", "seq").tail(10)
    marked = attempts.filter(pl.col("mark") != "", pl.col("skill").is_not_null())
    hints = visits.filter(pl.col("skill").is_not_null()).group_by(by).agg(pl.col("hints").sum())
    return (
        marked.group_by(by)
        .agg(
            pl.len().alias("n"),
            pl.col("hit").sum().alias("k"),
            last.sum().alias("recent_k"),
            last.len().alias("recent_n"),
            (pl.col("mark") == "fault").sum().alias("faults"),
            pl.col("at").max(),
            pl.col("run").unique(),
        )
        .with_columns(
            (pl.col("n").sum().over("skill") - pl.col("n")).alias("peers_n"),
            (pl.col("k").sum().over("skill") - pl.col("k")).alias("peers_k"),
        )
        .with_columns(
            *wilson(pl.col("k"), pl.col("n"), "rate"),
            *wilson(pl.col("recent_k"), pl.col("recent_n"), "recent"),
            *wilson(pl.col("peers_k"), pl.col("peers_n"), "peers"),
        )
        .join(hints, on=by, how="left")
        .sort(by)
        .collect()
    )


def steps(visits: pl.LazyFrame, attempts: pl.LazyFrame, plates: pl.LazyFrame) -> pl.DataFrame:
    """A row for each step."""
    by = ["procedure", "step"]
    missed = (
        attempts.filter(~pl.col("mark").is_in(["", "fault"]))
        .group_by(by)
        .agg(pl.len().alias("tried"), (~pl.col("hit")).sum().alias("missed"))
    )
    spoiled = plates.filter(pl.col("how") == "spoiled").group_by(by).agg(pl.len().alias("spoiled"))
    return (
        visits.group_by(by)
        .agg(
            pl.col("stage").last(),
            pl.len().alias("visits"),
            pl.col("trainee").n_unique().alias("trainees"),
            *quartiles("active"),
            *quartiles("hesitation"),
            pl.col("hints", "slips").sum(),
            (pl.col("ended") == "again").sum().alias("again"),
            pl.col("run").unique(),
        )
        .join(missed, on=by, how="left")
        .join(spoiled, on=by, how="left")
        .with_columns(*wilson(pl.col("missed"), pl.col("tried"), "misses"))
        .sort(by)
        .collect()
    )


def hazards(visits: pl.LazyFrame, attempts: pl.LazyFrame, facts: Facts) -> pl.DataFrame:
    """A row for each safety prompt."""
    by = ["procedure", "step"]
    needed = pl.LazyFrame(
        [
            (one.id, hazard.step, hazard.words / _WORDS_A_MINUTE * 60)
            for one in facts.values()
            for hazard in one.hazards.values()
        ],
        schema=["procedure", "step", "needed"],
        orient="row",
    )
    accepted = (
        attempts.filter(pl.col("task") == "hazard", pl.col("outcome") == "accepted")
        .join(needed, on=by, how="left")
        .with_columns((pl.col("seconds") < pl.col("needed")).alias("fast"))
        .group_by(by)
        .agg(
            pl.len().alias("accepted"),
            *quartiles("seconds"),
            pl.col("fast").sum(),
            pl.col("trainee").filter("fast").value_counts(sort=True).alias("who"),
        )
    )
    return (
        visits.filter(pl.col("task") == "hazard")
        .group_by(by)
        .agg(
            pl.len().alias("shown"),
            (~pl.col("ended").is_in(["", "closed"])).sum().alias("left"),
            pl.col("run").unique(),
        )
        .join(accepted, on=by, how="left")
        .with_columns(*wilson(pl.col("fast"), pl.col("accepted"), "rate"))
        .sort(by)
        .collect()
    )


def questions(answers: pl.LazyFrame) -> list[pl.DataFrame]:
    """A row for each question and each answer given, and the reliability of each procedure's questions."""
    by = ["procedure", "name"]
    asked = answers.filter(pl.col("form") != "judge").sort("at", "run", "seq")
    first = asked.unique([*by, "trainee"], keep="first").collect().lazy()
    score = pl.col("right").cast(pl.Float64)
    rest = (score.sum().over("procedure", "trainee") - score).alias("rest")
    tells = (
        first.with_columns(rest)
        .group_by(by)
        .agg(pl.corr(score, "rest").alias("r"), pl.len().alias("first_n"), score.sum().alias("first_k"))
    )
    every = asked.group_by(by).agg(
        pl.len().alias("n"), pl.col("right").sum().alias("k"), pl.col("run").unique()
    )
    z, reach = pl.col("r").arctanh(), Z / (pl.col("first_n") - 3).sqrt()
    rows = (
        every.join(tells, on=by)
        .with_columns(
            *wilson(pl.col("k"), pl.col("n"), "all"),
            *wilson(pl.col("first_k"), pl.col("first_n"), "first"),
            (z - reach).tanh().alias("r_low"),
            (z + reach).tanh().alias("r_high"),
        )
        .sort(by)
    )
    options = first.group_by(*by, "answer").agg(pl.len(), pl.col("right").last()).sort(*by, "len")
    variance = first.group_by("procedure", "name").agg(
        (score.sum() / pl.col("trainee").n_unique()).alias("p")
    )
    scores = first.group_by("procedure", "trainee").agg(score.sum().alias("score"))
    total = scores.group_by("procedure").agg(pl.col("score").var(ddof=0).alias("total"), pl.len())
    k = pl.col("name").n_unique()
    whole = (
        variance.group_by("procedure")
        .agg((pl.col("p") * (1 - pl.col("p"))).sum().alias("pq"), (k / (k - 1)).alias("factor"))
        .join(total, on="procedure")
        .with_columns((pl.col("factor") * (1 - pl.col("pq") / pl.col("total"))).alias("alpha"))
    )
    return pl.collect_all([rows, options, whole])


def waste(visits: pl.LazyFrame, plates: pl.LazyFrame, facts: Facts) -> list[pl.DataFrame]:
    """Plates and what goes with them; and where plates were given up."""
    known = newest(facts).values()
    taken = pl.LazyFrame(
        [(one.id, step) for one in known for step in one.plate_taken],
        schema=["procedure", "step"],
        orient="row",
    )
    supplies = pl.LazyFrame(
        [(one.id, s.item, s.unit, s.amount) for one in known for s in one.supplies if s.per == "plate"],
        schema=["procedure", "item", "unit", "amount"],
        orient="row",
    )
    wet = ~pl.col("rehearsal")
    in_hand = (
        visits.filter(wet).join(taken, on=["procedure", "step"], how="semi").select("run", "plate").unique()
    )
    used = (
        plates.filter(wet)
        .join(in_hand, on=["run", "plate"], how="semi")
        .group_by("procedure")
        .agg(
            pl.len().alias("plates"),
            pl.col("how").is_in(["spoiled", "not_yet", "stopped"]).sum().alias("lost"),
            pl.col("run").unique(),
        )
        .join(supplies, on="procedure")
        .with_columns(pl.col("plates") * pl.col("amount"), pl.col("lost") * pl.col("amount"))
    )
    spoiled = (
        plates.filter(pl.col("how") == "spoiled")
        .group_by("procedure", "stage", "step", "reason", "rehearsal")
        .agg(pl.len(), pl.col("trainee").unique(), pl.col("run").unique())
    )
    return pl.collect_all([used, spoiled])


def charts(frames: Frames, head: pl.LazyFrame) -> list[pl.DataFrame]:
    """Each station's wedges at one exposure and its seconds per unit, with limits and moving ranges."""
    wet = ~pl.col("rehearsal")
    doses = (
        frames.exposures.lazy()
        .drop("rehearsal")
        .join(head, on="run")
        .filter(wet, pl.col("units") > 0)
        .sort("seq")
    )
    given = doses.group_by("run", "plate").agg(pl.col("units").first())
    wedges = (
        frames.readings.lazy()
        .join(head, on="run")
        .filter(wet, pl.col("unit") == "step", pl.col("verdict") != "slip")
        .sort("seq")
        .group_by("run", "plate")
        .agg(pl.col("at", "value", "station", "procedure").last())
        .join(given, on=["run", "plate"], how="left")
        .sort("at")
        .with_columns(
            pl.col("value")
            + (pl.col("units").last().over("station", "procedure") / pl.col("units")).log10() / 0.15
        )
    )
    rates = (
        doses.filter(pl.col("outcome") != "said", pl.col("unwatched") == 0, pl.col("seconds") > 0)
        .group_by("run")
        .agg(pl.col("at", "station").last(), (pl.col("seconds") / pl.col("units")).last().alias("value"))
        .with_columns(pl.lit("").alias("procedure"))
        .sort("at")
    )
    return pl.collect_all([charted(wedges), charted(rates)])


def charted(values: pl.LazyFrame) -> pl.LazyFrame:
    """Values with their chart's limits, moving ranges and what lies outside."""
    by = ["station", "procedure"]
    value = pl.col("value")
    ranges = value.diff().abs()
    first = value.head(_BASELINE)
    sigma = first.diff().abs().mean() / 1.128
    return values.with_columns(
        ranges.over(by).alias("moving_range"),
        first.mean().over(by).alias("centre"),
        sigma.over(by).alias("sigma"),
        value.ewm_mean(alpha=0.2, adjust=False).over(by).alias("average"),
    ).with_columns(((value - pl.col("centre")).abs() > 3 * pl.col("sigma")).alias("out"))

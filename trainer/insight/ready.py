"""Who may work alone, by each procedure's own rule: `run.readiness` worked out for all trainees at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

import polars as pl

from trainer.insight.facts import ProcedureFacts
from trainer.insight.frames import Frames
from trainer.insight.intervals import LINE, rate
from trainer.insight.made import Made
from trainer.insight.results import Finding, ReadyRow, RunHeld
from trainer.insight.standing import Compared
from trainer.procedure.model import Ready

_AHEAD = timedelta(days=1)
"""A station's clock may be hours ahead; one that is further off tells no age."""


def ready(frames: Frames, facts: Mapping[str, ProcedureFacts], now: datetime) -> tuple[ReadyRow, ...]:
    """A row for each trainee and procedure that has a rule, by procedure and trainee.

    frames: of all runs, excused ones too, whatever period is looked at: a rule does not change with a filter.
    facts: the newest of each procedure, by its id. good: runs that count of the wet solo runs of one trainee,
    not excused, that were closed within the time.
    """
    runs = _last_words(frames)
    return tuple(
        row
        for procedure, one in sorted(facts.items())
        if one.ready is not None
        for row in _rows(procedure, one.ready, runs.filter(pl.col("procedure") == procedure), now)
    )


def _last_words(frames: Frames) -> pl.LazyFrame:
    """The runs in the order in which they were opened, each with the last word on the plate it ended with."""
    signed = frames.plates.lazy().filter(pl.col("how").is_in(["passed", "not_yet"]))
    last = signed.select("run", "plate", pl.col("how").alias("word"))
    return frames.runs.lazy().join(last, on=["run", "plate"], how="left").sort("opened_at", "run")


def _rows(procedure: str, rule: Ready, runs: pl.LazyFrame, now: datetime) -> list[ReadyRow]:
    age = pl.lit(now).cast(pl.Datetime("ms", "UTC")) - pl.col("closed_at")
    most = timedelta(seconds=rule.within.to("s"))
    whole = (
        ~pl.col("rehearsal")
        & (pl.col("guidance") == "solo")
        & ~pl.col("handed")
        & (pl.col("excused") == "")
        & pl.col("closed").is_in(["done", "stopped"])
        & age.is_between(-_AHEAD, most)
    )
    found = (
        runs.with_columns(
            _why_not(rule, age, most).alias("why_not"), whole.fill_null(value=False).alias("whole")
        )
        .group_by("trainee")
        .agg(
            "run",
            "opened_at",
            "why_not",
            pl.col("whole").sum(),
            (pl.col("why_not") == "").sum().alias("counted"),
        )
        .sort("trainee")
    )
    return [
        ReadyRow(
            trainee=trainee,
            procedure=procedure,
            rule=rule_words(rule),
            wanted=rule.solo_runs,
            counted=counted,
            met=counted >= rule.solo_runs,
            good=rate(counted, within, LINE),
            held=Made(RunHeld, ids, ats, whys),
        )
        for trainee, ids, ats, whys, within, counted in found.collect().iter_rows()
    ]


def _why_not(rule: Ready, age: pl.Expr, most: timedelta) -> pl.Expr:
    """The first reason why a run does not count, in the words and order of `run.readiness`; else empty."""
    closed = pl.col("closed")
    ahead = "closed at a time that is still to come: the station's clock was wrong"
    reasons: list[tuple[pl.Expr, pl.Expr | str]] = [
        (pl.col("rehearsal"), "a rehearsal, not a wet run"),
        (pl.col("guidance") != "solo", pl.format("at guidance {}, not solo", "guidance")),
        (pl.col("handed"), "handed over, so not one trainee's work"),
        (pl.col("excused") != "", pl.format("excused: {}", "excused")),
        (closed == "stopped", pl.format("stopped: {}", "reason")),
        (closed == "erased", "a part of it was erased"),
        (closed == "", "not finished yet"),
        (age < -_AHEAD, ahead),
        (age > most, "longer ago than the rule allows"),
    ]
    if rule.hazards == "all":
        reasons.append((pl.col("hazards_missed") > 0, "a safety prompt was not accepted"))
    if rule.plate is not None:
        word = pl.col("word")
        reasons += [
            (word == "not_yet", "the last look was not passed"),
            (word.is_null() & (pl.col("spoiled") > 0), "the last plate was not signed off"),
            (word.is_null(), "no plate was signed off"),
        ]
    said = (
        pl.when(holds).then(pl.lit(words) if isinstance(words, str) else words) for holds, words in reasons
    )
    return pl.coalesce(*said, pl.lit(""))


def rule_words(rule: Ready) -> str:
    """The rule in a line."""
    runs = "1 wet run" if rule.solo_runs == 1 else f"{rule.solo_runs} wet runs"
    parts = [f"{runs} at solo within {rule.within}"]
    parts += ["every safety prompt accepted"] if rule.hazards else []
    parts += ["the plate passed"] if rule.plate else []
    return ", ".join(parts)


def stands_out(rows: Iterable[ReadyRow], titles: Mapping[str, str]) -> Compared:
    """Who meets a rule: plain facts."""
    return Compared(tuple(_finding(row, titles.get(row.procedure, row.procedure)) for row in rows if row.met))


def _finding(row: ReadyRow, title: str) -> Finding:
    low, high = (round(100 * end) for end in (row.good.interval.low, row.good.interval.high))
    chance = "" if row.good.chance_below is None else f"{round(100 * row.good.chance_below)}"
    return Finding(
        kind="ready",
        level="know",
        subject="trainee",
        keys=(row.trainee, row.procedure),
        words=f"{row.trainee} meets the rule for working alone at {title}: {row.counted} runs count, "
        f"{row.wanted} are wanted.",
        why=f"The rule: {row.rule}. {row.good.k} of {row.good.n} wet solo runs within the time count "
        f"(interval {low} to {high} %); the chance that fewer than 80 in 100 would is {chance} in 100. "
        "Whether somebody works alone is the instructor's word.",
        n=row.good.n,
        method="ready",
        p=None,
        runs=tuple(one.run for one in row.held if not one.why_not),
    )

"""Safety prompts: were they read? Time on the screen against the time that reading them takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import polars as pl

from trainer.insight.facts import ProcedureFacts
from trainer.insight.intervals import rate
from trainer.insight.joined import Joined, run_numbers
from trainer.insight.results import Finding, HazardRow, Rate
from trainer.insight.spread import spread, spread_of
from trainer.insight.standing import Compared

WORDS_A_MINUTE = 600.0
"""Twice what the quickest of most adults read silently: 175 to 300 words of English prose a minute, 238 on
average (Brysbaert 2019, Journal of Memory and Language 109, 104047: 190 studies). Whoever is quicker looked
and did not read; whoever reads quickly, or knows the prompt, is not blamed."""
LET_PASS = 0.1
"""A share of prompts accepted too fast that is not worth a word. Common practice, no source."""
_LEAST = 3
_METHOD = "reading-time"


def needed(words: int) -> float:
    """Seconds that the quickest reader takes for so many words."""
    return words / WORDS_A_MINUTE * 60


def hazards(j: Joined, facts: Mapping[str, ProcedureFacts]) -> tuple[HazardRow, ...]:
    """A row for each safety prompt that was shown, by procedure, in the order of its file."""
    accepted = _accepted(j, facts)
    by = ["procedure", "step"]
    shown = (
        j.visits.lazy()
        .filter(pl.col("task") == "hazard")
        .group_by(by)
        .agg(
            pl.len().alias("shown"),
            (~pl.col("ended").is_in(["", "closed"])).sum().alias("left"),
            run_numbers(),
        )
    )
    in_time = (
        accepted.group_by(by)
        .agg(
            pl.len().alias("accepted"),
            *spread_of("seconds"),
            pl.col("fast").sum().alias("k"),
            pl.col("fast").count().alias("n"),
            pl.col("trainee").filter("fast").alias("who"),
        )
        .lazy()
    )
    rows = shown.join(in_time, on=by, how="left").collect()
    found = []
    for row, runs in zip(rows.iter_rows(named=True), j.run_ids(rows["runs"]), strict=True):
        known = facts.get(row["procedure"])
        hazard = known.hazards.get(row["step"]) if known is not None else None
        found.append(
            HazardRow(
                procedure=row["procedure"],
                step=row["step"],
                shown=row["shown"],
                seconds=spread(row, "seconds"),
                needed=needed(hazard.words) if hazard is not None else 0.0,
                fast=rate(row["k"] or 0, row["n"] or 0),
                missed=max(0, row["left"] - (row["accepted"] or 0)),
                trainees_fast=_most_first(row["who"] or []),
                runs=runs,
            )
        )
    return tuple(sorted(found, key=lambda row: (row.procedure, _place(facts, row), row.step)))


def _accepted(j: Joined, facts: Mapping[str, ProcedureFacts]) -> pl.DataFrame:
    """Each acceptance: seconds on the screen, and whether these were too few to read (null: nobody knows)."""
    times = pl.DataFrame(
        [
            (one.id, hazard.step, needed(hazard.words))
            for one in facts.values()
            for hazard in one.hazards.values()
        ],
        schema={"procedure": pl.Categorical, "step": pl.Categorical, "needed": pl.Float64},
        orient="row",
    )
    return (
        j.accepted.lazy()
        .join(times.lazy(), on=["procedure", "step"], how="left")
        .select(
            "procedure", "step", "trainee", "seconds", (pl.col("seconds") < pl.col("needed")).alias("fast")
        )
        .collect()
    )


def _most_first(trainees: Sequence[str]) -> tuple[str, ...]:
    """Each once, who comes most often first."""
    counts = {one: trainees.count(one) for one in dict.fromkeys(trainees)}
    return tuple(sorted(counts, key=lambda one: (-counts[one], one)))


def _place(facts: Mapping[str, ProcedureFacts], row: HazardRow) -> int:
    known = facts.get(row.procedure)
    return list(known.steps).index(row.step) if known is not None and row.step in known.steps else -1


def stands_out(rows: Sequence[HazardRow], facts: Mapping[str, ProcedureFacts]) -> Compared:
    """Prompts that were passed by, which is always said; and procedures whose prompts are not read.

    One sentence a procedure: whoever does not read one prompt does not read the next.
    """
    passed = [_passed_by(row, facts) for row in rows if row.missed]
    timed = [row for row in rows if row.fast.n]
    fast, silent = [], 0
    for procedure in dict.fromkeys(row.procedure for row in timed):
        of_it = [row for row in timed if row.procedure == procedure]
        k, n = sum(row.fast.k for row in of_it), sum(row.fast.n for row in of_it)
        if k >= _LEAST and k > 2 * LET_PASS * n:
            fast.append(_too_fast(of_it, rate(k, n), facts))
        else:
            silent += 1
    return Compared((*passed, *fast), silent)


def _passed_by(row: HazardRow, facts: Mapping[str, ProcedureFacts]) -> Finding:
    return Finding(
        kind="hazard-missed",
        level="act",
        subject="hazard",
        keys=(row.procedure, row.step),
        words=(
            f"The safety prompt {_called(row, facts)} was passed by {row.missed} of the {row.shown} times "
            f"that it was shown."
        ),
        why="It was on the screen, and something else came before it was accepted.",
        n=row.shown,
        method="count",
        p=None,
        runs=row.runs,
    )


def _too_fast(rows: Sequence[HazardRow], share: Rate, facts: Mapping[str, ProcedureFacts]) -> Finding:
    from scipy.special import bdtrc  # 40 ms, only here

    worst = max(rows, key=lambda row: row.fast.interval.low)
    low, high = round(100 * share.interval.low), round(100 * share.interval.high)
    who = ", ".join(worst.trainees_fast[:3]) + (" and others" if len(worst.trainees_fast) > 3 else "")
    title = facts[worst.procedure].title if worst.procedure in facts else worst.procedure
    return Finding(
        kind="hazard-unread",
        level="watch",
        subject="hazard",
        keys=(worst.procedure, worst.step),
        words=(
            f"{title}: safety prompts were accepted too fast to be read {share.k} of {share.n} times "
            f"(interval {low} to {high} %). Most of all {_called(worst, facts)}: {worst.fast.k} of "
            f"{worst.fast.n} in less than {worst.needed:.0f} s, most often by {who}."
        ),
        why=(
            f"Nobody reads {WORDS_A_MINUTE:.0f} words a minute; most adults read 175 to 300. Who has seen a "
            f"prompt often is quicker too: ask what it says."
        ),
        n=share.n,
        method=_METHOD,
        p=float(bdtrc(share.k - 1, share.n, LET_PASS)),
        runs=worst.runs,
    )


def _called(row: HazardRow, facts: Mapping[str, ProcedureFacts]) -> str:
    """The prompt, by what can hurt."""
    known = facts.get(row.procedure)
    hazard = known.hazards.get(row.step) if known is not None else None
    return f"“{hazard.harm}”" if hazard is not None else row.step

"""What is to be expected of a trainee at a skill: what others hit at the same steps with as much practice.

Indirect standardisation, as death rates are compared between towns: hits expected are the sum, over a
trainee's own attempts, of the others' rate at the same step, mark, kind, guidance and band of practice.
"""

from __future__ import annotations

from collections.abc import Iterable

import polars as pl

from trainer.insight.joined import Joined
from trainer.insight.skills import at_skills

LEANS = 4.0
"""So many attempts at the step in whatever band stand for what few others did in the very band."""
EDGE = 0.02
"""No rate of the others is taken for surer than this: nobody is certain to hit or to miss."""
NOT_COMPARED = ("fault", "sign_off")
"""Faults are never hits, whoever makes them; a sign-off is the instructor's word on the whole."""
_ITEM = ["procedure", "step", "mark"]
_STRATUM = [*_ITEM, "rehearsal", "guidance", "band"]


def expected(j: Joined, without: Iterable[tuple[str, str]] = ()) -> pl.DataFrame:
    """By trainee and skill: `n` attempts, `k` hits, and by the others' rates `expected` and `variance`.

    others: how many attempts of others in the same strata the rates rest on. without: procedure and step of
    what is wrong by itself, and so is held against nobody.
    """
    wrong = pl.DataFrame(
        list(without), schema={"procedure": pl.Categorical, "step": pl.Categorical}, orient="row"
    )
    cells = (
        at_skills(j)
        .filter(~pl.col("mark").is_in(NOT_COMPARED))
        .group_by("trainee", "skill", *_STRATUM)
        .agg(pl.len().alias("n"), pl.col("hit").sum().alias("k"))
        .join(wrong.lazy(), on=["procedure", "step"], how="anti")
        .collect()
        .lazy()
    )
    sums = (pl.col("n").sum().alias("all_n"), pl.col("k").sum().alias("all_k"))
    strata = cells.group_by(_STRATUM).agg(*sums)
    items = strata.group_by(_ITEM).agg((pl.col("all_k").sum() / pl.col("all_n").sum()).alias("item"))
    others_n, others_k = pl.col("all_n") - pl.col("n"), pl.col("all_k") - pl.col("k")
    chance = ((others_k + LEANS * pl.col("item")) / (others_n + LEANS)).clip(EDGE, 1 - EDGE)
    return (
        cells.join(strata.join(items, on=_ITEM), on=_STRATUM)
        .with_columns(chance.alias("p"), others_n.alias("others"))
        .group_by("trainee", "skill")
        .agg(
            pl.col("n").sum(),
            pl.col("k").sum(),
            (pl.col("n") * pl.col("p")).sum().alias("expected"),
            (pl.col("n") * pl.col("p") * (1 - pl.col("p"))).sum().alias("variance"),
            pl.col("others").sum(),
        )
        .with_columns(pl.col("trainee", "skill").cast(pl.String))
        .sort("trainee", "skill")
        .collect()
    )

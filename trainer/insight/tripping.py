"""Steps that trip everybody: missed, or hesitated at, far more than others of their kind, by most trainees.

Then it is the step's words, or the instrument, and not the trainee. A step that two people always miss is
not one of these: the fifth of the trainees who do worst at a step is left out before its rate is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from trainer.insight.facts import ProcedureFacts
from trainer.insight.joined import Joined
from trainer.insight.results import Finding, StepRow
from trainer.insight.spread import Values, apart, chance
from trainer.insight.standing import Compared

WORST = 5
"""One in so many trainees is left out: the worst at each step."""
ATTEMPTS = 12
"""With fewer attempts at a step its misses are not compared."""
TRAINEES = 4
"""With fewer trainees at a step nothing of it is compared."""
LOGITS = 0.4
"""Steps differ by at least so much (standard deviation of log odds of a miss); common practice, no source."""
LOGS = 0.2
"""The same of hesitation (natural logarithm of seconds)."""
LEANS = 2.0
"""So many attempts at the usual rate stand in for what other steps do not tell."""
MORE = 0.2
"""So much more often missed than is usual is worth saying."""
LONGER = 1.6
"""So many times as long hesitated at as is usual is worth saying."""
MOST = 0.5
"""So many of the trainees must have missed it, or hesitated longer at it than at others."""
NOT_COMPARED = ("", "fault", "quiz", "sign_off")
"""Marks. Faults are never hits, questions have findings of their own, a sign-off is of the whole plate."""
_METHOD = "trips-everybody"

Key = tuple[str, str]
Rows = Mapping[Key, StepRow]


@dataclass(frozen=True, slots=True)
class _Sign:
    """That a step trips: how far above the usual, whether that is worth saying, and how it is said."""

    away: float
    worth: bool
    words: str


def tripping(rows: Rows, j: Joined, facts: Mapping[str, ProcedureFacts]) -> Compared:
    """Each step is looked at for each of its marks and for hesitation, and the looks are put together.

    Stouffer 1949 (from memory): the sum of so many standard normal values over the root of their number.
    """
    signs: dict[Key, list[_Sign]] = {}
    for key, sign in (*_missed(j, facts), *_hesitated(j)):
        signs.setdefault(key, []).append(sign)
    findings = [
        _finding(rows[key], of_step, _together(of_step, len(signs)), facts)
        for key, of_step in signs.items()
        if key in rows and any(sign.worth for sign in of_step)
    ]
    return Compared(tuple(findings), len(signs) - len(findings))


def _together(signs: list[_Sign], count: int) -> float:
    """How likely chance puts all of these so far above, when `count` steps tell what is usual."""
    away = sum(sign.away for sign in signs) / np.sqrt(len(signs))
    return float(chance(np.asarray([away]), count)[0])


def _finding(row: StepRow, signs: list[_Sign], p: float, facts: Mapping[str, ProcedureFacts]) -> Finding:
    said = sorted((sign for sign in signs if sign.worth), key=lambda sign: -sign.away)
    known = facts.get(row.procedure)
    called = known.step_words(row.step) if known is not None else row.step
    return Finding(
        kind="step-trips",
        level="act",
        subject="step",
        keys=(row.procedure, row.step),
        words=f"“{called}” trips nearly everybody: {'; '.join(sign.words for sign in said)}.",
        why=(
            f"Held against other steps of the same kind, without the fifth of the trainees who do worst at "
            f"it; {row.visits} visits by {row.trainees} trainees. Look at its words and its instrument first."
        ),
        n=row.visits,
        method=_METHOD,
        p=p,
        runs=row.runs,
    )


_DONE = {
    "pick": "not picked as the next act",
    "window": "not ended in time",
    "quiz": "answered wrong",
    "judge": "judged wrong",
    "sign_off": "not passed",
}
"""What a miss of a mark is in words."""


def _missed(j: Joined, facts: Mapping[str, ProcedureFacts]) -> list[tuple[Key, _Sign]]:
    """By step and mark, its misses held against its kind of mark after as much practice."""
    every = _misses(j, facts)
    if every.is_empty():
        return []
    k, n, expected = (every[name].to_numpy().astype(np.float64) for name in ("k_most", "n_most", "e_most"))
    odds, usual = _odds(k, n), _odds(expected, n)
    held = apart(
        odds - usual, 1 / (k + 0.5) + 1 / (n - k + 0.5), every["mark"].cast(pl.String).to_list(), LOGITS
    )
    shares = 1 / (1 + np.exp(-usual - held.usual))
    found = []
    for place, row in enumerate(every.iter_rows(named=True)):
        sign = _Sign(
            float(held.away[place]),
            bool(k[place] / n[place] - shares[place] >= MORE and row["who"] >= MOST * row["trainees"]),
            f"{_DONE.get(row['mark'], 'missed')} {row['k']} of {row['n']} times, "
            f"by {row['who']} of {row['trainees']} trainees "
            f"(usual for a {row['mark']} after as much practice: {100 * shares[place]:.0f} in 100)",
        )
        found.append(((row["procedure"], row["step"]), sign))
    return found


def _odds(k: Values, n: Values) -> Values:
    """Log odds of `k` of `n`, finite at both ends."""
    return np.asarray(np.log((k + 0.5) / (n - k + 0.5)))


def _misses(j: Joined, facts: Mapping[str, ProcedureFacts]) -> pl.DataFrame:
    """By step and mark: `k` misses of `n`, of `who` of the `trainees`; and without the worst fifth of them.

    e: misses expected by the rates of such marks at all other steps in the same band of practice.
    """
    never = pl.DataFrame(
        [(one.id, step.id) for one in facts.values() for step in one.steps.values() if not step.can_miss],
        schema={"procedure": pl.Categorical, "step": pl.Categorical},
        orient="row",
    )
    by = ["procedure", "step", "mark"]
    counts = (pl.len().cast(pl.Float64).alias("n"), (~pl.col("hit")).sum().cast(pl.Float64).alias("k"))
    cells = (
        j.attempts.lazy()
        .filter(pl.col("hit").is_not_null(), ~pl.col("mark").is_in(list(NOT_COMPARED)))
        .group_by(*by, "trainee", "band")
        .agg(*counts)
        .join(never.lazy(), on=["procedure", "step"], how="anti")
        .collect()
        .lazy()
    )
    # Of equal shares the one who missed more comes first, then the one who was less expected to: rows come in
    # any order, and nothing may hang on it.
    share = pl.col("k") / pl.col("n") + pl.col("k") * 1e-9 - pl.col("e") * 1e-12
    kept = share.rank("ordinal", descending=True) > (pl.len() / WORST).ceil()
    most = [pl.col(name).filter(kept).sum().alias(f"{name}_most") for name in ("k", "n", "e")]
    return (
        cells.join(_elsewhere(cells, by), on=[*by, "band"])
        .group_by(*by, "trainee")
        .agg(pl.col("n", "k").sum(), (pl.col("n") * pl.col("rate")).sum().alias("e"))
        .group_by(by)
        .agg(
            pl.col("n", "k").sum().cast(pl.Int64),
            pl.len().alias("trainees"),
            (pl.col("k") > 0).sum().alias("who"),
            *most,
        )
        .filter(pl.col("n_most") >= ATTEMPTS, pl.col("trainees") >= TRAINEES)
        .sort(pl.col(*by).cast(pl.String))
        .collect()
    )


def _elsewhere(cells: pl.LazyFrame, by: list[str]) -> pl.LazyFrame:
    """For each step, mark and band: the `rate` of misses of that mark at all other steps in that band."""
    all_k, all_n = (pl.col(name).sum().over("mark", "band") for name in ("k", "n"))
    rate = (all_k - pl.col("k") + LEANS * all_k / all_n) / (all_n - pl.col("n") + LEANS)
    return cells.group_by(*by, "band").agg(pl.col("n", "k").sum()).select(*by, "band", rate.alias("rate"))


def _hesitated(j: Joined) -> list[tuple[Key, _Sign]]:
    """By step, how long people hesitate there, each held against what he or she is used to elsewhere."""
    own = (
        j.visits.lazy()
        .filter(pl.col("hesitation").is_not_null(), pl.col("task") != "hazard")
        .with_columns(pl.col("hesitation").log1p().alias("log"))
        .group_by("procedure", "step", "trainee")
        .agg(pl.col("log").median(), pl.col("task").first())
        .with_columns((pl.col("log") - pl.col("log").median().over("procedure", "trainee")).alias("away"))
        .group_by("procedure", "step")
        .agg(
            pl.col("task").first(),
            pl.col("log").median(),
            pl.col("away").median(),
            pl.col("away").std().alias("sd"),
            pl.len().alias("trainees"),
            pl.col("away").alias("every"),
        )
        .filter(pl.col("trainees") >= TRAINEES)
        .sort(pl.col("procedure", "step").cast(pl.String))
        .collect()
    )
    if own.is_empty():
        return []
    away, sd = own["away"].to_numpy(), own["sd"].to_numpy()
    count = own["trainees"].to_numpy()
    held = apart(away, _of_median(sd, count), own["task"].cast(pl.String).to_list(), LOGS)
    longer = np.exp(away - held.usual)
    found = []
    for place, row in enumerate(own.iter_rows(named=True)):
        slow = int((np.asarray(row["every"]) > held.usual[place]).sum())
        sign = _Sign(
            float(held.away[place]),
            bool(longer[place] >= LONGER and slow > MOST * row["trainees"]),
            f"{np.expm1(row['log']):.0f} s before the first act (median), {longer[place]:.1f} times what is "
            f"usual, and {slow} of {row['trainees']} trainees slower than elsewhere",
        )
        found.append(((row["procedure"], row["step"]), sign))
    return found


def _of_median(sd: Values, count: Values) -> Values:
    """Sampling variance of a median of about normal values: pi / 2 times that of the mean."""
    return np.asarray(np.pi / 2 * sd**2 / count)

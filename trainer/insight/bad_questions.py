"""Bad questions: harder than others, and those who can do the others are no better at them.

A hard question alone may be a good one. An easy one always is: of a safety question nothing else is wanted.
So both looks are put together (Stouffer 1949, from memory: the sum of two standard normal values over the
root of two). Where those who can do the others are clearly worse at it, it need not be harder.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from trainer.insight.items import fisher_interval
from trainer.insight.joined import Joined
from trainer.insight.questions import answered
from trainer.insight.results import Finding, QuestionRow
from trainer.insight.spread import ENOUGH, Values, apart, chance
from trainer.insight.standing import Compared

ANSWERS = 24
"""With fewer answers a question is not compared."""
TRAINEES = 4
"""With fewer trainees no question is."""
OTHERS = 4
"""How able a trainee is at the time is told by at least so many answers to other questions."""
LOGITS = 0.3
"""Log odds of a right answer differ between good questions by so much. Common practice, no source."""
CORRELATION = 0.05
"""So do correlations with the ability (Fisher's z)."""
WEIGHT = 2.0
"""Of the correlation beside the difficulty: many good questions are hard."""
HARDER = 0.10
"""So much less often right than is usual is worth saying."""
_METHOD = "bad-question"
_LIMIT = 1 - 1e-9
_NOTHING = 1e-9
"""All are equally able, but for rounding."""

Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Look:
    """A question among the others. r: of its answers with the ability at the time.

    usual, usual_r: of the others, the share right and r. chance: that both come out so much lower.
    """

    n: int
    share: float
    r: float
    usual: float
    usual_r: float
    chance: float

    @property
    def worth(self) -> bool:
        """Is it worth saying, if chance did not make it?"""
        if self.share <= self.usual - HARDER and self.r < self.usual_r:
            return True
        interval = fisher_interval(self.r, self.n)
        return self.share <= self.usual and interval is not None and interval.high < 0


def looks(j: Joined) -> dict[Key, Look]:
    """Each question with enough answers, held against the others of its procedure, or of all with few."""
    rows = _correlated(j)
    if rows.is_empty():
        return {}
    n, k, r = (rows[name].cast(pl.Float64).to_numpy() for name in ("n", "k", "r"))
    kinds = _kinds(rows["procedure"].to_list())
    odds = np.log((k + 0.5) / (n - k + 0.5))
    easy = apart(-odds, 1 / (k + 0.5) + 1 / (n - k + 0.5), kinds, LOGITS)
    tells = apart(-np.arctanh(np.clip(r, -_LIMIT, _LIMIT)), 1 / (n - 3), kinds, CORRELATION)
    both = chance((easy.away + WEIGHT * tells.away) / np.sqrt(1 + WEIGHT**2), len(n))
    usual, usual_r = 1 / (1 + np.exp(easy.usual)), np.tanh(-tells.usual)
    figures = zip(
        n.astype(int).tolist(), (k / n).tolist(), r.tolist(), *_lists(usual, usual_r, both), strict=True
    )
    keys = zip(rows["procedure"], rows["name"], strict=True)
    return {key: Look(*each) for key, each in zip(keys, figures, strict=True)}


def _kinds(procedures: Sequence[str]) -> list[str]:
    """The procedure, where it has questions enough to tell how questions differ; else all others together."""
    return [one if procedures.count(one) >= ENOUGH else "" for one in procedures]


def _lists(*values: Values) -> list[list[float]]:
    return [one.tolist() for one in values]


def _correlated(j: Joined) -> pl.DataFrame:
    """Of each question: answers, right ones, and the correlation with the ability at the time.

    Ability, in log odds: how often the same trainee is right at the other questions of the procedure, and how
    often all trainees are with as much practice (against all). So what people learn is part of it.
    """
    whole, own, then = ["procedure"], ["procedure", "trainee"], ["procedure", "band"]
    n, k, a = (pl.col(name) for name in ("n", "k", "ability"))
    return (
        answered(j)
        .group_by("procedure", "name", "trainee", "band")
        .agg(pl.len().cast(pl.Float64).alias("n"), pl.col("right").sum().cast(pl.Float64).alias("k"))
        .with_columns(
            (_others(own) + _others(then) - _others(whole)).alias("ability"),
            _but_this("n", own).alias("others"),
        )
        .filter(pl.col("others") >= OTHERS)
        .group_by("procedure", "name")
        .agg(
            n.sum(),
            k.sum(),
            ((k * a).sum() - k.sum() * (n * a).sum() / n.sum()).alias("together"),
            ((n * a**2).sum() - (n * a).sum() ** 2 / n.sum()).alias("of_ability"),
            pl.col("trainee").n_unique().alias("trainees"),
        )
        .with_columns((pl.col("together") / (pl.col("of_ability") * k * (1 - k / n)).sqrt()).alias("r"))
        .filter(n >= ANSWERS, pl.col("trainees") >= TRAINEES, pl.col("of_ability") > _NOTHING)
        .filter(pl.col("r").is_finite())
        .with_columns(pl.col("procedure", "name").cast(pl.String))
        .sort("procedure", "name")
        .collect()
    )


def _others(by: list[str]) -> pl.Expr:
    """Log odds of a right answer to the other questions within each of `by`, finite at both ends."""
    n, k = _but_this("n", by), _but_this("k", by)
    return ((k + 1) / (n - k + 1)).log()


def _but_this(name: str, by: list[str]) -> pl.Expr:
    """The sum within each of `by`, without the question itself."""
    return pl.col(name).sum().over(by) - pl.col(name).sum().over([*by, "name"])


def stands_out(rows: Sequence[QuestionRow], j: Joined) -> Compared:
    """Questions that are bad."""
    by_key = {(row.procedure, row.name): row for row in rows}
    every = looks(j)
    worth = {key: look for key, look in every.items() if look.worth and key in by_key}
    found = tuple(_finding(by_key[key], look) for key, look in worth.items())
    return Compared(found, len(every) - len(found))


def _finding(row: QuestionRow, look: Look) -> Finding:
    first, every = row.first_right, row.all_right
    low, high = round(100 * every.interval.low), round(100 * every.interval.high)
    words = (
        f"“{row.ask}” was right {first.k} of {first.n} times at first and {every.k} of {every.n} in all "
        f"(interval {low} to {high} %; usual {100 * look.usual:.0f} in 100), and who does well at other "
        f"questions does {'worse' if look.r < 0 else 'hardly better'} at it"
    )
    popular = max((one for one in row.options if not one.right), key=lambda one: one.taken, default=None)
    if popular is not None and popular.taken:
        words += f"; “{popular.words}” was taken {popular.taken} times at first"
    return Finding(
        kind="question-bad",
        level="act",
        subject="question",
        keys=(row.procedure, row.name),
        words=f"{words}.",
        why=(
            f"Correlation with the other questions {look.r:.2f} over {look.n} answers (usual "
            f"{look.usual_r:.2f}). Look at its key first, then at its words, then whether another answer can "
            f"be right."
        ),
        n=every.n,
        method=_METHOD,
        p=look.chance,
        runs=row.runs,
    )

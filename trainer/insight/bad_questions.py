"""Bad questions: the able do worse at them than the others, or they stay wrong once the reason was read.

An easy question is never bad; of a safety question nothing else is wanted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atanh, sqrt

import numpy as np

from trainer.insight.results import Finding, QuestionRow
from trainer.insight.spread import apart
from trainer.insight.standing import Compared

LOGITS = 0.5
"""Log odds of staying wrong differ between questions by at least so much. Common practice, no source."""
STAYS = 0.25
"""So much more often wrong than is usual, after the reason was read, is worth saying."""
EASY = 0.75
"""A question that more get right at first is not bad, whatever its discrimination."""
LATER = 10
"""With fewer later answers nobody can tell whether it stays wrong."""
QUESTIONS = 5
"""With fewer questions nobody can tell what is usual."""
_LOOKS = 2
_METHOD = "item-analysis"
_LIMIT = 1 - 1e-9


@dataclass(frozen=True, slots=True)
class Later:
    """Answers to a question after a trainee's first, which read its reason: `wrong` of `n`.

    usual: the share of others that stays wrong. chance: how likely chance makes it so much worse than those.
    """

    wrong: int
    n: int
    usual: float
    chance: float

    @property
    def stays(self) -> bool:
        """Does it stay wrong, far more than others do?"""
        return self.wrong / self.n >= self.usual + STAYS


def later(rows: Sequence[QuestionRow]) -> dict[tuple[str, str], Later]:
    """Of each question with enough later answers, these, held against all such questions."""
    counts = {}
    for row in rows:
        n = row.all_right.n - row.first_right.n
        wrong = n - (row.all_right.k - row.first_right.k)
        if n >= LATER:
            counts[(row.procedure, row.name)] = (wrong, n)
    if len(counts) < QUESTIONS:
        return {}
    k, n = np.asarray(list(counts.values()), dtype=np.float64).T
    odds, variances = np.log((k + 0.5) / (n - k + 0.5)), 1 / (k + 0.5) + 1 / (n - k + 0.5)
    held = apart(odds, variances, ["question"] * len(k), LOGITS)
    usual = 1 / (1 + np.exp(-held.usual))
    return {
        key: Later(*count, float(usual[place]), float(held.chance[place]))
        for place, (key, count) in enumerate(counts.items())
    }


def stands_out(rows: Sequence[QuestionRow]) -> Compared:
    """Bad questions: each is looked at twice, and p is for looking twice."""
    after = later(rows)
    findings, silent = [], 0
    for row in rows:
        of_row = after.get((row.procedure, row.name))
        stays = of_row if of_row is not None and of_row.stays else None
        chance = min(turned(row), 1.0 if stays is None else stays.chance)
        if chance < 1:
            findings.append(_finding(row, stays, min(1.0, _LOOKS * chance)))
        elif of_row is not None or row.discrimination is not None:
            silent += 1
    return Compared(tuple(findings), silent)


def turned(row: QuestionRow) -> float:
    """How likely chance makes the able do so much worse at it: r against 0 by Fisher's z. 1: they do not."""
    r, n = row.discrimination, row.first_right.n
    if r is None or r >= 0 or n <= 3 or (row.first_right.share or 0) > EASY:
        return 1.0
    from scipy import stats  # takes longer to import than all else here

    return float(stats.norm.cdf(atanh(max(r, -_LIMIT)) * sqrt(n - 3)))


def _finding(row: QuestionRow, stays: Later | None, p: float) -> Finding:
    low, high = round(100 * row.first_right.interval.low), round(100 * row.first_right.interval.high)
    words = f"“{row.ask}” was right {row.first_right.k} of {row.first_right.n} times at first "
    words += f"(interval {low} to {high} %)"
    if stays is not None:
        words += (
            f", and {stays.n - stays.wrong} of {stays.n} times once its reason was read "
            f"(usual: {100 * (1 - stays.usual):.0f} in 100)"
        )
    popular = max((one for one in row.options if not one.right), key=lambda one: one.taken, default=None)
    if popular is not None and popular.taken:
        words += f"; “{popular.words}” was taken {popular.taken} times"
    why = "Look at its key first, then at its words, then at whether both answers can be right."
    if row.discrimination is not None and row.discrimination_interval is not None:
        bounds = row.discrimination_interval
        why += (
            f" Corrected point-biserial {row.discrimination:.2f} (interval {bounds.low:.2f} to "
            f"{bounds.high:.2f}): below 0, the able do worse at it."
        )
    return Finding(
        kind="question-bad",
        level="act",
        subject="question",
        keys=(row.procedure, row.name),
        words=f"{words}.",
        why=why,
        n=row.all_right.n,
        method=_METHOD,
        p=p,
        runs=row.runs,
    )

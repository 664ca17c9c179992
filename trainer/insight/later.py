"""Answers to a question after a trainee's first, which were given with its reason read: which stay wrong?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trainer.insight.results import QuestionRow

STAYS = 0.25
"""So much more often wrong than is usual is worth a remark."""
LATER = 10
"""With fewer later answers nobody can tell whether it stays wrong."""
QUESTIONS = 5
"""With fewer questions nobody can tell what is usual."""


@dataclass(frozen=True, slots=True)
class Later:
    """Later answers to a question: `wrong` of `n`. usual: the median share of all questions."""

    wrong: int
    n: int
    usual: float

    @property
    def stays(self) -> bool:
        """Does it stay wrong, far more than others do?"""
        return self.wrong / self.n >= self.usual + STAYS


def later(rows: Sequence[QuestionRow]) -> dict[tuple[str, str], Later]:
    """Of each question with enough later answers, these."""
    counts = {}
    for row in rows:
        n = row.all_right.n - row.first_right.n
        if n >= LATER:
            counts[(row.procedure, row.name)] = (n - (row.all_right.k - row.first_right.k), n)
    if len(counts) < QUESTIONS:
        return {}
    usual = float(np.median([wrong / n for wrong, n in counts.values()]))
    return {key: Later(wrong, n, usual) for key, (wrong, n) in counts.items()}

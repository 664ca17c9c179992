"""How reliable the questions are together: Cronbach's alpha, which of right and wrong is KR-20."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trainer.insight.results import Interval

Values = NDArray[np.float64]
PROVISIONAL = 30
"""With fewer trainees everything here is provisional."""


def alpha(table: Values) -> float | None:
    """k / (k - 1) * (1 - sum of the variances of the questions / variance of the scores).

    table: a row for each trainee, a column for each question. One divisor (n) in both variances: with p q in
    one and n - 1 in the other it comes out too high. None with fewer than two of either, or where all score
    alike.
    """
    people, questions = table.shape
    total = float(table.sum(axis=1).var()) if people else 0.0
    if people < 2 or questions < 2 or total == 0:
        return None
    return float(questions / (questions - 1) * (1 - table.var(axis=0).sum() / total))


def feldt(value: float, people: int, questions: int) -> Interval:
    """The 95 % interval of alpha: 1 - (1 - alpha) F, with n - 1 and (n - 1)(k - 1) degrees of freedom.

    Feldt, Woodruff and Salih 1987, Applied Psychological Measurement 11, 93-103, formulas 6 and 7.
    """
    from scipy.special import fdtri  # 40 ms, only here

    one, two = people - 1, (people - 1) * (questions - 1)
    low, high = (1 - (1 - value) * float(fdtri(one, two, part)) for part in (0.975, 0.025))
    return Interval(low, high, "feldt")


def standard_error(deviation: float, reliability: float) -> float:
    """The standard error of measurement: standard deviation of the scores * sqrt(1 - reliability)."""
    return float(deviation * np.sqrt(1 - reliability))

"""Item statistics of right and wrong answers: discrimination and how sure it is.

`right`: a table of 0 and 1, a row for each trainee, a column for each question.
"""

from __future__ import annotations

from math import atanh, sqrt, tanh

import numpy as np
from numpy.typing import NDArray

from trainer.insight.intervals import Z95
from trainer.insight.results import Interval

Values = NDArray[np.float64]
LEAST = 10
"""With fewer trainees no discrimination is told: its interval would say nothing."""


def upper_lower(item: Values, scores: Values) -> float:
    """D: the share right in the upper half less that in the lower half."""
    half = len(scores) // 2
    order = np.argsort(-scores, kind="stable")
    return float(item[order[:half]].mean() - item[order[len(scores) - half :]].mean())


def correlation(item: Values, scores: Values) -> float | None:
    """Point-biserial: Pearson's r of right or wrong with the scores. None where either does not vary."""
    if len(item) < 2 or np.ptp(item) == 0 or np.ptp(scores) == 0:
        return None
    return float(np.corrcoef(item, scores)[0, 1])


def others(right: Values, column: int) -> Values:
    """The scores on the other questions: a corrected point-biserial leaves the question itself out."""
    return np.asarray(right.sum(axis=1) - right[:, column])


def fisher_interval(r: float, n: int) -> Interval | None:
    """The 95 % interval of a correlation by Fisher's z; None where r is 1 or n too small.

    Fisher 1921 (from memory): atanh(r) is about normal with standard error 1 / sqrt(n - 3).
    """
    if n <= 3 or abs(r) >= 1:
        return None
    reach = Z95 / sqrt(n - 3)
    return Interval(tanh(atanh(r) - reach), tanh(atanh(r) + reach), "fisher-z")

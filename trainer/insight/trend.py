"""Does a series rise or fall? Mann's test, which is Kendall's with time; also for ten thousand values.

Ours, since importing all of scipy's statistics takes longer, and more memory, than the review of a class.
"""

from __future__ import annotations

from math import erfc, sqrt

import numpy as np
from numpy.typing import NDArray

Ranks = NDArray[np.int64]


def trend_chance(values: NDArray[np.float64]) -> float:
    """How likely chance makes pairs of values rise, or fall, so much more often than the other way.

    Two-sided, by the normal distribution, with the variance corrected for ties (Mann 1945; Kendall 1975; both
    from memory; scipy 1.17's `kendalltau` agrees). 1 where all are equal or there are fewer than 2.
    """
    _, ranks, ties = np.unique(values, return_inverse=True, return_counts=True)
    n = len(values)
    same = int((ties * (ties - 1)).sum()) // 2
    score = n * (n - 1) // 2 - same - 2 * falling(ranks)
    variance = (n * (n - 1) * (2 * n + 5) - float((ties * (ties - 1) * (2.0 * ties + 5)).sum())) / 18
    return erfc(abs(score) / sqrt(2 * variance)) if variance > 0 else 1.0


def falling(ranks: Ranks) -> int:
    """How many pairs there are whose later member is the smaller one. ranks: whole numbers from 0.

    Bit by bit from the highest: of those that are alike in all bits above, each 0 counts the 1s before it.
    Time goes as n log n.
    """
    found, order = 0, ranks.astype(np.int64)
    for bit in reversed(range(int(order.max(initial=0)).bit_length())):
        one = (order >> bit) & 1
        before = np.cumsum(one) - one
        above = order >> (bit + 1)
        own = before - before[np.searchsorted(above, above)]
        found += int(own[one == 0].sum())
        order = order[np.argsort(order >> bit, kind="stable")]
    return found

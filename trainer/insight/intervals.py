"""How sure a count is: pure Python, so that a screen may say it before any library for numbers is loaded."""

from __future__ import annotations

from functools import lru_cache
from math import exp, fsum, lgamma, log, log1p, sqrt

from trainer.insight.results import Interval, Rate

Z95 = 1.959963984540054
"""The normal quantile of 0.975: 95 in 100 lie within so many standard deviations."""
LINE = 0.8
"""The share of hits that work is held to where nothing else says so. Common practice, no source."""


def wilson(k: int, n: int) -> Interval:
    """Wilson's interval of `k` of `n` at 95 %, without continuity correction.

    Exactly 0 at its low end where k is 0, exactly 1 at its high end where k is n; all of 0 to 1 of nothing.
    Source: Wilson 1927; Newcombe 1998, method 3. Raises ValueError where k of n is no count.
    """
    if not 0 <= k <= n:
        raise ValueError(f"{k} of {n} is no count")
    if n == 0:
        return Interval(0.0, 1.0, "wilson")
    share, squared = k / n, Z95 * Z95
    spread = 1 + squared / n
    centre = (share + squared / (2 * n)) / spread
    half = Z95 * sqrt(share * (1 - share) / n + squared / (4 * n * n)) / spread
    return Interval(0.0 if k == 0 else centre - half, 1.0 if k == n else centre + half, "wilson")


def chance_below(k: int, n: int, line: float) -> float:
    """How likely the true rate is under `line` after `k` of `n`, when before it every rate was as likely.

    The lower tail of Beta(1 + k, 1 + n - k), as a sum of binomial terms: both parameters are whole numbers.
    Source: NIST DLMF 8.17.5. Raises ValueError where k of n is no count or `line` not between 0 and 1.
    """
    if not 0 <= k <= n or not 0 < line < 1:
        raise ValueError(f"{k} of {n} against {line} cannot be told")
    tries, hit, miss = n + 1, log(line), log1p(-line)
    terms = (
        exp(lgamma(tries + 1) - lgamma(j + 1) - lgamma(tries - j + 1) + j * hit + (tries - j) * miss)
        for j in range(k + 1, tries + 1)
    )
    return min(1.0, fsum(terms))


@lru_cache(maxsize=2**16)  # a school has many trainees with the same few counts
def rate(k: int, n: int, line: float | None = None) -> Rate:
    """`k` of `n` with Wilson's interval, held against `line` where there is one."""
    return Rate(k, n, wilson(k, n), line, None if line is None else chance_below(k, n, line))

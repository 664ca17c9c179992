"""How likely so few hits are, where chances differ from attempt to attempt, and people differ."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Numbers: TypeAlias = npt.NDArray[np.float64]

_NODES = 21
_MEDIAN_OF_SQUARE = 0.454936
"""The median of chi-square with one degree of freedom."""
_MOST_SPREAD = 3.0


def so_few(hits: Numbers, expected: Numbers, variance: Numbers, shift: Numbers, spread: float) -> Numbers:
    """Mid-p of at most so many `hits`, for each row.

    expected, variance: sums of p and of p (1 - p) over the attempts. shift: of the one who made them, in
    logits; how people differ beside that is normal with standard deviation `spread`, in logits, and is
    averaged over (Gauss and Hermite, 21 points). The hits themselves: a binomial of the same mean and
    variance, which differs from the exact sum of unequal chances by little (Ehm 1991). Mid-p: Lancaster 1961.
    Both from memory.
    """
    from scipy.special import expit, logit  # 40 ms, only here

    points, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    weights = weights / weights.sum()
    chance = np.clip(1 - variance / expected, 1e-6, 1 - 1e-6)
    tries = np.maximum(expected / chance, hits)
    at = expit(logit(chance)[:, None] + shift[:, None] + spread * points[None, :])
    return np.asarray((_mid(hits[:, None], tries[:, None], at) * weights).sum(axis=1))


def _mid(hits: Numbers, tries: Numbers, chance: Numbers) -> Numbers:
    """Mid-p of the lower tail of a binomial, also for tries that are no whole number."""
    from scipy.special import betainc

    def at_most(most: Numbers) -> Numbers:
        within = (most >= 0) & (most < tries)
        told = betainc(np.where(within, tries - most, 1.0), np.where(within, most + 1, 1.0), 1 - chance)
        return np.where(within, told, np.where(most < 0, 0.0, 1.0))

    return np.asarray((at_most(hits) + at_most(hits - 1)) / 2)


def spread_of(gap: Numbers, variance: Numbers) -> float:
    """How people differ: the standard deviation, in logits, at which gaps are as large as they are.

    gap: hits less expected hits, of variance `variance` by chance alone. The median of the squares is used,
    so that the few who stand out do not make everybody look different (the idea of an empirical null,
    Efron 2004, from memory).
    """
    low, high = 0.0, _MOST_SPREAD
    if np.median(gap**2 / variance) <= _MEDIAN_OF_SQUARE:
        return 0.0
    for _ in range(40):
        middle = (low + high) / 2
        wide = np.median(gap**2 / (variance + (middle * variance) ** 2)) > _MEDIAN_OF_SQUARE
        low, high = (middle, high) if wide else (low, middle)
    return (low + high) / 2

"""How likely so few hits are, where chances differ from attempt to attempt, and people differ."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Numbers: TypeAlias = npt.NDArray[np.float64]
Places: TypeAlias = npt.NDArray[np.int64]

_NODES = 21
_MEDIAN_OF_SQUARE = 0.454936
"""The median of chi-square with one degree of freedom."""
_MOST_SPREAD = 3.0
_STEPS = 25
_FAR = 1.5
"""Beyond so many standard deviations a skill counts for less in what is told of the trainee's others."""
_USUAL_SPREAD = 0.3
"""What trainees' skills differ by anyway, in logits."""


def binomial(expected: Numbers, variance: Numbers) -> tuple[Numbers, Numbers]:
    """Tries (need not be whole) and log odds of the binomial of this mean and variance, for each row.

    expected, variance: sums of p and of p (1 - p) over attempts whose chances differ. The binomial differs
    little from their exact sum (Ehm 1991, from memory).
    """
    chance = np.clip(1 - variance / expected, 1e-6, 1 - 1e-6)
    return expected / chance, np.log(chance / (1 - chance))


def moments(tries: Numbers, odds: Numbers) -> tuple[Numbers, Numbers]:
    """Mean and variance of the binomial of these tries and log odds."""
    chance = 1 / (1 + np.exp(-odds))
    return tries * chance, tries * chance * (1 - chance)


def levels(hits: Numbers, tries: Numbers, odds: Numbers, of: Places) -> Numbers:
    """For each row: by how much the log odds of its trainee are higher in all other rows of the same trainee.

    of: the number of the trainee, from 0. Found by Newton's method for a normal with mean 0 and standard
    deviation 1 before anything was seen, so that one who was hardly seen is taken as like the others. A row
    that is far off counts for less (Huber 1964, from memory), so that a weakness does not make the trainee's
    other skills look like strengths.
    """
    level = np.zeros(int(of.max(initial=0)) + 1)
    weight = np.ones_like(hits)
    for _ in range(_STEPS):
        mean, variance = moments(tries, odds + level[of])
        away = np.abs(hits - mean) / np.sqrt(variance + (_USUAL_SPREAD * variance) ** 2)
        weight = _FAR / np.maximum(away, _FAR)
        push = np.bincount(of, weight * (hits - mean)) - level
        level += np.clip(push / (np.bincount(of, weight * variance) + 1), -1, 1)
    mean, variance = moments(tries, odds + level[of])
    others = np.bincount(of, weight * variance)[of] - weight * variance + 1
    return np.asarray(level[of] - weight * (hits - mean) / others)


def so_few(hits: Numbers, tries: Numbers, odds: Numbers, spread: float) -> Numbers:
    """Mid-p of at most so many `hits` in so many `tries` at these log odds, for each row.

    spread: how people differ around the odds, as a standard deviation in logits; averaged over (Gauss and
    Hermite, 21 points). Mid-p: Lancaster 1961, from memory.
    """
    points, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    chance = 1 / (1 + np.exp(-(odds[:, None] + spread * points[None, :])))
    low = _mid(hits[:, None], np.maximum(tries, hits)[:, None], chance)
    return np.asarray((low * weights).sum(axis=1) / weights.sum())


def _mid(hits: Numbers, tries: Numbers, chance: Numbers) -> Numbers:
    """Mid-p of the lower tail of a binomial, also for tries that are no whole number."""
    from scipy.special import betainc  # 40 ms, only here

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

"""Individuals and moving range charts, and a slowly moving average that sees a drift.

Limits: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (mean and 3 sigma, sigma being the mean
moving range over 1.128). The moving average: 6.3.2.4 there, after Roberts 1959 (Technometrics 1, 239-250).
What was changed and why stands beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from trainer.insight.trend import trend_chance

Values = NDArray[np.float64]
Flags = NDArray[np.bool_]

D2 = 1.128
"""Mean range of two values of a normal distribution, in standard deviations, as the handbook rounds it."""
D4 = 3.267
"""Upper limit of the moving range over its mean, from memory (3.2665319 from its closed form)."""
SIGMAS = 3.0
BASELINE = 20
"""From so many first values the limits are taken."""
LEAST = 10
"""With fewer values no limits are drawn."""
WEIGHT = 0.2
"""Of the newest value in the moving average; 0.2 to 0.3 is usual (handbook)."""
DRIFT_SIGMAS = 3.5
"""How far the moving average may lie from the centre: chosen by false alarms (guide page `methods`)."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Of a chart. sigma: estimated from `baseline` first values; range_high: of the moving range."""

    centre: float
    low: float
    high: float
    sigma: float
    range_high: float
    baseline: int


def moving_ranges(values: Values) -> Values:
    """From each value to the next, one fewer than values."""
    return np.asarray(np.abs(np.diff(values)))


def limits(values: Values, baseline: int = BASELINE, resolution: float = 0.0) -> Limits | None:
    """The limits, from the first values; None where there are fewer than `LEAST`.

    resolution: what the instrument is read to. Values that are read to half a step are often equal, and then
    the ranges say that nothing varies. What rounding alone makes of one value, resolution over the root of
    12, is the least that sigma can be.
    """
    if len(values) < LEAST:
        return None
    first = values[:baseline]
    centre, ranges = float(first.mean()), moving_ranges(first)
    sigma = max(float(ranges.mean()) / D2, resolution / 12**0.5)
    reach = SIGMAS * sigma
    return Limits(centre, centre - reach, centre + reach, sigma, D4 * sigma * D2, len(first))


def outside(values: Values, drawn: Limits) -> Flags:
    """Rule 1: values beyond three sigma."""
    return np.asarray((values < drawn.low) | (values > drawn.high))


def moving_average(values: Values, centre: float, weight: float = WEIGHT) -> Values:
    """z = weight * x + (1 - weight) * z before, beginning at the centre."""
    found = accumulate(values.tolist(), lambda z, x: z + weight * (x - z), initial=centre)
    return np.asarray(list(found)[1:])


def drift_limits(drawn: Limits, count: int) -> Values:
    """How far the moving average may lie from the centre, for each of `count` values.

    The handbook's variance of the average, sigma^2 * weight / (2 - weight) * (1 - (1 - weight)^(2 i)), holds
    for a centre that is known. Ours is the mean of a few values, so its own variance, sigma^2 / baseline, is
    added.
    """
    index = np.arange(1, count + 1)
    own = WEIGHT / (2 - WEIGHT) * (1 - (1 - WEIGHT) ** (2 * index))
    return np.asarray(DRIFT_SIGMAS * drawn.sigma * np.sqrt(own + 1 / drawn.baseline))


def beyond(values: Values, drawn: Limits) -> Flags:
    """Where the moving average lies beyond its limits, after the values from which the limits were taken."""
    average = moving_average(values, drawn.centre)
    flags = np.abs(average - drawn.centre) > drift_limits(drawn, len(values))
    flags[: drawn.baseline] = False
    return np.asarray(flags)


def drifts(values: Values, drawn: Limits) -> bool:
    """Is the moving average beyond its limits now, at the last value? What came back has passed."""
    return bool(beyond(values, drawn)[-1])


def drift_chance(values: Values, drawn: Limits) -> float:
    """How likely chance makes a drift as clear as this: the clearer of two looks, doubled for looking twice.

    A trend from first to last (Mann 1945; Kendall, tau-b for ties), or the moving average at the last
    value against Student's t. The mean moving range of n values is as sure as a variance of about
    0.62 (n - 1) degrees of freedom (from memory).
    """
    from scipy.special import stdtr  # 40 ms, only here

    away = abs(moving_average(values, drawn.centre)[-1] - drawn.centre)
    spread = float(drift_limits(drawn, len(values))[-1]) / DRIFT_SIGMAS
    last = 1.0 if spread == 0 else 2 * float(stdtr(0.62 * (drawn.baseline - 1), -away / spread))
    return min(1.0, 2 * min(last, trend_chance(values)))

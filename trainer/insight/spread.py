"""How values spread: median and quartiles of type 7, and what stands apart from its kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from trainer.insight.results import Spread

Values = NDArray[np.float64]
_MEDIAN_CHI_SQUARED = 0.45493642311957283
"""Of one degree of freedom."""
FEW = 4
"""A kind with fewer members is compared with the members of all kinds."""
ENOUGH = 12
"""The members of a kind with fewer are taken to differ no less than those of all kinds."""


def spread_of(column: str) -> list[pl.Expr]:
    """In a grouping: the columns that `spread` wants of `column`. Type 7: linear between order statistics."""
    value = pl.col(column)
    return [
        value.count().alias(f"{column}_n"),
        value.quantile(0.25, "linear").alias(f"{column}_low"),
        value.quantile(0.5, "linear").alias(f"{column}_median"),
        value.quantile(0.75, "linear").alias(f"{column}_high"),
    ]


def spread(row: Mapping[str, object], column: str) -> Spread:
    """The spread from a row of such a grouping."""
    n, low, median, high = (row[f"{column}_{part}"] for part in ("n", "low", "median", "high"))
    return Spread(_whole(n), _number(median), _number(low), _number(high))


@dataclass(frozen=True, slots=True)
class Apart:
    """What is usual among the kind of each value, and how far above it lies, in standard deviations."""

    usual: Values
    away: Values


def apart(values: Values, variances: Values, kinds: Sequence[str], least: float) -> Apart:
    """Hold each value against the median of its kind.

    The yardstick: the sampling variance of the value itself, and how much the values of its kind differ among
    each other beyond such variances (`left_over`, at least `least`). So what is a little more than the rest,
    however often it was seen, does not stand apart; and what stands apart does not stretch its own yardstick.
    """
    usual, scale = np.empty_like(values), np.empty_like(values)
    named = np.asarray(kinds)
    for kind in set(kinds):
        of_kind = named == kind
        usual[of_kind] = np.median(values[of_kind] if of_kind.sum() >= FEW else values)
    away = values - usual
    whole = left_over(away, variances)
    for kind in set(kinds):
        of_kind = named == kind
        own = left_over(away[of_kind], variances[of_kind])
        scale[of_kind] = max(least, own, whole if of_kind.sum() < ENOUGH else 0.0)
    return Apart(usual, np.asarray(away / np.sqrt(scale**2 + variances)))


def left_over(away: Values, variances: Values) -> float:
    """The standard deviation that true values have, where `away` has sampling variances on top of it.

    The one with which half of the squared standardised values lie below the median of chi-squared with one
    degree of freedom, as half of them should; 0 where sampling alone makes them differ as much.
    """
    squares = away**2
    low, high = 0.0, float(squares.max()) if len(squares) else 0.0
    for _ in range(50):
        middle = (low + high) / 2
        if np.median(squares / np.maximum(middle + variances, 1e-12)) > _MEDIAN_CHI_SQUARED:
            low = middle
        else:
            high = middle
    return float(np.sqrt(high)) if high > 1e-9 else 0.0


def chance(away: Values, count: int) -> Values:
    """How likely chance puts values so far above, by Student's t: the yardstick rests on `count` values."""
    from scipy.special import stdtr  # 40 ms, only here

    return np.asarray(stdtr(max(1, count - 1), -away))


def _number(value: object) -> float | None:
    return value if isinstance(value, float) else None


def _whole(value: object) -> int:
    return value if isinstance(value, int) else 0

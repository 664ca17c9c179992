"""Figures in words: how rates, spreads and lengths of time stand on the pages after class."""

from __future__ import annotations

from trainer.insight.results import Rate, Spread
from trainer.screens.review.saying import percents
from trainer.screens.widgets.plot import number
from trainer.screens.words import span_text

NONE = "-"
"""Where there is no figure."""


def of(rate: Rate) -> str:
    """`9 of 24`; a dash of nothing."""
    return f"{rate.k} of {rate.n}" if rate.n else NONE


def rate_words(rate: Rate) -> str:
    """`9 of 24 (interval 21 to 57 %)`."""
    return (
        f"{of(rate)} (interval {percents(rate.interval.low, rate.interval.high)})" if rate.n else "none yet"
    )


def seconds(value: float | None) -> str:
    """`4.2 s`, `45 s`, `1 min 30 s`; a dash where nobody knows."""
    if value is None:
        return NONE
    return f"{value:.1f} s" if value < 10 else span_text(value)


def short_seconds(value: float | None) -> str:
    """In at most seven cells, for a column: `4.2 s`, `45 s`, `2.5 min`."""
    if value is None:
        return NONE
    if value < 100:
        return f"{value:.1f} s" if value < 10 else f"{value:.0f} s"
    return f"{value / 60:.1f} min" if value < 600 else f"{value / 60:.0f} min"


def spread_words(spread: Spread) -> str:
    """`median 12 s, half of them between 8 s and 20 s, of 40`."""
    if spread.median is None or spread.low is None or spread.high is None:
        return "not known of any"
    return (
        f"median {seconds(spread.median)}, half of them between {seconds(spread.low)} and "
        f"{seconds(spread.high)}, of {spread.n}"
    )


def amount(value: float, unit: str) -> str:
    """`150 mL`, `2` of what is counted singly."""
    return number(value) if unit == "each" else f"{number(value)} {unit}"

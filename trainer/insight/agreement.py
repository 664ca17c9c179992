"""Do instructors' words on plates agree with what the record marked on them? The 2 x 2 table, then kappa."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import polars as pl

from trainer.insight.intervals import Z95
from trainer.insight.joined import Joined, run_numbers
from trainer.insight.results import AgreementRow, Interval

ENOUGH = 50
"""With fewer sign-offs kappa is provisional: its interval is wider than any use of it."""
_TABLE = ("passed_clean", "passed_missed", "not_yet_clean", "not_yet_missed")


def kappa(a: int, b: int, c: int, d: int) -> tuple[float, Interval] | None:
    """Cohen's kappa of the table [[a, b], [c, d]], rows and columns a rater each, with its 95 % interval.

    None where a row or a column is empty: one who always says the same agrees with nobody by choice.
    Sources: Cohen 1960; the interval by the large-sample variance of Fleiss, Cohen and Everitt 1969.
    """
    n = a + b + c + d
    rows, columns = (a + b, c + d), (a + c, b + d)
    if not all((*rows, *columns)):
        return None
    same, chance = (a + d) / n, sum(r * s for r, s in zip(rows, columns, strict=True)) / n**2
    value, left = (same - chance) / (1 - chance), 1 - chance
    cells = ((a, b), (c, d))
    first = sum(cells[i][i] / n * (left - (rows[i] + columns[i]) / n * (1 - same)) ** 2 for i in (0, 1))
    second = (1 - same) ** 2 * sum(
        cells[i][j] / n * ((columns[i] + rows[j]) / n) ** 2 for i, j in ((0, 1), (1, 0))
    )
    third = (same * chance - 2 * chance + same) ** 2
    half = Z95 * sqrt(max(0.0, first + second - third) / n) / left**2
    return value, Interval(value - half, value + half, "kappa")


def agreement(j: Joined) -> tuple[AgreementRow, ...]:
    """All instructors together first (`by` empty), then each. Nothing where nobody signed a wet plate."""
    signed = _signed(j)
    if signed.is_empty():
        return ()
    each = _tables(signed.group_by("by")).sort("by")
    whole = _tables(signed.group_by(pl.lit("").alias("by")))
    both = pl.concat([whole, each])
    figures = both.select("by", *_TABLE).iter_rows()
    return tuple(
        _row(by, cells, of) for (by, *cells), of in zip(figures, j.run_ids(both["runs"]), strict=True)
    )


def _signed(j: Joined) -> pl.DataFrame:
    """The word that counts on each plate, whose it is, and whether every other attempt there was a hit."""
    marked = ~pl.col("mark").is_in(["", "sign_off"])
    plates = j.attempts.lazy().filter(marked).group_by("no", "plate").agg(pl.col("hit").all().alias("clean"))
    counts = j.plates.lazy().select("no", "plate", pl.col("how").cast(pl.String).alias("word"))
    last = (
        j.signatures.lazy()
        .filter(~pl.col("rehearsal"))  # signed by the bench
        .join(counts, on=["no", "plate", "word"], how="semi")
        .sort("no", "seq")
        .group_by("no", "plate")
        .agg(pl.col("by", "word").last())
    )
    return (
        last.join(plates, on=["no", "plate"], how="left")
        .with_columns(pl.col("clean").fill_null(value=True))
        .collect()
    )


def _tables(groups: pl.dataframe.group_by.GroupBy) -> pl.DataFrame:
    passed, clean = pl.col("word") == "passed", pl.col("clean")
    cells = (passed & clean, passed & ~clean, ~passed & clean, ~passed & ~clean)
    counts = (cell.sum().cast(pl.Int64).alias(name) for cell, name in zip(cells, _TABLE, strict=True))
    return groups.agg(*counts, run_numbers())


def _row(by: str, cells: list[int], runs: Sequence[str]) -> AgreementRow:
    found = kappa(*cells)
    value, interval = found if found is not None else (None, None)
    a, b, c, d = cells
    return AgreementRow(by, a, b, c, d, value, interval, provisional=sum(cells) < ENOUGH, runs=runs)

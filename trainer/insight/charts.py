"""Control charts of each station: the wedge of its wet runs, and the seconds that a unit of dose takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

import numpy as np
import polars as pl

from trainer.insight import process
from trainer.insight.facts import ProcedureFacts
from trainer.insight.joined import Joined
from trainer.insight.made import Made
from trainer.insight.results import ChartPoint, ChartRow, Finding
from trainer.insight.run_ids import RunIds
from trainer.insight.standing import Compared
from trainer.run.functions import DENSITY_A_STEP

READ_TO = 0.5
"""A wedge is read to half a step."""
RECENT = 8
"""So many last values are told of in a sentence."""
_METHOD = "individuals-chart"


def charts(j: Joined, facts: Mapping[str, ProcedureFacts]) -> tuple[ChartRow, ...]:
    """The charts, by station, then procedure. Shops without a wedge or an integrator have none."""
    del facts
    return (*_charted(_wedges(j), "wedge", j), *_charted(_rates(j), "seconds per unit", j))


def _wedges(j: Joined) -> pl.DataFrame:
    """Of each wet plate, the last reading of its wedge and the units it had, in the order of time.

    A wedge read once more after a miss is the same wedge. units: of the first exposure of the plate, which is
    that of the wedge; where nobody knows it, of the setting `exposure`; null where there is none.
    """
    read = (
        j.readings.lazy()
        .filter(~pl.col("rehearsal"), pl.col("unit") == "step", pl.col("verdict") != "slip")
        .sort("no", "seq")
        .group_by("no", "plate", maintain_order=True)
        .agg(pl.col("at", "value", "station", "procedure").last())
    )
    given = (
        j.exposures.lazy()
        .filter(~pl.col("rehearsal"), pl.col("units") > 0)
        .sort("no", "seq")
        .group_by("no", "plate", maintain_order=True)
        .agg(pl.col("units").first())
    )
    asked = (
        j.frames.settings.lazy()
        .filter(pl.col("name") == "exposure")
        .join(j.runs.lazy().select("run", "no"), on="run")
        .select("no", pl.col("value").alias("asked"))
    )
    return (
        read.join(given, on=["no", "plate"], how="left")
        .join(asked, on="no", how="left")
        .with_columns(pl.coalesce("units", "asked").alias("units"))
        .sort("at", "no")
        .group_by("station", "procedure", maintain_order=True)
        .agg(
            "at",
            "no",
            (pl.col("value") + _steps(pl.col("units").last() / pl.col("units"))).fill_null(pl.col("value")),
        )
        .sort(pl.col("station", "procedure").cast(pl.String))
        .collect()
    )


def _steps(ratio: pl.Expr) -> pl.Expr:
    """By how many steps the wedge rises when the dose is multiplied by `ratio`."""
    return ratio.log10() / DENSITY_A_STEP


def _rates(j: Joined) -> pl.DataFrame:
    """Of each wet run, the seconds a unit took in its last watched exposure: the lamp is warm then."""
    return (
        j.exposures.lazy()
        .filter(
            ~pl.col("rehearsal"),
            pl.col("outcome") != "said",
            pl.col("unwatched") == 0,
            pl.col("seconds") > 0,
            pl.col("units") > 0,
        )
        .sort("no", "seq")
        .group_by("no", maintain_order=True)
        .agg(pl.col("at", "station").last(), (pl.col("seconds") / pl.col("units")).last().alias("value"))
        .sort("at", "no")
        .group_by("station", maintain_order=True)
        .agg("at", "no", "value")
        .with_columns(pl.lit("").cast(pl.Categorical).alias("procedure"))
        .sort(pl.col("station").cast(pl.String))
        .collect()
    )


def _charted(series: pl.DataFrame, what: Literal["wedge", "seconds per unit"], j: Joined) -> list[ChartRow]:
    """A chart of each row of lists."""
    return [_chart(one, what, j.ids) for one in series.iter_rows(named=True)]


def _chart(
    one: Mapping[str, list[Any]],  # Any: a row of polars
    what: Literal["wedge", "seconds per unit"],
    ids: tuple[str, ...],
) -> ChartRow:
    values = np.asarray(one["value"], dtype=np.float64)
    drawn = process.limits(values, resolution=READ_TO if what == "wedge" else 0.0)
    ranges: list[float | None] = [None, *process.moving_ranges(values).tolist()]
    out = [False] * len(values) if drawn is None else process.outside(values, drawn).tolist()
    columns = (one["at"], values.tolist(), ranges, RunIds(ids, one["no"]), out)
    return ChartRow(
        station=str(one["station"]),
        procedure=str(one["procedure"]),
        what=what,
        unit="step" if what == "wedge" else "s",
        points=Made(ChartPoint, *columns),
        baseline=0 if drawn is None else drawn.baseline,
        centre=None if drawn is None else drawn.centre,
        low=None if drawn is None else drawn.low,
        high=None if drawn is None else drawn.high,
        range_high=None if drawn is None else drawn.range_high,
        drifts=drawn is not None and process.drifts(values, drawn),
    )


def stands_out(rows: Sequence[ChartRow], facts: Mapping[str, ProcedureFacts]) -> Compared:
    """Stations whose moving average is beyond its limits now."""
    drawn = [row for row in rows if row.centre is not None and len(row.points) > row.baseline]
    drifting = [row for row in drawn if row.drifts]
    return Compared(tuple(_drift(row, facts) for row in drifting), len(drawn) - len(drifting))


def _drift(row: ChartRow, facts: Mapping[str, ProcedureFacts]) -> Finding:
    values = np.asarray([point.value for point in row.points])
    drawn = process.limits(values, resolution=READ_TO if row.what == "wedge" else 0.0)
    if drawn is None:  # never: a row without limits does not drift
        raise ValueError("a chart without limits drifts nowhere")
    now = values[-RECENT:]
    where = f"At {row.station}" if row.station else "At the station without a name"
    title = facts[row.procedure].title if row.procedure in facts else row.procedure
    if row.what == "wedge":
        way = "fallen" if now.mean() < drawn.centre else "risen"
        words = (
            f"{where} the wedge of {title} has {way}: from {drawn.centre:.1f} steps in the first "
            f"{drawn.baseline} plates to {now.mean():.1f} in the last {len(now)}, at the same exposure."
        )
    else:
        way = "longer" if now.mean() > drawn.centre else "shorter"
        words = (
            f"{where} a unit of exposure takes {way}: {drawn.centre:.2f} s in the first {drawn.baseline} "
            f"runs, {now.mean():.2f} s in the last {len(now)}."
        )
    return Finding(
        kind="drift",
        level="act",
        subject="station",
        keys=(row.station, row.procedure, row.what),
        words=words,
        why=(
            f"The moving average (weight {process.WEIGHT}) lies beyond {process.DRIFT_SIGMAS} standard "
            f"deviations of itself; the limits rest on the first {drawn.baseline} of {len(values)} values. "
            f"Lamp, integrator or developer: the chart does not tell which."
        ),
        n=len(values),
        method=_METHOD,
        p=process.drift_chance(values, drawn),
        runs=tuple(dict.fromkeys(point.run for point in row.points[-RECENT:])),
    )

"""A learning curve: a point for every run, the fitted curve under them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.insight.results import CurvePoint, CurveRow
from trainer.screens.widgets.plot import FINE, FIT, INK, QUIET, Canvas, Plot, Signs, log_ticks, number, ticks

LEAST_FITTED = 4
"""Runs that a fitted curve takes."""
LEAST = (24, 8)
"""Columns and rows under which nothing is drawn."""
SCALES = {"active time": (60.0, "min", "minutes of work"), "plates used": (1.0, "plates", "plates used")}
"""What a value is divided by, its unit in a sentence, and the heading of its axis."""


@dataclass(frozen=True, slots=True)
class _Axes:
    """Where things stand: the column of the axis, the last run, the marks of the upright axis, its rows."""

    left: int
    columns: int
    last: int
    rows: int
    marks: tuple[float, ...]
    log: bool

    def x(self, nth: float) -> int:
        """The column of a run; the first stands at the left."""
        span = max(1, self.last - 1)
        along = math.log(nth) / math.log(max(2, self.last)) if self.log else (nth - 1) / span
        return self.left + 1 + round((self.columns - 1) * along)

    def y(self, value: float) -> int:
        """The row of a value; row 1 is the topmost. On a logarithmic axis the value is over 0."""
        low, high = self.marks[0], self.marks[-1]
        up = math.log(value / low) / math.log(high / low) if self.log else (value - low) / (high - low)
        return self.rows - round((self.rows - 1) * up)


def curve(row: CurveRow, width: int, height: int, *, log: bool = False, signs: Signs = FINE) -> Plot:
    """One trainee's curve in so many cells. log: both axes logarithmic; a fit is straight there."""
    values = [(point.nth, point.value / SCALES[row.what][0]) for point in row.points]
    said = words(row)
    if not values or width < LEAST[0] or height < LEAST[1]:
        return Plot((), said)
    canvas = Canvas(width, height)
    axes = _axes(row, values, canvas, log=log and any(value > 0 for _, value in values))
    _frame(canvas, row, axes, signs)
    _under(canvas, axes)
    if row.slope is not None:
        _draw_fit(canvas, row, axes, signs)
    for nth, value in values:
        held = value > 0 or not axes.log
        y = axes.y(value) if held else axes.rows
        canvas.put(axes.x(nth), y, signs.point if held else signs.under, f"bold {INK}")
    return Plot(canvas.lines(), said)


def _axes(row: CurveRow, values: list[tuple[int, float]], canvas: Canvas, *, log: bool) -> _Axes:
    """Time and plates are counted from 0; on a logarithmic axis from the doubling under the least."""
    rows = canvas.height - 4
    high = max([_fitted(row, 1) or 0.0, *(value for _, value in values)]) or 1.0
    most = max(3, rows // 2)
    low = min([value for _, value in values if value > 0], default=1.0)
    marks = log_ticks(low, high, most) if log else ticks(0.0, high, most)
    left = max(len(number(mark)) for mark in marks) + 1
    return _Axes(left, canvas.width - left - 2, max(nth for nth, _ in values), rows, marks, log)


def words(row: CurveRow) -> str:
    """The curve in a sentence or two."""
    what, count = row.what.capitalize(), len(row.points)
    if not count:
        return f"{what} by run: no run to show yet."
    first, last = row.points[0], row.points[-1]
    said = f"{what} by run: {_amount(row, first)}"
    if count > 1:
        said += f", {_amount(row, last)}"
    if row.rate is None:
        return f"{said}. No curve is fitted" + (
            ": that takes at least four runs." if count < LEAST_FITTED else "."
        )
    percent = round(100 * row.rate)
    change = (
        f"falls to {percent} %"
        if percent < 100
        else f"rises to {percent} %"
        if percent > 100
        else "stays level"
    )
    said += f". The fitted curve {change} at each doubling of the runs"
    doubt = ""
    if row.rate_interval is not None:
        low, high = (round(100 * end) for end in (row.rate_interval.low, row.rate_interval.high))
        said += f" (interval {low} to {high} %)"
        if percent != 100 and low <= 100 <= high:
            doubt = ", too few to say which way it goes"
    return f"{said}; it rests on {count} runs{doubt}."


def _amount(row: CurveRow, point: CurvePoint) -> str:
    """`51.2 min at run 8`, `1 plate at run 3`."""
    by, unit, _ = SCALES[row.what]
    value = number(point.value / by)
    return f"{value} {unit if value != '1' else unit.removesuffix('s')} at run {point.nth}"


def _fitted(row: CurveRow, nth: float) -> float | None:
    if row.first is None or row.slope is None:
        return None
    return float(row.first * nth**row.slope) / SCALES[row.what][0]


def _frame(canvas: Canvas, row: CurveRow, axes: _Axes, signs: Signs) -> None:
    canvas.write(0, 0, SCALES[row.what][2] + (", log scale" if axes.log else ""), QUIET)
    bottom = canvas.height - 3
    for y in range(1, bottom):
        canvas.put(axes.left, y, signs.up, QUIET)
    for mark in axes.marks:
        said = number(mark)
        canvas.write(axes.left - 1 - len(said), axes.y(mark), said, QUIET)
        canvas.put(axes.left, axes.y(mark), signs.tick, QUIET)
    canvas.put(axes.left, bottom, signs.corner, QUIET)
    canvas.across(axes.left + 1, bottom, canvas.width - axes.left - 1, signs.across, QUIET)


def _under(canvas: Canvas, axes: _Axes) -> None:
    """Numbers of runs under the axis, as many as have room; the last one always."""
    room = max(2, (canvas.width - axes.left) // 6)
    marks = log_ticks(1, axes.last, room) if axes.log else (1.0, *ticks(1, axes.last, room))
    taken = canvas.width
    for mark in sorted({axes.last, *(round(mark) for mark in marks if 1 <= mark <= axes.last)}, reverse=True):
        said = str(mark)
        x = min(axes.x(mark), canvas.width - len(said))
        if x + len(said) < taken or taken == canvas.width:
            canvas.write(x, canvas.height - 2, said, QUIET)
            taken = x
    canvas.write(axes.left + 1, canvas.height - 1, "run" + (", log scale" if axes.log else ""), QUIET)


def _draw_fit(canvas: Canvas, row: CurveRow, axes: _Axes, signs: Signs) -> None:
    """The curve in every column between the first run and the last."""
    steps = 8 * canvas.width
    for step in range(steps + 1):
        nth = 1 + (axes.last - 1) * step / steps
        fitted = _fitted(row, nth)
        if fitted is not None and fitted > 0 and 1 <= (y := axes.y(fitted)) <= axes.rows:
            canvas.put(axes.x(nth), y, signs.fit, FIT)

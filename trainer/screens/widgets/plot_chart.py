"""A control chart: values in the order in which they came, their centre and limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.insight.results import ChartPoint, ChartRow
from trainer.run.clock import on_the_wall
from trainer.screens.widgets.plot import FINE, FIT, INK, LOUD, QUIET, Canvas, Plot, Signs, level

LEAST = (30, 8)
"""Columns and rows under which nothing is drawn."""
NAMES = ("limit", "centre", "limit")
WIDEST = 4
"""Cells between two points at most."""


def control_chart(row: ChartRow, width: int, height: int, signs: Signs = FINE) -> Plot:
    """The chart of one station in `width` by `height` cells.

    Points that are out of the limits are an X. The axis is double under the points that the limits come from.
    Where there are more points than columns, several stand in one column; none is left out.
    """
    said = words(row)
    if not row.points or width < LEAST[0] or height < LEAST[1]:
        return Plot((), said)
    canvas = Canvas(width, height)
    values = [point.value for point in row.points]
    lines = [value for value in (row.low, row.centre, row.high) if value is not None]
    top, bottom = max(values + lines), min(values + lines)
    scale = _Scale(top, bottom, height - 4)
    left = _levels(canvas, row, scale, signs)
    columns = _columns(len(values), width - left - 1)
    canvas.write(0, 0, heading(row), QUIET)
    _axis(canvas, row, left, columns, signs)
    for point, x in sorted(zip(row.points, columns, strict=True), key=lambda pair: pair[0].out):
        sign, style = (signs.out, LOUD) if point.out else (signs.point, f"bold {INK}")
        canvas.put(left + 1 + x, scale.row(point.value), sign, style)
    return Plot(canvas.lines(), said)


def heading(row: ChartRow) -> str:
    """What is drawn, with its unit."""
    if row.what == "wedge":
        return "wedge, step (at the exposure in force)"
    return f"{row.what}" + (f" ({row.unit})" if row.unit else "")


def figure(row: ChartRow, value: float) -> str:
    """A value of a chart, to a hundredth of what its limits are apart (of its values, where it has none)."""
    ends = (
        [point.value for point in row.points] if row.low is None or row.high is None else [row.low, row.high]
    )
    span = max(ends) - min(ends) if ends else 0.0
    if span <= 0 and row.what == "wedge":
        return f"{value:.1f}"  # half steps are read: 6.0 where all have read 6
    return level(value, span)


def words(row: ChartRow) -> str:
    """The chart in a few sentences."""
    count = len(row.points)
    if not count:
        return f"{_name(row)}: nothing was read there yet."
    said = f"{_name(row)}: {count} {'value' if count == 1 else 'values'}, {_dates(row.points)}. "
    if row.centre is None or row.low is None or row.high is None:
        return said + "Too few for limits, so none are drawn."
    said += (
        f"Centre {figure(row, row.centre)}, limits {figure(row, row.low)} to {figure(row, row.high)}, "
        f"from the first {row.baseline}. "
    )
    out = [point for point in row.points if point.out]
    if not out:
        return said + "All are within the limits."
    low = sum(point.value < row.centre for point in out)
    where = "below" if low == len(out) else "above" if not low else f"{low} below and {len(out) - low} above"
    last = "the last value is one of them" if row.points[-1].out else "the last value is within"
    return said + f"Out of the limits: {len(out)}, {where}; {last}."


def _name(row: ChartRow) -> str:
    return f"{row.station or 'Station without a name'}, {row.what}"


def _dates(points: Sequence[ChartPoint]) -> str:
    first, last = (f"{on_the_wall(point.at):%d %b %Y}" for point in (points[0], points[-1]))
    return first if first == last else f"{first} to {last}"


@dataclass(frozen=True, slots=True)
class _Scale:
    """From the largest value, in row 1, to the least. It need not begin at 0: a level has none."""

    top: float
    bottom: float
    rows: int

    def row(self, value: float) -> int:
        """The row of a value."""
        span = self.top - self.bottom or abs(self.top) or 1.0
        return 1 + round((self.rows - 1) * (self.top - value) / span)


def _levels(canvas: Canvas, row: ChartRow, scale: _Scale, signs: Signs) -> int:
    """Limits, centre and the ends of the scale at the left, each with its value; the column of the axis."""
    named = [
        (f"{name} {figure(row, value)}", value, signs.centre if name == "centre" else signs.limit, name)
        for name, value in zip(NAMES, (row.high, row.centre, row.low), strict=True)
        if value is not None
    ]
    plain = [(figure(row, value), value, "", "") for value in (scale.top, scale.bottom)]
    left = max(len(said) for said, *_ in [*named, *plain]) + 1
    for y in range(1, canvas.height - 3):
        canvas.put(left, y, signs.up, QUIET)
    for said, value, sign, name in [*plain, *named]:
        y = scale.row(value)
        canvas.write(0, y, said.rjust(left - 1), QUIET)
        canvas.put(left, y, signs.tick, QUIET)
        if sign:
            canvas.across(left + 1, y, canvas.width - left - 1, sign, FIT if name == "centre" else QUIET)
    return left


def _columns(count: int, room: int) -> tuple[int, ...]:
    """The column of each value: evenly apart where there is room, else several in one."""
    apart = min(float(WIDEST), (room - 1) / max(1, count - 1))
    return tuple(int(place * apart + 0.5) for place in range(count))


def _axis(canvas: Canvas, row: ChartRow, left: int, columns: tuple[int, ...], signs: Signs) -> None:
    """The axis, double under the baseline; the dates at its ends."""
    y = canvas.height - 3
    canvas.put(left, y, signs.corner, QUIET)
    canvas.across(left + 1, y, canvas.width - left - 1, signs.across, QUIET)
    first, last = (f"{point.at:%d %b}" for point in (row.points[0], row.points[-1]))
    canvas.write(left + 1, y + 1, first, QUIET)
    at = max(left + 1 + len(first) + 2, min(left + 1 + columns[-1], canvas.width - len(last)))
    if len(row.points) > 1:
        canvas.write(at, y + 1, last, QUIET)
    if row.centre is not None and row.baseline:
        end = columns[min(row.baseline, len(columns)) - 1]
        canvas.across(left + 1, y, end + 1, signs.early, FIT)
        note = f"{signs.early * 2} the limits are from these {row.baseline}"
        canvas.write(max(0, min(left + 1, canvas.width - len(note))), y + 2, note, FIT)

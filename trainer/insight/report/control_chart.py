"""The control chart of a station as a picture: values, centre and limits, and the moving range below."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import tzinfo

from trainer.insight.report.draw import (
    DEEP,
    FAINT,
    INK,
    LINE,
    SOFT,
    Axis,
    block,
    dot,
    line,
    lozenge,
    picture,
    ticks,
    way,
    words,
)
from trainer.insight.report.words import day, number, number_of
from trainer.insight.results import ChartRow
from trainer.procedure.paper.tags import Html


@dataclass(frozen=True, slots=True)
class Frame:
    """Measures of a picture. ranges: height of the part with the changes, or nought. named: limits too."""

    wide: float
    left: float
    right: float
    high: float
    ranges: float
    named: bool

    @property
    def under(self) -> float:
        """Where the part with the changes begins."""
        return _TOP + self.high + _GAP

    @property
    def height(self) -> float:
        """Of the whole picture."""
        return (self.under + self.ranges if self.ranges else _TOP + self.high) + _BOTTOM


_TOP, _GAP, _BOTTOM = 16.0, 26.0, 24.0
WHOLE = Frame(wide=690, left=44, right=92, high=150, ranges=56, named=True)
SMALL = Frame(wide=340, left=40, right=40, high=84, ranges=0, named=False)
"""For a chart that gives no warning: two stand side by side."""


def control_chart(row: ChartRow, name: str, said: str, zone: tzinfo | None, frame: Frame = WHOLE) -> Html:
    """The picture. name: an id that no other picture on the page has. said: what it shows, in words."""
    count = len(row.points)
    across = Axis(1, max(count, 2), frame.left + 6, frame.wide - frame.right - 6)
    values = [point.value for point in row.points]
    known = [limit for limit in (row.centre, row.low, row.high) if limit is not None]
    marks = ticks(
        min([*values, *known], default=0), max([*values, *known], default=1), 4 if frame.named else 3
    )
    up = Axis(marks[0], marks[-1], _TOP + frame.high, _TOP)
    return picture(
        frame.wide,
        frame.height,
        title_of(row),
        said,
        name,
        *_baseline(row, across, frame),
        *_scale(up, marks, row.unit, frame),
        *_limits(row, up, frame),
        *_values(row, across, up),
        *(_ranges(row, across, frame) if frame.ranges else ()),
        *_dates(row, across, frame, zone),
    )


def title_of(row: ChartRow) -> str:
    """What the chart is of."""
    what = "Wedge reading" if row.what == "wedge" else "Seconds for one unit of exposure"
    return f"{what}, {row.station or 'station without a name'}"


def told(row: ChartRow, zone: tzinfo | None) -> str:
    """What the chart shows, in sentences."""
    if not row.points:
        return "There are no values."
    first, last = row.points[0], row.points[-1]
    said = f"{number_of(len(row.points), 'value')} from {day(first.at, zone)} to {day(last.at, zone)}; "
    said += f"the last is {_with_unit(last.value, row)}. "
    if row.centre is None or row.low is None or row.high is None:
        return f"{said}Too few for limits."
    said += f"The centre is {_with_unit(row.centre, row)}, the limits are {_number(row.low, row)} and "
    said += f"{_with_unit(row.high, row)}, from the first {row.baseline}. "
    out = sum(point.out for point in row.points)
    said += f"{number_of(out, 'value')} outside the limits." if out else "No value is outside the limits."
    return f"{said} {'It drifts.' if row.drifts else 'No drift shows.'}"


def _number(value: float, row: ChartRow) -> str:
    return number(value, 2 if row.what == "wedge" else 3)


def _with_unit(value: float, row: ChartRow) -> str:
    unit = "steps" if row.what == "wedge" else row.unit
    return f"{_number(value, row)} {unit}".rstrip()


def _baseline(row: ChartRow, across: Axis, frame: Frame) -> Iterator[Html]:
    """A band under the values that the limits were made from."""
    if row.centre is None or not row.baseline:
        return
    end = across.at(min(row.baseline, len(row.points)) + 0.5) if len(row.points) > 1 else across.end
    yield block(frame.left, _TOP, (end - frame.left, frame.high), "#f3f3f3")
    said = f"first {row.baseline}{': limits made from these' if frame.named else ''}"
    yield words(frame.left + 4, _TOP + frame.high - 4, said, class_="quiet")


def _scale(up: Axis, marks: tuple[float, ...], unit: str, frame: Frame) -> Iterator[Html]:
    yield words(frame.left - 4, _TOP - 6, unit, "end", "quiet")
    for mark in marks:
        y = up.at(mark)
        yield line((frame.left, y), (frame.wide - frame.right, y), FAINT, 0.8)
        yield words(frame.left - 4, y + 3, number(mark, 3), "end", "quiet")
    yield line((frame.left, _TOP), (frame.left, _TOP + frame.high), LINE)


def _limits(row: ChartRow, up: Axis, frame: Frame) -> Iterator[Html]:
    """Centre and limits with their words at the right, kept clear of each other."""
    named = [
        (row.high, "upper limit", "7 4"),
        (row.centre, "centre", ""),
        (row.low, "lower limit", "7 4"),
    ]
    before = float("-inf")
    for value, said, dashes in named:
        if value is None:
            continue
        y = up.at(value)
        yield line((frame.left, y), (frame.wide - frame.right, y), SOFT, 1.2, dashes)
        before = max(y + 3, before + 10)
        shown = f"{said} {_number(value, row)}" if frame.named else _number(value, row)
        yield words(frame.wide - frame.right + 4, before, shown, class_="quiet")


def _values(row: ChartRow, across: Axis, up: Axis) -> Iterator[Html]:
    places = [(across.at(n), up.at(point.value)) for n, point in enumerate(row.points, 1)]
    yield way(places, LINE, 0.9)
    for (x, y), point in zip(places, row.points, strict=True):
        yield lozenge(x, y) if point.out else dot(x, y, 2.3, DEEP)


def _ranges(row: ChartRow, across: Axis, frame: Frame) -> Iterator[Html]:
    """The moving range: how far each value is from the one before."""
    top = frame.under
    ranges = [(n, p.moving_range) for n, p in enumerate(row.points, 1) if p.moving_range is not None]
    if not ranges:
        return
    most = max([*(value for _, value in ranges), row.range_high or 0])
    marks = ticks(0, most, 2)
    up = Axis(0, marks[-1], top + frame.ranges, top)
    yield words(frame.left, top - 5, "change from the value before", class_="quiet")
    for mark in marks:
        yield line((frame.left, up.at(mark)), (frame.wide - frame.right, up.at(mark)), FAINT, 0.8)
        yield words(frame.left - 4, up.at(mark) + 3, number(mark, 3), "end", "quiet")
    yield line((frame.left, top), (frame.left, top + frame.ranges), LINE)
    if row.range_high is not None:
        y = up.at(row.range_high)
        yield line((frame.left, y), (frame.wide - frame.right, y), SOFT, 1.2, "7 4")
        yield words(
            frame.wide - frame.right + 4, y + 3, f"limit {_number(row.range_high, row)}", class_="quiet"
        )
    yield way([(across.at(n), up.at(value)) for n, value in ranges], LINE, 0.9)
    for n, value in ranges:
        over = row.range_high is not None and value > row.range_high
        yield lozenge(across.at(n), up.at(value), 4) if over else dot(across.at(n), up.at(value), 1.8, INK)


def _dates(row: ChartRow, across: Axis, frame: Frame, zone: tzinfo | None) -> Iterator[Html]:
    """Three dates below: the first value's, the middle one's, the last one's."""
    count = len(row.points)
    middle = {(count + 1) // 2} if frame.named else set()
    shown = sorted({1, *middle, count}) if count > 4 else [1] if count else []
    for n in shown:
        anchor = "start" if n == 1 else "end" if n == count else "middle"
        said = day(row.points[n - 1].at, zone)
        yield words(across.at(n), frame.height - 6, said, anchor, "quiet")

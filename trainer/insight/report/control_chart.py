"""The control chart of a station as a picture: values, centre and limits, and the moving range below."""

from __future__ import annotations

from collections.abc import Iterator
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
from trainer.insight.report.words import counted, day, number
from trainer.insight.results import ChartRow
from trainer.procedure.paper.tags import Html

_WIDE, _LEFT, _RIGHT = 690.0, 44.0, 92.0
_TOP, _HIGH = 16.0, 150.0
_GAP, _RANGE = 26.0, 56.0
_BOTTOM = 24.0


def control_chart(row: ChartRow, name: str, zone: tzinfo | None) -> Html:
    """The picture. name: an id that no other picture on the page has."""
    count = len(row.points)
    across = Axis(1, max(count, 2), _LEFT + 6, _WIDE - _RIGHT - 6)
    values = [point.value for point in row.points]
    known = [limit for limit in (row.centre, row.low, row.high) if limit is not None]
    marks = ticks(min([*values, *known], default=0), max([*values, *known], default=1))
    up = Axis(marks[0], marks[-1], _TOP + _HIGH, _TOP)
    height = _TOP + _HIGH + _GAP + _RANGE + _BOTTOM
    return picture(
        _WIDE,
        height,
        title_of(row),
        told(row, zone),
        name,
        *_baseline(row, across),
        *_scale(up, marks, row.unit),
        *_limits(row, up),
        *_values(row, across, up),
        *_ranges(row, across),
        *_dates(row, across, height, zone),
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
    said = f"{counted(len(row.points), 'value')} from {day(first.at, zone)} to {day(last.at, zone)}; "
    said += f"the last is {_with_unit(last.value, row)}. "
    if row.centre is None or row.low is None or row.high is None:
        return f"{said}Too few for limits."
    said += f"The centre is {_with_unit(row.centre, row)}, the limits are {_number(row.low, row)} and "
    said += f"{_with_unit(row.high, row)}, from the first {row.baseline}. "
    out = sum(point.out for point in row.points)
    said += f"{counted(out, 'value')} outside the limits." if out else "No value is outside the limits."
    return f"{said} {'It drifts.' if row.drifts else 'No drift shows.'}"


def _number(value: float, row: ChartRow) -> str:
    return number(value, 2 if row.what == "wedge" else 3)


def _with_unit(value: float, row: ChartRow) -> str:
    return f"{_number(value, row)} {row.unit}".rstrip()


def _baseline(row: ChartRow, across: Axis) -> Iterator[Html]:
    """A band under the values that the limits were made from."""
    if row.centre is None or not row.baseline:
        return
    end = across.at(min(row.baseline, len(row.points)) + 0.5) if len(row.points) > 1 else across.end
    yield block(_LEFT, _TOP, (end - _LEFT, _HIGH), "#f3f3f3")
    yield words(_LEFT + 4, _TOP + _HIGH - 4, f"first {row.baseline}: limits made from these", class_="quiet")


def _scale(up: Axis, marks: tuple[float, ...], unit: str) -> Iterator[Html]:
    yield words(_LEFT - 4, _TOP - 6, unit, "end", "quiet")
    for mark in marks:
        y = up.at(mark)
        yield line((_LEFT, y), (_WIDE - _RIGHT, y), FAINT, 0.8)
        yield words(_LEFT - 4, y + 3, number(mark, 3), "end", "quiet")
    yield line((_LEFT, _TOP), (_LEFT, _TOP + _HIGH), LINE)


def _limits(row: ChartRow, up: Axis) -> Iterator[Html]:
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
        yield line((_LEFT, y), (_WIDE - _RIGHT, y), SOFT, 1.2, dashes)
        before = max(y + 3, before + 10)
        yield words(_WIDE - _RIGHT + 4, before, f"{said} {_number(value, row)}", class_="quiet")


def _values(row: ChartRow, across: Axis, up: Axis) -> Iterator[Html]:
    places = [(across.at(n), up.at(point.value)) for n, point in enumerate(row.points, 1)]
    yield way(places, LINE, 0.9)
    for (x, y), point in zip(places, row.points, strict=True):
        yield lozenge(x, y) if point.out else dot(x, y, 2.3, DEEP)


def _ranges(row: ChartRow, across: Axis) -> Iterator[Html]:
    """The moving range: how far each value is from the one before."""
    top = _TOP + _HIGH + _GAP
    ranges = [(n, p.moving_range) for n, p in enumerate(row.points, 1) if p.moving_range is not None]
    if not ranges:
        return
    most = max([*(value for _, value in ranges), row.range_high or 0])
    marks = ticks(0, most, 2)
    up = Axis(0, marks[-1], top + _RANGE, top)
    yield words(_LEFT, top - 5, "change from the value before", class_="quiet")
    for mark in marks:
        yield line((_LEFT, up.at(mark)), (_WIDE - _RIGHT, up.at(mark)), FAINT, 0.8)
        yield words(_LEFT - 4, up.at(mark) + 3, number(mark, 3), "end", "quiet")
    yield line((_LEFT, top), (_LEFT, top + _RANGE), LINE)
    if row.range_high is not None:
        y = up.at(row.range_high)
        yield line((_LEFT, y), (_WIDE - _RIGHT, y), SOFT, 1.2, "7 4")
        yield words(_WIDE - _RIGHT + 4, y + 3, f"limit {_number(row.range_high, row)}", class_="quiet")
    yield way([(across.at(n), up.at(value)) for n, value in ranges], LINE, 0.9)
    for n, value in ranges:
        over = row.range_high is not None and value > row.range_high
        yield lozenge(across.at(n), up.at(value), 4) if over else dot(across.at(n), up.at(value), 1.8, INK)


def _dates(row: ChartRow, across: Axis, height: float, zone: tzinfo | None) -> Iterator[Html]:
    """Three dates below: the first value's, the middle one's, the last one's."""
    count = len(row.points)
    shown = sorted({1, (count + 1) // 2, count}) if count > 4 else [1] if count else []
    for n in shown:
        anchor = "start" if n == 1 else "end" if n == count else "middle"
        said = day(row.points[n - 1].at, zone)
        yield words(across.at(n), height - 6, said, anchor, "quiet")

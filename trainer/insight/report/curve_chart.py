"""Learning curves as one picture: a small panel for each trainee, all with the same axes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.insight.report.draw import DEEP, FAINT, INK, LINE, Axis, dot, line, picture, ticks, way, words
from trainer.insight.report.words import number
from trainer.insight.results import CurveRow
from trainer.procedure.paper.tags import Html

_WIDE, _HIGH = 690.0, 78.0
_LEFT, _TOP, _ROW = 34.0, 16.0, 116.0
_MINUTE = 60.0


def curve_chart(rows: Sequence[CurveRow], title: str, told: str, name: str) -> Html:
    """The picture. rows: of one procedure and one kind, in the order of the panels."""
    scale = _MINUTE if rows and rows[0].what == "active time" else 1.0
    most = max((point.value / scale for row in rows for point in row.points), default=1)
    last = max((point.nth for row in rows for point in row.points), default=1)
    marks = ticks(0, most, 3)
    columns = 4 if len(rows) > 2 else 2
    panel = _WIDE / columns
    lines = -(-len(rows) // columns)
    height = lines * _ROW + 14
    pieces: list[Html] = []
    for place, row in enumerate(rows):
        left = (place % columns) * panel + _LEFT
        top = (place // columns) * _ROW + _TOP
        across = Axis(1, max(last, 2), left + 5, left + panel - _LEFT - 12)
        up = Axis(0, marks[-1], top + _HIGH, top)
        pieces += _panel(row, across, up, marks, scale)
    unit = "minutes" if scale > 1 else "plates"
    foot = f"Down: {unit}. Across: the first run, the second and so on, to {last}. Dashes: the fitted curve."
    return picture(_WIDE, height, title, told, name, *pieces, words(_LEFT, height - 2, foot, class_="quiet"))


def _panel(row: CurveRow, across: Axis, up: Axis, marks: tuple[float, ...], scale: float) -> Iterator[Html]:
    yield words(across.start - 5, up.end - 5, row.trainee, class_="strong")
    for mark in marks:
        yield line((across.start - 5, up.at(mark)), (across.end + 4, up.at(mark)), FAINT, 0.8)
        yield words(across.start - 8, up.at(mark) + 3, number(mark, 2), "end", "quiet")
    yield line((across.start - 5, up.start), (across.end + 4, up.start), LINE)
    for nth in sorted({1, int(across.high)}):
        yield words(across.at(nth), up.start + 11, str(nth), "middle", "quiet")
    places = [(across.at(point.nth), up.at(point.value / scale)) for point in row.points]
    yield way(places, LINE, 0.9)
    if row.first is not None and row.slope is not None and len(row.points) > 1:
        ends = row.points[0].nth, row.points[-1].nth
        between = [ends[0] + (ends[1] - ends[0]) * part / 16 for part in range(17)]
        fitted = [(nth, row.first * nth**row.slope / scale) for nth in between if nth > 0]
        drawn = [(across.at(nth), up.at(value)) for nth, value in fitted if value <= up.high]
        yield way(drawn, INK, 1.6, "5 3")
    for x, y in places:
        yield dot(x, y, 2.2, DEEP)

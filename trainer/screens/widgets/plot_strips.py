"""Plots of one line each, to stand in a table: a bar, a share with its interval, a spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content

from trainer.insight.results import Rate, Spread
from trainer.screens.widgets.plot import FINE, FIT, INK, QUIET, Plot, Signs, cut, listed, number

LABEL_AT_MOST = 0.45
"""Of the width, for the words before bars."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar. value: 0 or more. note: a few words behind it. mark: before the label, two cells at most."""

    label: str
    value: float
    note: str = ""
    mark: str = ""
    style: str = INK


def bar(value: float, most: float, width: int, signs: Signs = FINE, style: str = INK) -> Content:
    """A bar from 0 in at most `width` cells; anything over 0 is seen."""
    if most <= 0 or value <= 0 or width < 1:
        return Content("")
    halves = max(1, round(2 * width * min(value, most) / most))
    drawn = signs.bar * (halves // 2) + (signs.half if halves % 2 else "")
    return Content.styled(drawn or signs.bar, style)


def bars(items: Sequence[Bar], width: int, unit: str = "", signs: Signs = FINE) -> Plot:
    """Bars from 0, on one scale, each with its number."""
    if not items:
        return Plot((), "Nothing to show.")
    most = max(item.value for item in items)
    mark = max(len(item.mark) for item in items)
    mark += 1 if mark else 0
    label = min(max(Content(item.label).cell_length for item in items), int(width * LABEL_AT_MOST))
    figures = [
        f"{number(item.value)} {unit}".rstrip() + (" " + item.note if item.note else "") for item in items
    ]
    room = max(4, width - mark - label - 2 - max(Content(figure).cell_length for figure in figures) - 1)
    lines = []
    for item, figure in zip(items, figures, strict=True):
        drawn = bar(item.value, most, room, signs, item.style)
        line = Content.assemble(
            (item.mark.ljust(mark), "bold"), cut(item.label, label), "  ", drawn, " " if drawn else "", figure
        )
        lines.append(line.truncate(width, ellipsis=True) if line.cell_length > width else line)
    told = listed([f"{item.label} {number(item.value)} {unit}".rstrip() for item in items])
    return Plot(tuple(lines), f"{told}.")


def rate_strip(rate: Rate, width: int, signs: Signs = FINE) -> Content:
    """From 0 to 100 % in `width` cells: the interval, and in it the share that was seen."""
    if rate.share is None or width < 3:
        return Content.styled(signs.empty * width, QUIET)
    last = width - 1
    low, at, high = (
        round(last * min(1.0, max(0.0, value)))
        for value in (rate.interval.low, rate.share, rate.interval.high)
    )
    cells = [(signs.empty, QUIET)] * width
    for x in range(low, high + 1):
        cells[x] = (signs.between, FIT)
    cells[low], cells[high] = (signs.open_, FIT), (signs.close, FIT)
    cells[at] = (signs.point, f"bold {INK}")
    return Content.assemble(*cells)


def spread_strip(spread: Spread, top: float, width: int, signs: Signs = FINE) -> Content:
    """From 0 to `top` in `width` cells: the middle half of the values, and the median in it."""
    if spread.median is None or spread.low is None or spread.high is None or top <= 0 or width < 3:
        return Content.styled(signs.empty * width, QUIET)
    last = width - 1
    low, at, high = (
        round(last * min(1.0, max(0.0, value / top))) for value in (spread.low, spread.median, spread.high)
    )
    cells = [(signs.empty, QUIET)] * width
    for x in range(low, high + 1):
        cells[x] = (signs.box, FIT)
    cells[at] = (signs.median, f"bold {INK}")
    return Content.assemble(*cells)


def scale(top: float, unit: str, width: int) -> Content:
    """What stands over strips that go from 0 to `top`: both ends, and the middle where there is room."""
    right = f"{number(top)} {unit}".rstrip()
    if width < len(right) + 2:
        return Content(" " * width)
    line = "0".ljust(width)
    middle = number(top / 2)
    at = (width - 1) // 2
    if at + len(middle) + 1 < width - len(right):
        line = line[:at] + middle + line[at + len(middle) :]
    line = line[: width - len(right)] + right
    return Content.styled(line, QUIET)

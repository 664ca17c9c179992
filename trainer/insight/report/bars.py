"""Small pictures in the cells of tables: how much, and how sure. The words beside them say the same."""

from __future__ import annotations

from trainer.insight.report.draw import DEEP, FAINT, INK, LINE, Axis, beside, block, dot, line
from trainer.insight.results import Rate
from trainer.procedure.paper.tags import Html

_WIDE, _HIGH = 120.0, 14.0


def interval_bar(rate: Rate) -> Html:
    """From nought to all: the interval a bar, the share a mark, the line it is held against a stroke."""
    if not rate.n:
        return Html("")
    axis = Axis(0, 1, 2, _WIDE - 2)
    middle = _HIGH / 2
    low, high = axis.at(rate.interval.low), axis.at(rate.interval.high)
    held = [] if rate.line is None else [line((axis.at(rate.line), 0), (axis.at(rate.line), _HIGH), INK, 1.2)]
    return beside(
        _WIDE,
        _HIGH,
        line((axis.start, middle), (axis.end, middle), LINE, 0.8),
        line((axis.start, 3), (axis.start, _HIGH - 3), LINE, 0.8),
        line((axis.end, 3), (axis.end, _HIGH - 3), LINE, 0.8),
        block(low, middle - 3, (high - low, 6), "#b9cbdc", DEEP),
        *held,
        dot(axis.at(rate.k / rate.n), middle, 3, INK),
    )


def part_bar(part: float, whole: float, most: float) -> Html:
    """A bar as long as `whole` is of `most`; `part` of it dark."""
    if most <= 0 or whole <= 0:
        return Html("")
    axis = Axis(0, most, 1, _WIDE - 1)
    end = axis.at(whole)
    return beside(
        _WIDE,
        _HIGH,
        block(axis.start, 2, (end - axis.start, _HIGH - 4), FAINT, LINE),
        block(axis.start, 2, (axis.at(part) - axis.start, _HIGH - 4), DEEP),
    )

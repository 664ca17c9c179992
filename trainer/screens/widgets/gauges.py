"""Gauges of the bench: a name, a figure and a bar each, in rows of their own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from textual.content import Content

from trainer.screens.widgets.drawn import Drawn

PARTS = " ▏▎▍▌▋▊▉█"
"""A cell of a bar, from empty to full, in eighths."""
LONGEST_BAR = 40
LEAST_BAR = 8
MOST = 4
"""Gauges shown at a time; more do not fit beside a wait's figures."""


class Gauge(Protocol):
    """One gauge: its name, what it shows, and where that lies between the ends of its bar."""

    @property
    def label(self) -> str:
        """Its name."""
        ...

    @property
    def shown(self) -> str:
        """What it shows, with the unit."""
        ...

    @property
    def value(self) -> float:
        """What it shows, as a number."""
        ...

    @property
    def least(self) -> float:
        """The value at the empty end of its bar."""
        ...

    @property
    def most(self) -> float:
        """The value at the full end; not over `least` where it has no bar."""
        ...

    @property
    def lit(self) -> bool:
        """Whether it has anything to show."""
        ...


class Gauges(Drawn):
    """As many rows as there are gauges; none, and it takes no room."""

    DEFAULT_CSS = """
    Gauges { height: auto; padding: 0 1; display: none; background: $panel; color: $foreground; }
    """

    _step: object = None
    _rows: int = 0

    def show(self, gauges: Sequence[Gauge], step: object) -> None:
        """Draw those of `gauges` that are lit. Within a `step` rows are only added: little then moves."""
        shown = [gauge for gauge in gauges if gauge.lit][:MOST]
        wanted = len(shown) if step != self._step else max(self._rows, len(shown))
        self._step = step
        if wanted != self._rows:
            self._rows = wanted
            self.display = bool(wanted)
            self.styles.height = wanted
        self.draw_lines(rows(shown, self.size.width or self.app.size.width - 2))


def rows(gauges: Sequence[Gauge], width: int) -> list[Content]:
    """A row for each gauge: names, figures and bars under one another."""
    if not gauges:
        return []
    name = max(len(gauge.label) for gauge in gauges)
    figure = max(len(gauge.shown) for gauge in gauges)
    room = min(LONGEST_BAR, width - name - figure - 6)
    return [_row(gauge, name, figure, room).truncate(width, ellipsis=True) for gauge in gauges]


def _row(gauge: Gauge, name: int, figure: int, room: int) -> Content:
    lead = Content.assemble(gauge.label.ljust(name), "  ", (gauge.shown.rjust(figure), "bold"))
    if gauge.most <= gauge.least or room < LEAST_BAR:
        return lead
    share = (gauge.value - gauge.least) / (gauge.most - gauge.least)
    return Content.assemble(lead, "  ▕", (bar(share, room), "$primary"), "▏")


def bar(share: float, cells: int) -> str:
    """A bar of that many cells, filled to an eighth of a cell."""
    eighths = round(min(max(share, 0.0), 1.0) * cells * 8)
    whole, part = divmod(eighths, 8)
    drawn = PARTS[8] * whole + (PARTS[part] if part else "")
    return drawn.ljust(cells, "·")

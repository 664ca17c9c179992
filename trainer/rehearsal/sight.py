"""What can be seen of the plate of a rehearsal: all of it, or what a loupe shows. Plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.bench import picture
from trainer.bench.made import made
from trainer.bench.picture import Colours, Run
from trainer.bench.raster import Grid

if TYPE_CHECKING:
    from trainer.rehearsal.rehearsal import Rehearsal

FINEST = 0.002
"""A loupe's smallest pixel, mm: finer than anything on a plate."""


@dataclass(frozen=True, slots=True)
class Sight:
    """Rows of cells, each two pixels high. left, top: of the first cell, mm on the plate. pixel: mm."""

    rows: tuple[tuple[Run, ...], ...]
    left: float
    top: float
    pixel: float
    cols: int

    @property
    def across(self) -> float:
        """How much of the plate it shows from left to right, mm."""
        return self.cols * self.pixel

    @property
    def down(self) -> float:
        """How much of the plate it shows from top to bottom, mm."""
        return 2 * len(self.rows) * self.pixel


def whole(rehearsal: Rehearsal, cols: int, rows: int, colours: Colours) -> Sight:
    """The whole plate in at most `cols` by `rows` cells."""
    return _seen(rehearsal, picture.whole(rehearsal.job, cols, rows), colours)


def magnified(  # noqa: PLR0913 - a place, a size, and how it is shown
    rehearsal: Rehearsal, x: float, y: float, *, pixel: float, cols: int, rows: int, colours: Colours
) -> Sight:
    """What a loupe over (x, y) shows in `cols` by `rows` cells, with pixels of `pixel` mm."""
    return _seen(rehearsal, Grid.around(x, y, max(pixel, FINEST), cols, 2 * rows), colours)


def _seen(rehearsal: Rehearsal, grid: Grid, colours: Colours) -> Sight:
    rows = picture.rows(made(rehearsal.work(), grid, rehearsal.settings), colours)
    return Sight(rows, grid.left, grid.top, grid.pixel, grid.cols)
